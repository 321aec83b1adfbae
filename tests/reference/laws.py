"""Quantities with units and uncertain values: parsed and drawn by means that the program does not use.

Draws are NumPy's own generators; a window is kept by drawing again until enough draws fall in it.
"""
import csv
import math
import os
import re

import numpy as np
from scipy import stats

GALLON = 3.785411784   # US liquid gallon in litres, exact (NIST Handbook 44, from memory)
IMPERIAL = 4.54609     # imperial gallon in litres, exact (from memory)
MILE = 1.609344        # mile in kilometres, exact (NIST Handbook 44, from memory)

UNITS = {
    "volume": {"L": 1.0, "mL": 1e-3, "gal": GALLON, "imp-gal": IMPERIAL},
    "content": {"%": 1e-2},
    "fraction": {"%": 1e-2},
    "rate": {"L/h": 1 / 3600, "mL/min": 1e-3 / 60, "gal/h": GALLON / 3600},
    "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "distance": {"km": 1.0, "mi": MILE},
    "price": {"/L": 1.0, "/gal": 1 / GALLON},
}
COLUMN_UNITS = {"_percent": 1e-2, "_l_per_h": 1 / 3600, "_ml": 1e-3, "_gal": GALLON, "_l": 1.0}
SHAPES = {"normal": "qq", "uniform": "qq", "triangular": "qqq", "trapezoidal": "qqqq",
          "arcsine": "qq", "beta": "qqnn", "student": "qqn", "exact": "q"}


def quantity(text, kind):
    """Value of `text`, such as "4 L", in litres, fractions, seconds, kilometres or litres a second."""
    text = text.strip()
    if kind == "economy":
        number, unit = re.fullmatch(r"([-+0-9.eE]+)\s*(\S+)", text).groups()
        number = float(number)
        return {"L/100km": lambda: number / 100, "km/L": lambda: 1 / number,
                "mpg": lambda: GALLON / MILE / number}[unit]()  # litres a kilometre
    match = re.fullmatch(r"([-+]?[0-9.]+(?:[eE][-+]?\d+)?)\s*(\S+)", text)
    return float(match.group(1)) * UNITS[kind][match.group(2)]


class ByQuantiles:
    """Straight in the normal score between the points and beyond both ends."""

    def __init__(self, numbers):
        self.z, self.x = stats.norm.ppf(numbers[0::2]), np.asarray(numbers[1::2])

    @staticmethod
    def line(at, ends, values):
        i = np.clip(np.searchsorted(ends, at, side="right") - 1, 0, len(ends) - 2)
        return values[i] + (values[i + 1] - values[i]) / (ends[i + 1] - ends[i]) * (at - ends[i])

    def ppf(self, u):
        return self.line(stats.norm.ppf(u), self.z, self.x)

    def cdf(self, x):
        return stats.norm.cdf(self.line(np.asarray(x, float), self.x, self.z))

    def mean(self):
        return self.ppf((np.arange(200000) + 0.5) / 200000).mean()


class Law:
    """An uncertain value: its kind, its numbers and, where it has one, the window it is cut to."""

    def __init__(self, kind, numbers, window=None):
        self.kind, self.numbers, self.window = kind, numbers, window
        self.values = np.asarray(numbers) if kind == "measured" else None

    def inside(self):
        """Measured values, those of the window where there is one."""
        if self.window is None:
            return self.values
        return self.values[(self.values >= self.window[0]) & (self.values <= self.window[1])]

    def frozen(self):
        p = self.numbers
        if self.kind == "normal":
            return stats.norm(p[0], p[1])
        if self.kind == "uniform":
            return stats.uniform(p[0], p[1] - p[0])
        if self.kind == "triangular":
            return stats.triang((p[1] - p[0]) / (p[2] - p[0]), p[0], p[2] - p[0])
        if self.kind == "trapezoidal":
            width = p[3] - p[0]
            return stats.trapezoid((p[1] - p[0]) / width, (p[2] - p[0]) / width, p[0], width)
        if self.kind == "arcsine":
            return stats.arcsine(p[0], p[1] - p[0])
        if self.kind == "beta":
            return stats.beta(p[2], p[3], p[0], p[1] - p[0])
        if self.kind == "student":
            return stats.t(p[2], p[0], p[1])
        if self.kind == "quantiles":
            return ByQuantiles(p)
        # JCGM 101:2008, 6.4.9 (from memory): t with n - 1 degrees of freedom, scale s / sqrt(n)
        x = np.asarray(p)
        return stats.t(len(x) - 1, x.mean(), x.std(ddof=1) / math.sqrt(len(x)))

    def mean(self):
        """Mean of the law, window included; the centre of a t that has none."""
        if self.kind == "exact":
            return self.numbers[0]
        if self.kind == "measured":
            return float(self.inside().mean())
        if self.window is None:
            law = self.frozen()
            return float(law.median() if self.kind in ("student", "tests") else law.mean())
        return float(self.quantile((np.arange(20000) + 0.5) / 20000).mean())

    def quantile(self, u):
        """The value that a share u of all draws does not exceed."""
        u = np.asarray(u, float)
        if self.kind == "exact":
            return np.full(u.shape, self.numbers[0])
        if self.kind == "measured":
            inside = np.sort(self.inside())
            return inside[np.clip(np.ceil(u * inside.size).astype(int) - 1, 0, inside.size - 1)]
        law = self.frozen()
        if self.window is None:
            return law.ppf(u)
        low, high = law.cdf(self.window[0]), law.cdf(self.window[1])
        return np.clip(law.ppf(low + (high - low) * u), *self.window)

    def share_below(self, x):
        """The share of draws up to x, window included; of laws without steps."""
        law = self.frozen()
        if self.window is None:
            return float(law.cdf(x))
        low, high = law.cdf(self.window[0]), law.cdf(self.window[1])
        return float(np.clip((law.cdf(x) - low) / (high - low), 0, 1))

    def moved(self, centre):
        """The law moved, window and all, so that its mean without the window is `centre`."""
        by = centre - Law(self.kind, self.numbers).mean()
        places = {"beta": 2, "student": 1, "normal": 1}.get(self.kind, len(self.numbers))
        numbers = [x + by if i < places else x for i, x in enumerate(self.numbers)]
        if self.kind == "quantiles":
            numbers = [x + by * (i % 2) for i, x in enumerate(self.numbers)]
        return Law(self.kind, numbers, self.window and tuple(x + by for x in self.window))

    def base(self, rng, n):
        p = self.numbers
        if self.kind == "normal":
            return rng.normal(p[0], p[1], n)
        if self.kind == "uniform":
            return rng.uniform(p[0], p[1], n)
        if self.kind == "triangular":
            return rng.triangular(p[0], p[1], p[2], n)
        if self.kind == "trapezoidal":  # sum of two uniforms (JCGM 101:2008, 6.4.4, from memory) where
            rise, flat, fall = p[1] - p[0], p[2] - p[1], p[3] - p[2]  # even-sided, a mixture otherwise
            areas = np.array([rise / 2, flat, fall / 2])
            part = rng.choice(3, n, p=areas / areas.sum())
            u, slope = rng.random(n), np.sqrt(rng.random(n))
            return np.where(part == 0, p[0] + rise * slope,
                            np.where(part == 1, p[1] + flat * u, p[3] - fall * slope))
        if self.kind == "arcsine":  # JCGM 101:2008, 6.4.6 (from memory): the value of a sine at a random phase
            return (p[0] + p[1]) / 2 + (p[1] - p[0]) / 2 * np.sin(2 * np.pi * rng.random(n))
        if self.kind == "beta":
            return p[0] + (p[1] - p[0]) * rng.beta(p[2], p[3], n)
        if self.kind == "student":
            return p[0] + p[1] * rng.standard_t(p[2], n)
        if self.kind == "quantiles":
            law = ByQuantiles(p)
            return law.line(rng.standard_normal(n), law.z, law.x)
        if self.kind == "tests":
            x = np.asarray(p)
            return x.mean() + x.std(ddof=1) / math.sqrt(len(x)) * rng.standard_t(len(x) - 1, n)
        return rng.choice(self.values, n)

    def draw(self, rng, n):
        if self.kind == "exact":
            return np.full(n, self.numbers[0])
        draws = self.base(rng, n)
        if self.window is None:
            return draws
        low, high = self.window
        for _ in range(4000):
            out = np.flatnonzero((draws < low) | (draws > high))
            if out.size == 0:
                return draws
            draws[out] = self.base(rng, out.size)
        raise ValueError(f"hardly a draw of {self.kind}{self.numbers} in {self.window}")


class Rounded(Law):
    """A law and, independent of it, half a step of a display either way."""

    def __init__(self, law, step):
        super().__init__(law.kind, law.numbers, law.window)
        self.law, self.half = law, step / 2

    def draw(self, rng, n):
        return self.law.draw(rng, n) + rng.uniform(-self.half, self.half, n)

    def mean(self):
        return self.law.mean()

    def moved(self, centre):
        return Rounded(self.law.moved(centre), 2 * self.half)

    def table(self):
        """The distribution function, a sum of ramps, one for each of many shares of the law."""
        z = np.linspace(-8, 8, 4001)
        weight = stats.norm.pdf(z)
        value = self.law.quantile(stats.norm.cdf(z))
        ends = np.concatenate([value - self.half, value + self.half])
        order = np.argsort(ends, kind="stable")
        slope = np.cumsum(np.concatenate([weight, -weight])[order]) / (2 * self.half * weight.sum())
        at = ends[order]
        return at, np.concatenate([[0], np.cumsum(slope[:-1] * np.diff(at))])

    def quantile(self, u):
        at, share = self.table()
        return np.interp(u, share, at)

    def share_below(self, x):
        at, share = self.table()
        return float(np.interp(x, at, share, 0, 1))


def parse_law(text, kind, folder):
    """The law that `text` states; `measured` files are sought from `folder`."""
    text = text.strip()
    window = None
    cut = re.fullmatch(r"(.*\S)\s+in\s*\[(.*)\]", text)
    if cut:
        text = cut.group(1)
        window = tuple(quantity(part, kind) for part in cut.group(2).split(","))
    call = re.fullmatch(r"([a-z]+)\s*\((.*)\)", text)
    if not call:
        return Law("exact", [quantity(text, kind)], window)
    name, parts = call.group(1), [part.strip() for part in call.group(2).split(",")]
    if name == "measured":
        path, column = (part.strip('"') for part in parts)
        scale = next((s for end, s in COLUMN_UNITS.items() if column.endswith(end)), None)
        with open(os.path.join(folder, path), newline="") as file:
            cells = [row[column] for row in csv.DictReader(file)]
        return Law(name, [float(c) * scale if scale else quantity(c, kind) for c in cells], window)
    if name == "quantiles":
        pairs = [part.split(":") for part in parts]
        return Law(name, [x for p, q in pairs for x in (quantity(p, "fraction"), quantity(q, kind))], window)
    shape = "q" * len(parts) if name == "tests" else SHAPES[name]
    numbers = [quantity(part, kind) if s == "q" else float(part) for s, part in zip(shape, parts)]
    return Law(name, numbers, window)
