#!/usr/bin/env python3
"""The known chances of the benchmark problem: nested Gauss quadrature over all inputs of examples/benchmark.ini.

usage: exact.py [HEADER]   (tests/scenarios.hpp: its numbers are checked; without it the chances are printed)

The landed content (docs/method.md) lies below a limit exactly when the pump's lies below a threshold t, so the chance
is the mean of the pump law's distribution function at t over the five other inputs. The order, from outside in:
click-off volume T, gauge error, hose volume, content in the hose, content of the old fuel. Pieces end where the
integrand has a kink: where the tank is empty, where the hose holds nothing, and where t passes the pump's highest
content. Every chance is computed with a coarse and a finer rule, which have to agree to 1e-9; a twin that forgets the
hose must not agree.
Exit status: 0 agreement to the digits written, 1 not, 77 NumPy or SciPy missing.
"""
import os
import re
import sys

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
try:
    import numpy as np
    from scipy.special import ndtr
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-scipy")
    sys.exit(77)

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "reference"))
from scenario import read_scenario  # noqa: E402

LIMITS = (0.70, 0.68, 0.66, 0.60)
FAR = 8.5  # standard deviations that count: beyond them lie 2e-17


def pieces(ends, nodes):
    """Gauss-Legendre nodes and weights over intervals that follow each other."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    ends = np.asarray(ends, float)
    half = np.diff(ends) / 2
    return (ends[:-1, None] + half[:, None] * (x + 1)).ravel(), (half[:, None] * w).ravel()


def density(x, mean, sd):
    return np.exp(-0.5 * ((x - mean) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))


def of_kind(law, kind, windowed=False):
    """The two numbers of a law that the quadrature is written for."""
    if law.kind != kind or (law.window is not None) != windowed:
        raise SystemExit(f"examples/benchmark.ini has another law than exact.py integrates: {law.kind}")
    return law.numbers


def mean_over_old_fuel(threshold, slope, low, high, below, pump_high, nodes):
    """Mean of below(threshold - slope c) over c uniform on [low, high], in two pieces where a kink lies between."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    with np.errstate(divide="ignore", invalid="ignore"):
        kink = np.where(slope > 0, (threshold - pump_high) / slope, low)
    kink = np.clip(kink, low, high)
    total = 0.0
    for a, b in ((low, kink), (kink, high)):
        half = (b - a) / 2
        for one, weight in zip(x, w):
            total = total + weight * half * below(threshold - slope * (a + half * (one + 1)))
    return total / (high - low)


def chance(scenario, limit, fineness, hose=True):
    """P(landed content < limit); `fineness` 1 or 2 scales the number of pieces."""
    t_mean, t_sd = of_kind(scenario["tank.click-off"], "normal")
    g_mean, g_sd = of_kind(scenario["heel.gauge-error"], "normal")
    old_low, old_high = of_kind(scenario["heel.content"], "uniform")
    p_mean, p_sd = of_kind(scenario["fuel.content"], "normal", windowed=True)
    p_low, p_high = scenario["fuel.content"].window
    v_mean, v_sd = of_kind(scenario["fuel.hose-volume"], "normal")
    h_low, h_high = of_kind(scenario["fuel.hose-content"], "uniform")
    indicated = scenario["heel.indicated"]

    share_low, share_high = ndtr((p_low - p_mean) / p_sd), ndtr((p_high - p_mean) / p_sd)

    def below(t):
        inside = np.clip(t, p_low, p_high)
        return (ndtr((inside - p_mean) / p_sd) - share_low) / (share_high - share_low)

    # The heel: an atom where the gauge's error would make it negative, then its density.
    empty = -indicated
    start = max(empty, g_mean - FAR * g_sd)
    gauge, gauge_w = pieces(np.linspace(start, g_mean + FAR * g_sd, 8 + 6 * fineness + 1), 8)
    gauge_w = gauge_w * density(gauge, g_mean, g_sd)
    heel = np.append(indicated + gauge, 0.0)
    heel_w = np.append(gauge_w, ndtr((empty - g_mean) / g_sd))
    # The hose, in the same way held at 0.
    volume, volume_w = pieces(np.linspace(max(0.0, v_mean - FAR * v_sd), v_mean + FAR * v_sd, 5 + fineness), 8)
    volume_w = volume_w * density(volume, v_mean, v_sd)
    volume, volume_w = np.append(volume, 0.0), np.append(volume_w, ndtr(-v_mean / v_sd))
    if not hose:
        volume, volume_w = np.array([0.0]), np.array([1.0])
    hose_content, hose_w = pieces([h_low, h_high], 1 + fineness)
    hose_w = hose_w / (h_high - h_low)

    total, total_w = np.polynomial.hermite_e.hermegauss(8 + 4 * fineness)  # smooth, once the heel is integrated
    total, total_w = t_mean + t_sd * total, total_w / total_w.sum()
    h, v, c = (a.ravel() for a in np.meshgrid(heel, volume, hose_content, indexing="ij"))
    weight = (heel_w[:, None, None] * volume_w[:, None] * hose_w).ravel()
    result = 0.0
    for tank, tank_w in zip(total, total_w):
        added = tank - h
        if (added <= v).any():
            raise SystemExit("the hose would be all that is filled: not integrated here")
        pumped = added - v
        mean = mean_over_old_fuel((limit * tank - v * c) / pumped, h / pumped, old_low, old_high, below, p_high,
                                  4 + fineness)
        result += tank_w * (weight @ mean)
    return result


def main():
    root = os.path.join(HERE, "..", "..")
    scenario = read_scenario(os.path.join(root, "examples", "benchmark.ini"))
    known = {}
    if len(sys.argv) > 1:
        with open(sys.argv[1], encoding="utf-8") as file:
            known = {float(limit): chance for limit, chance in re.findall(r"\{(0\.\d+), ([0-9.e-]+)\}", file.read())}
        if sorted(known) != sorted(LIMITS):
            print(f"{sys.argv[1]} has other limits: {sorted(known)}")
            return 1
    bad = 0
    for limit in LIMITS:
        coarse, fine = chance(scenario, limit, 1), chance(scenario, limit, 2)
        print(f"below {100 * limit:g} %: {fine:.9g} (coarser rule {coarse:.9g})")
        if abs(coarse - fine) > 1e-9 * fine:
            print("  the two rules differ")
            bad = 1
        if not known:
            continue
        written = known[limit]
        place = last_place(written)
        if abs(fine - float(written)) > 0.51 * place:
            print(f"  {sys.argv[1]} says {written}")
            bad = 1
        if abs(chance(scenario, limit, 1, hose=False) - float(written)) <= 0.51 * place:
            print("  without the hose it is the same: the check is void")
            bad = 1
    return bad


def last_place(written):
    """One unit in the last digit of a number as written."""
    digits, _, power = written.partition("e")
    decimals = len(digits.partition(".")[2])
    return 10.0 ** (int(power or 0) - decimals)


if __name__ == "__main__":
    sys.exit(main())
