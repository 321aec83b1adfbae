#!/usr/bin/env python3
"""Whether `verify` calls invented shops honest as often as it says, and finds wrong laws as often.

usage: shops.py PROGRAM [--shops N] [--rows 8 20 200] [--spreads 1 0.5 0.7 1.4 2] [--jobs N]

Draws the logs of N shops (default 2000) with so many tested fills each, by the laws of a scenario, to click-off or
stopped by hand, the pump tested in two of three. One call of the program verifies many shops, each a group.
For each number of rows and each spread of the forecasts, as a multiple of the right one, it prints the share of
shops whose verdict is not honest beside what the program says that it is. It fails where forecasts of the right
spread are called honest in fewer than 94 or more than 96 %, or any other share is more than 5 points off.
"""

import argparse
import json
import math
import os
import random
import subprocess
import sys
import tempfile

# Laws of which every spread is multiplied, all normal: invented.
SPREADS = {"click_off": 0.5, "gauge": 1.0, "old": 4.0, "pump": 3.0, "tester": 0.8}


def scenario(spread):
    s = {name: sd * spread for name, sd in SPREADS.items()}
    return f"""[tank]
capacity = 55 L
click-off = normal(55 L, {s['click_off']} L)
[heel]
indicated = 6 L
gauge-error = normal(0.5 L, {s['gauge']} L)
content = normal(30 %, {s['old']} %)
[fuel]
content = normal(76 %, {s['pump']} %)
[tester]
sd = {s['tester']} %
[limits]
minimum = 62 %
"""


def fill(draw):
    indicated = draw.uniform(4.0, 12.0)
    heel = indicated + draw.gauss(0.5, SPREADS["gauge"])
    old = draw.gauss(30.0, SPREADS["old"])
    pump = draw.gauss(76.0, SPREADS["pump"])
    room = draw.gauss(55.0, SPREADS["click_off"]) - heel
    aim = 40.0 if draw.random() < 0.3 else math.inf
    stopped = "hand" if aim < room else "click-off"
    shown = round(min(aim, room), 2)
    landed = (heel * old + shown * pump) / (heel + shown)
    test = f"{draw.gauss(pump, SPREADS['tester']):.4f}" if draw.random() < 0.67 else ""
    return f"{indicated:.4f},{shown:.2f},{stopped},{test},{draw.gauss(landed, SPREADS['tester']):.4f}"


def verdicts(program, work, seed, shops, rows, spreads):
    """One log of `shops` shops; for each spread how many are honest, all, and the power that is told."""
    draw = random.Random(seed)
    log = os.path.join(work, f"log-{seed}.csv")
    with open(log, "w", encoding="ascii") as file:
        file.write("shop,indicated_l,shown_l,stopped_by,pump_test_percent,landed_test_percent\n")
        for shop in range(shops):
            for _ in range(rows):
                file.write(f"{shop},{fill(draw)}\n")
    found = {}
    for spread in spreads:
        car = os.path.join(work, f"car-{seed}-{spread}.ini")
        with open(car, "w", encoding="ascii") as file:
            file.write(scenario(spread))
        command = [program, "verify", log, car, "--group", "shop", "--json", "--seed", str(seed)]
        answer = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
        groups = [group["verdict"] for group in answer["groups"] if group["verdict"]]
        told = {one["spread"]: one["power"] for one in groups[0]["power"]}
        honest = sum(group["verdict"] == "honest" for group in groups)
        found[spread] = (honest, len(groups), told.get(spread, 0.05), len(answer["rows_excluded"]))
    os.remove(log)
    return found


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--shops", type=int, default=2000)
    parser.add_argument("--rows", type=int, nargs="+", default=[8, 20, 200])
    parser.add_argument("--spreads", type=float, nargs="+", default=[1.0, 0.5, 0.7, 1.4, 2.0])
    arguments = parser.parse_args()
    bad = 0
    with tempfile.TemporaryDirectory() as work:
        for rows in arguments.rows:
            each = max(1, min(arguments.shops, 50_000 // rows))
            sums = {spread: [0, 0, 0.0, 0] for spread in arguments.spreads}
            done = 0
            while done < arguments.shops:
                shops = min(each, arguments.shops - done)
                found = verdicts(arguments.program, work, 1000 * rows + done, shops, rows, arguments.spreads)
                for spread, (honest, all_shops, told, excluded) in found.items():
                    sums[spread][0] += honest
                    sums[spread][1] += all_shops
                    sums[spread][2] = told
                    sums[spread][3] += excluded
                done += shops
            for spread, (honest, all_shops, told, excluded) in sums.items():
                share = 1.0 - honest / all_shops
                wrong = not 0.04 <= share <= 0.06 if spread == 1.0 else abs(share - told) > 0.05
                bad += wrong
                print(
                    f"{rows} rows, spread {spread}: not honest {100 * share:.2f} %, told {100 * told:.2f} %, "
                    f"{all_shops} shops, {excluded} rows excluded{'  WRONG' if wrong else ''}",
                    flush=True,
                )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
