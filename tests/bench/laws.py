#!/usr/bin/env python3
"""Time and truth on every law: invented scenarios with what makes a chance hard.

usage: laws.py PROGRAM [--scenarios N] [--first K] [--commands chance,fill,...] [--limit SECONDS] [--folder DIR]
       laws.py PROGRAM --agree [...]      chances against counting (NumPy), within 4 standard errors
       laws.py COVERAGE --cover SEEDS [--precision P] [--examples]  how often the 95 % interval holds a much finer run's
           chance, and how far landed quantiles scatter; COVERAGE is blendrisk_coverage of the preset `bench`, P a
           fraction, and --examples takes the shipped examples and the benchmark's limits in place of hard ones

Laws: t with 1.5 to 5 degrees of freedom, beta with shapes from 0.2, measured values with 2 to 60 rows, truncations,
correlations in every third scenario, up to four fills, chances from 0.5 to about 1e-12. Times are of whole processes.
Exit status: 0, 1 where --agree found a disagreement, 77 NumPy or SciPy missing.
"""
import argparse
import glob
import json
import os
import re
import subprocess
import sys
import tempfile
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), os.pardir, "reference"))
try:
    import numpy as np
    import scipy  # noqa: F401  generate needs it
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-numpy python3-scipy")
    sys.exit(77)

import generate
import reference
from scenario import Scenario


class Hard(generate.Writer):
    """Every law, with parameters that make it hard."""
    def __init__(self, rng):
        super().__init__(rng)
        self.laws = generate.LAWS + ["student", "beta", "measured", "tests in", "measured"]
        self.shapes, self.freedom = (0.2, 5), (1.5, 5)

    def measured(self, middle, half, kind):
        name, size = {"volume": ("x_l", 1.0), "content": ("x_percent", 0.01)}.get(kind, ("", 0.0))
        if not name:
            return ""
        values = self.rng.uniform(middle - half, middle + half, self.rng.integers(2, 61)) / size
        path = f"m{self.rng.integers(1 << 40)}.csv"
        with open(os.path.join(generate.FOLDER[0], path), "w") as file:
            file.write(f"{name}\n" + "".join(f"{x:.6g}\n" for x in values))
        return f'measured("{path}", "{name}")'


def scenario(number, folder):
    """The number-th scenario, written into the folder: its path, and its chance where counting can tell."""
    rng = np.random.default_rng([7, number])
    generate.FOLDER[0] = folder
    while True:
        text, rising = generate.body(rng, False, Hard, (1, 1, 2, 3, 4))
        if number % 3 == 0:
            text += generate.correlation(rng, Scenario(text, folder))
        draft = Scenario(text, folder)
        landing = reference.land(draft, reference.draw_cases(draft, 20000, int(rng.integers(2 ** 31))))
        if landing["volume"].min() > 0.5:
            break
    # Beyond what counting sees the limit goes on outward from the median.
    shares = np.exp(rng.uniform(np.log(0.002), np.log(0.5)))
    beyond = 1.0 if rng.random() < 0.5 else rng.uniform(1, 3)
    middle = np.median(landing["content"])
    at = lambda share: float(np.clip(middle + beyond * (np.quantile(landing["content"], share) - middle), 0.001, 0.999))
    text += "[limits]\n"
    if rising:
        text += f"minimum = {100 * at(shares):.4f} %\n"
    if not rising or rng.random() < 0.25:
        text += f"maximum = {100 * max(at(1 - shares), at(shares) + 1e-4):.4f} %\n"
    text += f"accepted-risk = {rng.choice([0.1, 1, 5])} %\ndry-risk = 5 %\n"
    path = os.path.join(folder, f"{number}.ini")
    with open(path, "w") as file:
        file.write("title = Invented, drawn at random\n" + text)
    return path


def ask(program, *words, limit=600.0):
    """The answer (None: refused), and the seconds that it took."""
    began = time.perf_counter()
    try:
        run = subprocess.run([program, *map(str, words)], capture_output=True, text=True, timeout=limit)
    except subprocess.TimeoutExpired:
        return None, limit
    took = time.perf_counter() - began
    return (json.loads(run.stdout) if run.returncode == 0 and "--json" in words else None), took


EXAMPLES = os.path.join(os.path.dirname(os.path.abspath(__file__)), os.pardir, os.pardir, "examples")
AIMS = {"chance": (0.1, 2), "fill": (0.3, 5), "heel": (0.3, 5), "arrive": (0.5, 5), "drivers": (0.5, 5)}


def times(program, paths, commands, limit):
    print(f"{'command':10}{'median':>9}{'95 %':>9}{'worst':>9}   aims at   slowest")
    for command in commands:
        took = np.array([ask(program, command, path, "--json", limit=limit)[1] for path in paths])
        slow = ", ".join(f"{os.path.basename(paths[i])[:-4]}: {took[i]:.2f}" for i in np.argsort(-took)[:5])
        most, worst = AIMS.get(command, (np.nan, np.nan))
        print(f"{command:10}{np.median(took):9.3f}{np.quantile(took, 0.95):9.3f}{took.max():9.2f}"
              f"   {most:g}, {worst:g} s   {slow}", flush=True)


def counted(path, cases):
    """Misses outside the limits, by the reference."""
    with open(path) as file:
        full = Scenario(file.read(), os.path.dirname(path))
    hits = 0
    for block in range(0, cases, 1 << 18):
        content = reference.land(full, reference.draw_cases(full, 1 << 18, 1000 + block))["content"]
        low, high = full["limits.minimum"], full["limits.maximum"]
        hits += int(np.sum((content < low) if low is not None else np.zeros(len(content), bool)))
        hits += int(np.sum((content > high) if high is not None else np.zeros(len(content), bool)))
    return hits


def agree(program, paths, cases):
    bad = compared = 0
    for path in paths:
        answer, _ = ask(program, "chance", path, "--json", "--seed", 5)
        if answer is None:
            continue
        outside = answer["outside"]
        if outside.get("bound_by"):
            continue  # a bound on purpose
        hits = counted(path, cases)
        p = hits / cases
        if hits < 20 and outside["chance"] * cases < 20:
            continue
        compared += 1
        q = max(p, outside["chance"])
        error = np.hypot(outside["standard_error"], np.sqrt(q * (1 - q) / cases))
        if abs(p - outside["chance"]) > 4 * error:
            bad += 1
            print(f"{path}: {outside['chance']:.6g} ± {outside['standard_error']:.2g}, counted {p:.6g} ± "
                  f"{np.sqrt(q * (1 - q) / cases):.2g}", flush=True)
    print(f"{compared} chances compared, {bad} apart")
    return bad


def of_the_benchmark(folder):
    """The benchmark problem at each of its limits."""
    with open(os.path.join(EXAMPLES, "benchmark.ini")) as file:
        text = file.read()
    paths = []
    for limit in (70, 68, 66, 60):
        paths.append(os.path.join(folder, f"benchmark-{limit}.ini"))
        with open(paths[-1], "w") as file:
            file.write(re.sub(r"(?m)^minimum *=.*$", f"minimum = {limit} %", text))
    return paths


def cover(program, paths, seeds, precision):
    """Of seeds seeds, how many intervals hold the chance of a run a hundred times finer."""
    shares, unsure, scattered = [], 0, 0
    for path in paths:
        run = subprocess.run([program, str(seeds), str(precision or 0), path], capture_output=True, text=True)
        one = json.loads(run.stdout)
        name = os.path.basename(path)
        if "left_out" in one:
            print(f"{name} left out: {one['left_out']}", flush=True)
            continue
        share = one["held"] / one["seeds"]
        note = one["less_sure"] > 0.5 * one["seeds"]
        unsure += note
        scattered += one["quantile_scatter"] > 3e-5
        if not note:
            shares.append(share)
        print(f"{name} {one['chance']:.4g} {100 * share:.1f} %{' (less sure)' if note else ''}, truth to "
              f"{one['relative_error'] / one['asked_relative_error']:.2f} of the error, quantiles scatter by "
              f"{one['quantile_scatter']:.1e}, told {one['quantile_error_told']:.1e}", flush=True)
    print(f"{len(shares)} scenarios: mean {100 * np.mean(shares):.2f} %, least {100 * min(shares):.1f} %, "
          f"93 to 97 % in {np.mean([0.93 <= s <= 0.97 for s in shares]) * 100:.0f} of 100; less sure {unsure}; quantiles "
          f"scatter by more than 3e-5 in {scattered}")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--scenarios", type=int, default=400)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--commands", default="chance,fill,heel,drivers")
    parser.add_argument("--limit", type=float, default=60.0, help="seconds after which a command is stopped")
    parser.add_argument("--folder", help="keep the scenarios there")
    parser.add_argument("--agree", action="store_true")
    parser.add_argument("--cases", type=int, default=1 << 21)
    parser.add_argument("--cover", type=int, default=0)
    parser.add_argument("--precision")
    parser.add_argument("--examples", action="store_true")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = options.folder or temporary
        os.makedirs(folder, exist_ok=True)
        if options.examples:
            paths = sorted(glob.glob(os.path.join(EXAMPLES, "*.ini"))) + of_the_benchmark(folder)
        else:
            paths = [scenario(k, folder) for k in range(options.first, options.first + options.scenarios)]
        if options.agree:
            return 1 if agree(options.program, paths, options.cases) else 0
        if options.cover:
            return cover(options.program, paths, options.cover, options.precision)
        times(options.program, paths, options.commands.split(","), options.limit)
    return 0


if __name__ == "__main__":
    sys.exit(main())
