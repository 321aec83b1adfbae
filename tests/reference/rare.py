#!/usr/bin/env python3
"""Holds chances far below what counting sees against points spread wide, whatever the way to fail.

usage: rare.py PROGRAM [--scenarios N] [--first K] [--of M] [--below P] [--points MILLIONS]

Of the M invented scenarios of tests/bench/laws.py from the K-th on, the first N whose chance of landing outside the
limits is told below P (1e-6 unless told), not below 1e-20, where points so spread are too few, and not as a bound. Importance sampling without a search for where it fails:
every normal score of a case is drawn, with even odds, from its own law or from one wider by a factor that the case
shares, of several; each case weighs by the density of all (balance heuristic; E. Veach and L. Guibas, SIGGRAPH 1995,
from memory). The model is reference.land, written from docs/method.md. The two agree within 4 standard errors of their
difference. Twins, which must be found out where the error allows it: twice the chance, and half of it.
Exit status: 0 agreement, 1 disagreement, 77 NumPy or SciPy missing.
"""
import argparse
import importlib.util
import os
import sys
import tempfile
import warnings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
try:
    import numpy as np
    from scipy import stats
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-numpy python3-scipy")
    sys.exit(77)

from compare import is_out
from copula import Copula, held
from reference import land
from scenario import Scenario

HERE = os.path.dirname(os.path.abspath(__file__))
SPEC = importlib.util.spec_from_file_location("hard_laws", os.path.join(HERE, os.pardir, "bench", "laws.py"))
bench = importlib.util.module_from_spec(SPEC)  # it shares its name with a module of this folder
SPEC.loader.exec_module(bench)

warnings.filterwarnings("ignore", category=RuntimeWarning)  # of a beta law's last quantiles, which hardly any case asks
BLOCK = 1 << 18
LEAST = 1e-20
ERRORS = 4
WIDER = np.array([1.5, 2.0, 2.5, 3.0])
FURTHEST = 24.0  # of the table of quantiles
ELSEWHERE = ("line.", "engine.idle", "engine.gentle")  # what the landing does not ask


def quantile(law, z):
    """Where the normal score is z; from the right end of the law where the share near 1 has no digits left."""
    low = law.quantile(stats.norm.cdf(np.minimum(z, 0)))
    if law.kind in ("normal", "student", "tests") and law.window is None and type(law).__name__ == "Law":
        return np.where(z < 0, low, law.frozen().isf(stats.norm.sf(np.maximum(z, 0))))
    if law.kind == "quantiles" and law.window is None:
        line = law.frozen()
        return line.line(z, line.z, line.x)
    return np.where(z < 0, low, law.quantile(stats.norm.cdf(np.maximum(z, 0))))


class Scores:
    """The uncertain inputs of a scenario as functions of independent normal scores."""

    def __init__(self, scenario):
        self.scenario = scenario
        self.laws = {key: law for key, law in scenario.laws().items() if not key.startswith(ELSEWHERE)}
        self.keys = [key for key, law in self.laws.items() if law.kind != "exact"]
        joint = Copula(scenario)
        there = [i for i, key in enumerate(joint.keys) if key in self.keys]
        at = [self.keys.index(joint.keys[i]) for i in there]
        matrix = np.eye(len(self.keys))
        matrix[np.ix_(at, at)] = joint.matrix[np.ix_(there, there)]
        self.root = np.linalg.cholesky(matrix)
        self.at = np.linspace(-FURTHEST, FURTHEST, 1 << 17)
        self.tables = {key: quantile(self.laws[key], self.at) for key in self.keys if not self.has_steps(key)}

    def has_steps(self, key):
        return self.laws[key].kind == "measured"

    def value(self, key, z):
        return held(quantile(self.laws[key], z) if self.has_steps(key) else np.interp(z, self.at, self.tables[key]), key)

    def fails(self, scores):
        """Which cases land outside."""
        joint = self.root @ scores
        cases = {key: self.value(key, z) for key, z in zip(self.keys, joint)}
        size = scores.shape[1]
        cases.update({key: np.full(size, law.numbers[0]) for key, law in self.laws.items() if law.kind == "exact"})
        return is_out(self.scenario, land(self.scenario, cases)["content"])


def spread(scenario, points, seed):
    """The chance and its standard error."""
    scores = Scores(scenario)
    rng = np.random.default_rng(seed)
    sums = []
    for _ in range(max(8, points // BLOCK)):
        factor = WIDER[rng.integers(len(WIDER), size=BLOCK)]
        z = rng.standard_normal((len(scores.keys), BLOCK))
        z *= np.where(rng.random(z.shape) < 0.5, factor, 1)
        out = np.flatnonzero(scores.fails(z))
        half = np.square(z[:, out]) / 2
        density = sum(np.prod(0.5 + 0.5 / s * np.exp(half * (1 - 1 / s ** 2)), axis=0) for s in WIDER) / len(WIDER)
        sums.append(np.sum(1 / density) / BLOCK)
    return np.mean(sums), np.std(sums, ddof=1) / np.sqrt(len(sums))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--scenarios", type=int, default=20)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--of", type=int, default=400)
    parser.add_argument("--below", type=float, default=1e-6)
    parser.add_argument("--points", type=float, default=20.0)
    options = parser.parse_args()
    compared, apart, twins = 0, 0, []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(options.first, options.first + options.of):
            path = bench.scenario(number, folder)
            answer, _ = bench.ask(options.program, "chance", path, "--json")
            outside = (answer or {}).get("outside", {})
            if not outside or outside.get("bound_by") or not LEAST < outside["chance"] < options.below:
                continue
            with open(path) as file:
                scenario = Scenario(file.read(), folder)
            if scenario.done() or scenario.looked_again():
                continue
            p, error = spread(scenario, int(options.points * 1e6), number)
            off = (outside["chance"] - p) / np.hypot(error, outside["standard_error"])
            if error < 0.1 * p:
                twins += [abs(share * outside["chance"] - p) > ERRORS * np.hypot(error, share * outside["standard_error"])
                          for share in (2, 0.5)]
            compared, apart = compared + 1, apart + (abs(off) > ERRORS)
            print(f"{number}: {outside['chance']:.4g} ± {outside['standard_error']:.2g}, spread points {p:.4g} ± {error:.2g}"
                  f" ({off:+.2f} standard errors)", flush=True)
            if compared == options.scenarios:
                break
    print(f"{compared} chances below {options.below:g} compared, {apart} apart; {sum(twins)} of {len(twins)} twins found out")
    return 1 if apart or not compared or not all(twins) else 0


if __name__ == "__main__":
    sys.exit(main())
