#!/usr/bin/env python3
"""The log of a year of an invented shop, with the truth that it is drawn from.

usage: invented_shop.py > examples/invented-shop.csv
       invented_shop.py --check examples/invented-shop.csv   (whether it is that file)

Two cars are changed from gasoline to high-ethanol fuel again and again, at two pumps. Everything is
invented: cars, pumps, people, numbers.

truth of             hatchback          wagon
click-off            45 +- 0.5 L        62 +- 0.6 L       normal, fill by fill
gauge, true - shown  0.8 +- 0.7 L       -0.5 +- 1.0 L     normal, fill by fill; shown in steps of 0.5 L
sensor, reading - true  1.5 +- 0.5 %    -2 +- 0.5 %       normal, reading by reading; steps of 0.5 %
old fuel             5 to 10 %, uniform, fill by fill
hose                 0.4 L of 10 %
meter                -0.5 to 0.5 %, uniform, fill by fill

pumps                north 77 %, south 75 %; in both 3 % more at the middle of July and 3 % less at that of
                     January (a cosine of the day), each delivery +- 2.5 %, a delivery a fortnight
tester               no bias, +- 0.8 %, in steps of 0.5 %

One figure of the dispenser is typed wrong on purpose (line 28: two digits changed places).
The scenarios of both cars beside the log (examples/shop) say just this, the gauge's rounding and the
season left to the laws' spread.
"""

import datetime
import math
import random
import sys

FIRST = datetime.date(2031, 1, 3)
FILLS = 96
MISTYPED = 26  # of the fills, from 0

CARS = {
    "hatchback": {"click_off": (45.0, 0.5), "gauge": (0.8, 0.7), "sensor": (1.5, 0.5), "heel": (3.0, 9.0)},
    "wagon": {"click_off": (62.0, 0.6), "gauge": (-0.5, 1.0), "sensor": (-2.0, 0.5), "heel": (5.0, 14.0)},
}
PUMPS = {"north": 77.0, "south": 75.0}


class Shop:
    def __init__(self, seed):
        self.random = random.Random(seed)
        self.deliveries = {}

    def uniform(self, low, high):
        return low + (high - low) * self.random.random()

    def normal(self, mean, sd):
        """By Box and Muller, so that every Python draws the same."""
        radius = math.sqrt(-2.0 * math.log(1.0 - self.random.random()))
        return mean + sd * radius * math.cos(2.0 * math.pi * self.random.random())

    def pump_content(self, pump, day):
        delivery = (pump, day.toordinal() // 14)
        if delivery not in self.deliveries:
            self.deliveries[delivery] = self.normal(0.0, 2.5)
        season = -3.0 * math.cos(2.0 * math.pi * (day.timetuple().tm_yday - 15) / 365.0)
        return PUMPS[pump] + season + self.deliveries[delivery]

    def test(self, content):
        return stepped(self.normal(content, 0.8), 0.5)

    def fill(self, number):
        day = FIRST + datetime.timedelta(days=round(364.0 * number / FILLS))
        car = "hatchback" if self.random.random() < 0.55 else "wagon"
        pump = "north" if self.random.random() < 0.6 else "south"
        truth = CARS[car]
        indicated = stepped(self.uniform(*truth["heel"]), 0.5)
        heel = max(0.3, indicated + self.normal(*truth["gauge"]))
        old = self.uniform(5.0, 10.0)
        content = self.pump_content(pump, day)
        click_off = self.normal(*truth["click_off"])
        meter = self.uniform(-0.005, 0.005)
        shown = (click_off - heel) / (1.0 + meter)
        stopped_by = "click-off"
        if self.random.random() < 0.2:
            stopped_by = "hand"
            shown = float(math.floor(shown - self.uniform(0.5, 6.0)))
        shown = round(shown, 2)
        delivered = shown * (1.0 + meter)
        hose = min(0.4, delivered)
        landed = (heel * old + hose * 10.0 + (delivered - hose) * content) / (heel + delivered)
        row = {
            "date": day.isoformat(),
            "car": car,
            "pump": pump,
            "season": "winter" if day.month in (11, 12, 1, 2, 3) else "summer",
            "indicated_l": f"{indicated:.1f}",
            "shown_l": f"{shown:.2f}",
            "stopped_by": stopped_by,
            "heel_l": f"{heel:.2f}" if self.random.random() < 0.06 else "",
            "pump_test_percent": f"{self.test(content):.1f}" if self.random.random() < 0.6 else "",
            "reading_before_percent": f"{stepped(self.normal(old + truth['sensor'][0], truth['sensor'][1]), 0.5):.1f}"
            if self.random.random() < 0.5
            else "",
            "reading_percent": f"{stepped(self.normal(landed + truth['sensor'][0], truth['sensor'][1]), 0.5):.1f}",
            "landed_test_percent": f"{self.test(landed):.1f}" if self.random.random() < 0.75 else "",
            "note": "invented",
        }
        if number == MISTYPED:
            whole = row["shown_l"].split(".")
            row["shown_l"] = whole[0][::-1] + "." + whole[1]
        return row


def stepped(value, step):
    return step * math.floor(value / step + 0.5)


def main():
    shop = Shop(20310103)
    rows = [shop.fill(number) for number in range(FILLS)]
    text = "".join(",".join(cells) + "\n" for cells in [rows[0], *(row.values() for row in rows)])
    if len(sys.argv) < 3:
        sys.stdout.write(text)
        return 0
    with open(sys.argv[2], encoding="ascii") as file:
        if file.read() == text:
            return 0
    print(f"{sys.argv[2]} is not what this draws")
    return 1


if __name__ == "__main__":
    sys.exit(main())
