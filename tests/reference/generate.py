"""Invented scenarios at random, with limits set where counting can see the misses."""
import numpy as np

import reference
from copula import Copula
from line import Line
from scenario import Scenario

UNIT_TEXT = {"volume": [("L", 1.0), ("mL", 1e-3), ("gal", 3.785411784), ("imp-gal", 4.54609)],
             "content": [("%", 0.01)], "fraction": [("%", 0.01)],
             "distance": [("km", 1.0), ("mi", 1.609344)], "economy": [("L/100km", 0.01)],
             "rate": [("L/h", 1 / 3600), ("mL/min", 1e-3 / 60), ("gal/h", 3.785411784 / 3600)]}
LAWS = ["exact", "normal", "uniform", "triangular", "trapezoidal", "arcsine", "beta", "student", "tests",
        "measured", "quantiles", "normal in", "student in", "beta in", "triangular in"]
SLOW = ("student", "tests", "beta")  # whose inverse takes the program microseconds: of every eighth scenario
QUICK = [one for one in LAWS if one.split()[0] not in SLOW]
MEASURED = [78.1, 74.4, 80.2, 71.9, 76.3, 79.5, 82.0, 73.2, 77.7, 75.0]  # invented pump tests, percent


class Writer:
    def __init__(self, rng):
        self.rng = rng
        self.laws = LAWS if rng.random() < 0.125 else QUICK
        self.shapes, self.freedom = (0.6, 5), (2.5, 12)

    def measured(self, middle, half, kind):
        return 'measured("pump-tests.csv", "content_percent")' if kind == "content" and middle > 0.6 else ""

    def number(self, value, kind, unit=None):
        name, size = unit or UNIT_TEXT[kind][self.rng.integers(len(UNIT_TEXT[kind]))]
        return f"{value / size:.6g} {name}"

    def law(self, middle, half, kind, low=0.0, high=np.inf):
        """A law about `middle`, mostly within `half` of it, never far outside low to high."""
        rng = self.rng
        half = min(half, middle - low if np.isfinite(low) else half, high - middle)
        if half <= 0:
            return self.number(middle, kind)
        unit = UNIT_TEXT[kind][rng.integers(len(UNIT_TEXT[kind]))]
        q = lambda x: self.number(x, kind, unit)
        name = self.laws[rng.integers(len(self.laws))]
        a, b = middle - half, middle + half
        inner = np.sort(rng.uniform(a, b, 2))
        head = name.split()[0]
        if head == "exact":
            return q(middle)
        if head == "normal":
            text = f"normal({q(middle)}, {q(half / 2.5)})"
        elif head == "uniform":
            text = f"uniform({q(a)}, {q(b)})"
        elif head == "triangular":
            text = f"triangular({q(a)}, {q(inner[0])}, {q(b)})"
        elif head == "trapezoidal":
            text = f"trapezoidal({q(a)}, {q(inner[0])}, {q(inner[1])}, {q(b)})"
        elif head == "arcsine":
            text = f"arcsine({q(a)}, {q(b)})"
        elif head == "beta":
            text = f"beta({q(a)}, {q(b)}, {rng.uniform(*self.shapes):.3f}, {rng.uniform(*self.shapes):.3f})"
        elif head == "student":
            text = f"student({q(middle)}, {q(half / 4)}, {rng.uniform(*self.freedom):.2f})"
        elif head == "quantiles":
            text = f"quantiles(1 %: {q(a)}, 20 %: {q(inner[0])}, 70 %: {q(inner[1])}, 99 %: {q(b)})"
        elif head == "tests":
            values = rng.uniform(middle - half / 2, middle + half / 2, rng.integers(3, 7))
            text = "tests(" + ", ".join(q(x) for x in values) + ")"
        else:
            return self.measured(middle, half, kind) or f"uniform({q(a)}, {q(b)})"
        if name.endswith(" in"):
            text += f" in [{q(a + half * rng.uniform(0, 0.6))}, {q(b - half * rng.uniform(0, 0.6))}]"
        return text


def body(rng, odd, writer=Writer, fills=(1, 1, 1, 2, 3), away=False):
    """Text of a scenario without its limits, and whether the content is to rise."""
    w = writer(rng)
    rising = rng.random() < 0.65
    low_fuel = lambda: w.law(rng.uniform(0.03, 0.15), rng.uniform(0, 0.05), "content", 0, 1)
    high_fuel = lambda: w.law(rng.uniform(0.66, 0.82), rng.uniform(0, 0.09), "content", 0, 1)
    new, old = (high_fuel, low_fuel) if rising else (low_fuel, high_fuel)
    size = rng.uniform(30, 90)
    heel = size * rng.uniform(0.03, 0.35)
    if odd and rng.random() < 0.3:
        heel = size * rng.choice([0.0, 0.002, 0.01])
    text = [f"[tank]\ncapacity = {w.number(size, 'volume')}"]
    if rng.random() < 0.8:
        text.append(f"click-off = {w.law(size, size * rng.uniform(0.005, 0.03), 'volume')}")
    if rng.random() < 0.7:
        text.append(f"pickup-floor = {w.number(min(heel, 3) * rng.uniform(0.1, 1), 'volume')}")
    text.append("[heel]")
    away |= rng.random() < 0.2
    if away:  # the gauge is read before driving to the pump
        way, use = rng.uniform(5, 150), rng.uniform(0.05, 0.14)
        text.append(f"now = {w.number(min(heel + way * use, size), 'volume')}")
        text.append(f"to-pump = {w.law(way, way * rng.uniform(0, 0.2), 'distance')}")
    elif rng.random() < 0.2 and heel > 2:
        left = rng.uniform(5, 300)
        economy = (heel - 1) / left
        shape = rng.integers(3)
        text.append("distance-left = " + (f"{left:.5g} km" if rng.random() < 0.5
                                          else f"{left / 1.609344:.5g} mi"))
        text.append("economy = " + [f"{economy * 100:.5g} L/100km", f"{1 / economy:.5g} km/L",
                                    f"{3.785411784 / 1.609344 / economy:.5g} mpg"][shape])
        text.append("reserve = 1 L")
    else:
        text.append(f"indicated = {w.number(heel, 'volume')}")
    if rng.random() < 0.85:
        text.append(f"gauge-error = {w.law(rng.uniform(-0.5, 0.5), rng.uniform(0.2, 3), 'volume', -np.inf)}")
        if not away and "measured" not in text[-1] and rng.random() < 0.3:
            text.append(f"gauge-step = {w.number(rng.uniform(0.5, 7), 'volume')}")
    by_reading = rng.random() < 0.25
    text.append(f"reading = {rng.uniform(5, 15) if rising else rng.uniform(65, 80):.4g} %" if by_reading
                else f"content = {old()}")
    text.append("[sensor]")
    if by_reading or rng.random() < 0.7:
        text.append(f"bias = {w.law(rng.uniform(-0.01, 0.01), rng.uniform(0.005, 0.05), 'content', -1, 1)}")
    text.append(f"noise = {rng.uniform(0.8, 2.5):.3g} %")
    if rng.random() < 0.6:
        text.append(f"step = {rng.choice([0.1, 0.5, 1.0])} %")
    if rng.random() < 0.6:
        text.append(f"lag = {rng.choice([2.0, 10.0, 60.0])} s")

    def fuel(metered):
        text.append(f"content = {new()}")
        if rng.random() < 0.6:
            text.append(f"hose-volume = {w.law(rng.uniform(0.2, 2), rng.uniform(0, 0.8), 'volume')}")
            if rng.random() < 0.7:
                text.append(f"hose-content = {low_fuel() if rng.random() < 0.7 else high_fuel()}")
        if metered:
            error = w.law(rng.uniform(-0.002, 0.002), rng.uniform(0.002, 0.03), "fraction", -1)
            text.append(f"meter-error = {error}")

    fills = int(rng.choice(fills))
    metered = rng.random() < 0.5
    text.append("[fuel]")
    fuel(metered)
    if rng.random() < 0.3:
        text.append(f"price = {rng.uniform(0.5, 4):.2f} {rng.choice(['/L', '/gal'])}")
    share = rng.uniform(0.4, 1.05) if fills == 1 else rng.uniform(0.3, 0.8)
    text.append("[fill]\namount = " + (w.number((size - heel) * share, "volume") if metered or fills > 1
                                       else "click-off"))
    for index in range(2, fills + 1):
        text.append(f"[fill-{index}]")
        metered = rng.random() < 0.4
        fuel(metered)
        if rng.random() < 0.3:
            text.append(f"price = {rng.uniform(0.5, 4):.2f} {rng.choice(['/L', '/gal'])}")
        now = heel + (size - heel) * share
        burn = now * rng.uniform(0.3, 0.9)
        if rng.random() < 0.5:
            text.append(f"burn-first = {w.law(burn, burn * 0.1, 'volume')}")
        else:
            text.append(f"indicated = {w.number(now - burn, 'volume')}")
        text.append("amount = " + (w.number((size - now + burn) * rng.uniform(0.5, 1.02), "volume")
                                   if metered else "click-off"))
        share = 0.95
    text.append("[line]")
    scale = rng.choice([0.01, 10.0, 60.0]) if odd and rng.random() < 0.3 else 1.0
    equal = rng.uniform(0.05, 0.3) if odd and rng.random() < 0.4 else None
    for name in ("reservoir", "filter", "beyond-sensor", "pipe"):
        if rng.random() < 0.65:
            volume = scale * (equal if equal else rng.uniform(0.02, 0.4))
            text.append(f"{name} = " + (w.number(volume, "volume", ("L", 1.0)) if equal
                                        else w.law(volume, volume * rng.uniform(0, 0.4), "volume")))
    text.append(f"pipe-flow = {rng.choice(['laminar', 'plug'])}")
    if rng.random() < 0.3:
        text.append(f"return-flow = {w.law(rng.uniform(5, 90) / 3600, rng.uniform(0, 4) / 3600, 'rate')}")
    if rng.random() < 0.25:
        text.append(f"content = {old()}")
    text.append("[engine]")
    if away:
        text.append(f"economy = {w.law(use, use * rng.uniform(0.02, 0.2), 'economy')}")
    text.append(f"idle = {w.law(rng.uniform(0.6, 1.8) / 3600, 0.2 / 3600, 'rate')}")
    text.append(f"gentle = {w.law(rng.uniform(4, 9) / 3600, 2 / 3600, 'rate')}")
    text.append("schedule = " + rng.choice(["idle", "gentle", f"idle {rng.uniform(0.5, 8):.3g} min, gentle",
                                            f"gentle {rng.uniform(20, 200):.3g} s, idle",
                                            "idle 1 min, gentle 90 s, idle"]))
    return "\n".join(text) + "\n", rising


def correlation(rng, draft):
    """One to three pairs of uncertain inputs whose matrix is positive definite; laws with steps are left alone."""
    keys = [key for key, law in draft.laws().items() if law.kind not in ("exact", "measured")]
    if len(keys) < 2:
        return ""
    while True:
        draft.correlation = {}
        for _ in range(rng.integers(1, 4)):
            a, b = sorted(keys[i] for i in rng.permutation(len(keys))[:2])
            draft.correlation[a, b] = round(rng.uniform(-0.9, 0.9), 2)
        if np.linalg.eigvalsh(Copula(draft).matrix).min() > 0.05:
            pairs = "".join(f"{a}, {b} = {rho}\n" for (a, b), rho in draft.correlation.items())
            return "[correlation]\n" + pairs


def scenario(rng, odd=False, correlated=False, away=False):
    """Text of a valid invented scenario, and readings as the option --reading takes them."""
    text, rising = body(rng, odd, away=away)
    if correlated:
        text += correlation(rng, Scenario(text, FOLDER[0]))
    draft = Scenario(text, FOLDER[0])
    if draft["heel.now"] is not None:
        text = with_second_look(text, draft, rng)
        draft = Scenario(text, FOLDER[0])
    cases = reference.draw_cases(draft, 20000, int(rng.integers(2 ** 31)))
    landing = reference.land(draft, cases)
    if landing["volume"].min() <= 0.5:
        return scenario(rng, odd, correlated, away)
    miss = np.exp(rng.uniform(np.log(0.002), np.log(0.5)))
    both = rng.random() < 0.25
    c = landing["content"]
    low, high = np.quantile(c, miss), np.quantile(c, 1 - miss)
    if odd and rng.random() < 0.3:
        low = high = np.median(c)
        both = False
    text += "[limits]\n"
    if rising or both:
        text += f"minimum = {100 * min(max(low, 0), 1):.4f} %\n"
    if not rising or both:
        high = np.quantile(c, 1 - miss / 2) if rising else high
        text += f"maximum = {100 * min(max(high, low + 1e-5 if both else 0, 0), 1):.4f} %\n"
    risk = np.exp(rng.uniform(np.log(0.001), np.log(0.2)))
    dry_risk = np.exp(rng.uniform(np.log(0.002), np.log(0.2)))
    text += f"accepted-risk = {100 * risk:.4g} %\ndry-risk = {100 * dry_risk:.4g} %\n"
    if int(1e6 * risk) % 2:  # by what is drawn already
        bound = 0.7 * low if rising else 0.3 + 0.7 * high
        if len(draft.fills) > 1:  # where what the tank holds between the fills may miss it
            first = draft.with_values({})
            first.fills = first.fills[:1]
            bound = np.quantile(reference.land(first, cases)["content"], 1 - miss if rising else miss)
        text += f"[before]\n{'maximum' if rising else 'minimum'} = {100 * bound:.4f} %\n"
    full = Scenario(text, FOLDER[0])
    one = reference.draw_cases(full, 1, int(rng.integers(2 ** 31)))
    line = Line(full, one, reference.land(full, one))
    size = float(sum(line.before)[0] + line.pipe[0] + line.beyond[0]) + 0.05
    readings, burned = [], 0.0
    for _ in range(int(rng.integers(1, 4))):
        burned += size * rng.uniform(0.3, 1.2)
        if line.back[0] > 0:
            burned = burned / 10
        timed = rng.random() < 0.4
        seen = line.old + (line.new - line.old) * line.at_sensor(burned)
        shown = float(seen[0] + one["sensor.bias"][0] + rng.standard_normal() * full["sensor.noise"])
        step = full["sensor.step"] or 1e-4
        shown = min(max(round(shown / step) * step, 0), 1)
        at = f"{line.time_of(burned)[0] / 60:.5g} min" if timed else f"{burned:.5g} L"
        readings.append(f"{at}: {100 * shown:.6g} %")
        if timed:
            break
    return text, readings


def with_second_look(text, draft, rng):
    """Of every other way, the gauge read again at the pump, as one case has it."""
    if rng.random() < 0.5:
        return text
    one = reference.draw(draft, 1, np.random.default_rng(int(rng.integers(2 ** 31))))
    there = float((draft["heel.now"] - one["heel.to-pump"] * one["engine.economy"])[0])
    return text.replace("\nnow = ", f"\nindicated = {there:.6g} L\nnow = ") if there > 0 else text


def with_figures(text, rng):
    """The scenario with every fill done: what the dispenser showed in one case, to click-off or by hand."""
    draft = Scenario(text, FOLDER[0])
    one = reference.draw_cases(draft, 1, int(rng.integers(2 ** 31)))
    for index, (fuel, _) in enumerate(draft.fills):
        section = "fill" if fuel == "fuel" else fuel
        room = one["tank.click-off"] - reference.heel_before(draft, one, index)
        shown = float((room / (1 + one[fuel + ".meter-error"]))[0])
        by_hand = rng.random() < 0.35
        if by_hand:
            shown *= rng.uniform(0.5, 0.95)
        shown = max(round(shown, 2), 0.01)
        draft.values.update({section + ".shown": shown, section + ".stopped-by": "hand" if by_hand else "click-off"})
        text = text.replace(f"[{section}]\n", f"[{section}]\nshown = {shown} L\nstopped-by = "
                            f"{draft[section + '.stopped-by']}\n")
    return text


FOLDER = ["."]


def write_measured(folder):
    FOLDER[0] = folder
    with open(f"{folder}/pump-tests.csv", "w") as file:
        file.write("content_percent\n" + "".join(f"{x}\n" for x in MEASURED))
