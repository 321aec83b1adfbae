#!/usr/bin/env python3
"""Makes the numbers of lanes::log and of the reduction of lanes::exp, and checks that the header holds them.

usage: log_fit.py [HEADER]   (src/numeric/simd_math.hpp; without it the numbers are printed)

With s = f/(2 + f) and z = s^2, ln(1 + f) = 2 s + s z Q(z), Q(z) = 2/3 + 2/5 z + 2/7 z^2 + ... (the area tangent's
series). Q is replaced by the polynomial of degree 6 with the least largest |z (polynomial - Q)|/2, the error
relative to 2 s, on 1 + f in [sqrt(1/2), sqrt(2)]: Remez's exchange in decimal arithmetic of 50 digits. The
coefficients are then rounded to doubles one by one from the highest power down, the lower ones fitted anew each time.
Exit status: 0 the header holds them, 1 it does not.
"""
import re
import sys
from decimal import Decimal as D, getcontext

getcontext().prec = 50
DEGREE = 6
LARGEST = 2.2e-18  # of the relative error: a hundredth of a unit in the last place
TWO = D(2)
SQRT_TWO = TWO.sqrt()
END = ((SQRT_TWO - 1) / (SQRT_TWO + 1)) ** 2


def area_tangent_rest(z):
    """Q(z): terms until they no longer count at 50 digits (z <= 0.0295)."""
    return sum((TWO / (2 * k + 3) * z ** k for k in range(33)), D(0))


def value(coefficients, z):
    """A polynomial, coefficients from the lowest power up."""
    total = D(0)
    for c in reversed(coefficients):
        total = total * z + c
    return total


def solved(rows, right):
    """Solution of a small linear system, by elimination with pivots."""
    n = len(rows)
    m = [list(row) + [r] for row, r in zip(rows, right)]
    for i in range(n):
        pivot = max(range(i, n), key=lambda r: abs(m[r][i]))
        m[i], m[pivot] = m[pivot], m[i]
        for r in range(n):
            if r != i:
                factor = m[r][i] / m[i][i]
                m[r] = [a - factor * b for a, b in zip(m[r], m[i])]
    return [m[i][n] / m[i][i] for i in range(n)]


# Denser toward the ends, where an error curve turns faster.
PLACES = 600
GRID = [END * D(i * i * (3 * PLACES - 2 * i)) / D(PLACES) ** 3 for i in range(1, PLACES + 1)]
WANTED = [area_tangent_rest(z) for z in GRID]


def fit(degree, fixed):
    """Best coefficients up to z^degree where those above, `fixed`, are given; with the largest error."""
    above = [value(fixed, z) * z ** (degree + 1) for z in GRID]
    n = degree + 2
    nodes = [(PLACES - 1) * (2 * k + 1) // (2 * n) for k in range(n)]
    for _ in range(40):
        rows = [[GRID[i] ** k for k in range(degree + 1)] + [(-1) ** j * 2 / GRID[i]]
                for j, i in enumerate(nodes)]
        *c, level = solved(rows, [WANTED[i] - above[i] for i in nodes])
        errors = [z * (value(c, z) + a - w) / 2 for z, a, w in zip(GRID, above, WANTED)]
        # The largest error of each run of one sign, the n in a row that hold the largest.
        runs = []
        for i, e in enumerate(errors):
            if runs and (errors[runs[-1]] > 0) == (e > 0):
                if abs(e) > abs(errors[runs[-1]]):
                    runs[-1] = i
            else:
                runs.append(i)
        while len(runs) > n:
            runs.pop(0 if abs(errors[runs[0]]) < abs(errors[runs[-1]]) else -1)
        worst = max(abs(e) for e in errors)
        if runs == nodes or len(runs) < n:
            break
        nodes = runs
    return c, worst


def coefficients():
    """Doubles from the lowest power up, and the largest error that they leave."""
    fixed = []
    for degree in range(DEGREE, -1, -1):
        c, _ = fit(degree, fixed)
        fixed.insert(0, D(float(c[-1])))
    worst = max(abs(z * (value(fixed, z) - w)) / 2 for z, w in zip(GRID, WANTED))
    return [float(c) for c in fixed], worst


def ln_two():
    """ln 2 in two parts: 40 bits, so that its product with an exponent is exact, and the rest."""
    whole = TWO.ln()
    high = D(int((whole * 2 ** 40).to_integral_value())) / 2 ** 40
    return float(high), float(whole - high)


def main():
    c, worst = coefficients()
    high, low = ln_two()
    print("from the highest power down:", ", ".join(x.hex() for x in reversed(c)))
    print("ln 2:", high.hex(), low.hex())
    print("largest error relative to the logarithm: %.3g" % worst)
    if worst > D(LARGEST):
        print("that is more than %.3g" % LARGEST)
        return 1
    if len(sys.argv) < 2:
        return 0
    with open(sys.argv[1], encoding="utf-8") as file:
        header = file.read()
    held = [float.fromhex(x) for x in re.findall(r"-?0x1\.?[0-9a-f]*p[-+]\d+", header)]
    missing = [x.hex() for x in [*c, high, low] if x not in held]
    for x in missing:
        print(f"{sys.argv[1]} does not hold {x}")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
