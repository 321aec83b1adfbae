#!/usr/bin/env python3
"""Holds drivers against OpenTURNS: its Sobol' indices, and safe amounts and readings on its samples.

usage: openturns_check.py PROGRAM

OpenTURNS draws the inputs and estimates the indices (Martinez's estimator, with its asymptotic intervals); the model
is reference.land, written from docs/method.md. An amount or a reading with one input known is sought on a sample: it
lies between those at which counting finds the accepted risk within the binomial law. The level of each comparison is
1e-3 over their number, half to the program's side (Student's t of 16 scramblings), half to OpenTURNS's. `chance`
with correlated inputs is held against its normal copula. Twins, which must be found out: the hose forgotten, and
independent inputs in the place of correlated ones.
Exit status: 0 agreement, 1 disagreement, 77 OpenTURNS missing.
"""
import json
import os
import subprocess
import sys
import tempfile

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
try:
    import numpy as np
    import openturns as ot
    from scipy import stats
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-openturns python3-scipy")
    sys.exit(77)

from compare import is_out
from reference import held, land
from scenario import Scenario, read_scenario

EXAMPLES = (("sedan.ini", ["--limits.minimum", "58 %"]), ("hatchback-metered.ini", ["--limits.minimum", "45 %"]))
LEVEL = 1e-3 / 200  # at most so many comparisons
SIZE = 1 << 16
CASES = 100000
ROUNDING = 1e-9
CORRELATED = """[tank]
capacity = 60 L
[heel]
indicated = 15 L
gauge-error = normal(0 L, 1.5 L)
content = uniform(5 %, 10 %)
[fuel]
content = uniform(68 %, 83 %)
[fill]
amount = 30 L
[fill-2]
content = triangular(68 %, 76 %, 83 %)
burn-first = normal(25 L, 2 L)
[limits]
minimum = 62 %
[correlation]
fuel.content, fill-2.content = 0.7
heel.gauge-error, fill-2.burn-first = -0.5
"""


def distribution(law):
    """OpenTURNS's distribution of a law."""
    p = law.numbers
    make = {"normal": ot.Normal, "uniform": ot.Uniform, "triangular": ot.Triangular,
            "trapezoidal": ot.Trapezoidal, "arcsine": ot.Arcsine,
            "student": lambda centre, scale, dof: ot.Student(dof, centre, scale),
            "beta": lambda low, high, a, b: ot.Beta(a, b, low, high)}
    whole = make[law.kind](*p)
    return ot.TruncatedDistribution(whole, *law.window) if law.window else whole


class Model:
    """The scenario's uncertain inputs as OpenTURNS has them."""

    def __init__(self, scenario):
        self.scenario = scenario
        laws = scenario.laws()
        self.keys = [key for key, law in laws.items() if law.kind != "exact"]
        self.exact = {key: law.numbers[0] for key, law in laws.items() if law.kind == "exact"}
        self.marginals = [distribution(laws[key]) for key in self.keys]
        matrix = ot.CorrelationMatrix(len(self.keys))
        for (a, b), rho in scenario.correlation.items():
            matrix[self.keys.index(a), self.keys.index(b)] = rho
        copula = ot.NormalCopula(ot.NormalCopula.GetCorrelationFromSpearmanCorrelation(matrix)) \
            if scenario.correlation else ot.IndependentCopula(len(self.keys))
        self.joint = ot.ComposedDistribution(self.marginals, copula)

    def cases(self, sample, known=None):
        columns = np.array(sample)
        cases = {key: held(columns[:, i], key) for i, key in enumerate(self.keys)}
        cases.update({key: np.full(len(columns), value) for key, value in self.exact.items()})
        if known:
            mean = self.marginals[self.keys.index(known)].getMean()[0]
            cases[known] = np.full(len(columns), mean)
        return cases


class Found:
    def __init__(self):
        self.made, self.wrong, self.largest = 0, [], 0.0

    def note(self, right, text, deviation=0.0):
        self.made += 1
        self.largest = max(self.largest, deviation)
        if not right:
            self.wrong.append(text)


def indices(found, model, answer):
    experiment = ot.SobolIndicesExperiment(model.joint, SIZE, False).generate()
    content = land(model.scenario, model.cases(experiment))["content"]
    estimator = ot.MartinezSensitivityAlgorithm(experiment, ot.Sample(content[:, None]), SIZE)
    estimator.setUseAsymptoticDistribution(True)
    estimator.setConfidenceLevel(1 - LEVEL / 2)
    t = stats.t.isf(LEVEL / 4, 15)
    wide = stats.norm.isf(LEVEL / 4)
    said = {one["key"]: one for one in answer["inputs"]}
    for name, values, spread in (
            ("first_order", estimator.getFirstOrderIndices(), estimator.getFirstOrderIndicesInterval()),
            ("total", estimator.getTotalOrderIndices(), estimator.getTotalOrderIndicesInterval())):
        low, high = spread.getLowerBound(), spread.getUpperBound()
        for i, key in enumerate(model.keys):
            if key not in said:
                continue  # of the line, which the landing does not depend on
            it, half = said[key][name], (high[i] - low[i]) / 2
            off = abs(it["value"] - values[i])
            found.note(off <= t * it["standard_error"] + half + ROUNDING,
                       f"{name} of {key}: {it['value']:.5f} +- {it['standard_error']:.1g}, OpenTURNS {values[i]:.5f} "
                       f"in {low[i]:.5f} to {high[i]:.5f}", off / (np.hypot(it["standard_error"], half / wide) + ROUNDING))


def bounds(hits, n, risk, low, high):
    """Where counting finds the risk, and the binomial law's ends of it, along a rising or falling chance."""
    ends = []
    for allowed in (stats.binom.ppf(LEVEL / 2, n, risk), risk * n, stats.binom.isf(LEVEL / 2, n, risk)):
        a, b = low, high  # within the risk at `high`
        for _ in range(20):
            middle = (a + b) / 2
            a, b = (a, middle) if hits(middle) <= allowed else (middle, b)
        ends.append(b)
    return min(ends), ends[1], max(ends)


def decisions(found, model, answer):
    scenario = model.scenario
    risk = scenario["limits.accepted-risk"]
    sample = model.joint.getSample(CASES)
    size = scenario["tank.capacity"]
    for one in [{"key": None, "safe_amount_if_known": answer["safe_amount"],
                 "highest_indicated_if_known": answer["highest_indicated"]}] + answer["inputs"]:
        cases = model.cases(sample, one["key"])
        out = lambda **how: int(is_out(scenario, land(scenario, cases, **how)["content"]).sum())
        for name, said, step, ends, hits in (
                ("safe amount", one["safe_amount_if_known"], 0.01, (0, size), lambda a: out(amount=a)),
                ("highest reading", one["highest_indicated_if_known"], -0.1, (size, 0),
                 lambda h: out(indicated=h, to_click_off=True))):
            if said is None:
                found.note(hits(ends[1]) > stats.binom.ppf(LEVEL / 2, CASES, risk), f"{name} with {one['key']} known")
                continue
            low, own, high = bounds(hits, CASES, risk, *ends)
            found.note(low - max(-step, 0) - 1e-9 <= said <= high + max(step, 0) + 1e-9,
                       f"{name} with {one['key']} known: {said}, on OpenTURNS's sample {own:.3f} in {low:.3f} to "
                       f"{high:.3f}")


def correlated(found, program, folder):
    path = os.path.join(folder, "correlated.ini")
    with open(path, "w") as file:
        file.write(CORRELATED)
    answer = ask(program, "chance", path)
    model = Model(Scenario(CORRELATED))
    ot.RandomGenerator.SetSeed(3)
    hits = is_out(model.scenario, land(model.scenario, model.cases(model.joint.getSample(5 * CASES)))["content"])
    p, se, n = answer["outside"]["chance"], answer["outside"]["standard_error"], len(hits)
    own = hits.mean()
    low, high = p - stats.t.isf(LEVEL / 4, 15) * se, p + stats.t.isf(LEVEL / 4, 15) * se
    found.note(stats.binom.sf(hits.sum() - 1, n, high) > LEVEL / 4 and stats.binom.cdf(hits.sum(), n, low) > LEVEL / 4,
               f"correlated chance {p:.5g} +- {se:.1g}, OpenTURNS counts {own:.5g}",
               abs(p - own) / np.sqrt(p * (1 - p) / n + se * se))
    independent = Scenario(CORRELATED.split("[correlation]")[0])
    hits = is_out(independent, land(independent, Model(independent).cases(
        Model(independent).joint.getSample(CASES)))["content"])
    found.note(stats.binom.sf(hits.sum() - 1, CASES, high) < LEVEL / 4
               or stats.binom.cdf(hits.sum(), CASES, low) < LEVEL / 4, "independent inputs pass for correlated ones")


def ask(program, command, path, *words):
    return json.loads(subprocess.run([program, command, path, "--json", *words], capture_output=True, text=True,
                                     check=True).stdout)


def main():
    program = sys.argv[1]
    examples = os.path.join(os.path.dirname(__file__), "..", "..", "examples")
    found, missed = Found(), 0
    for number, (name, words) in enumerate(EXAMPLES):
        path = os.path.join(examples, name)
        answer = ask(program, "drivers", path, *words)
        scenario = read_scenario(path)
        scenario.set("limits", "minimum", words[1], examples)
        model = Model(scenario)
        ot.RandomGenerator.SetSeed(number + 1)
        indices(found, model, answer)
        decisions(found, model, answer)
        if name == "sedan.ini":
            scenario.broken = "hose"
            for compare in (indices, decisions):
                probe = Found()
                compare(probe, model, answer)
                missed += not probe.wrong
    with tempfile.TemporaryDirectory() as folder:
        correlated(found, program, folder)
    for text in found.wrong:
        print("DISAGREEMENT " + text)
    if missed:
        print("NOT FOUND OUT a model without the hose", missed)
    print(f"{found.made} comparisons with OpenTURNS {ot.__version__}, {len(found.wrong)} disagreements (false-alarm rate "
          f"at most 0.1 %), indices within {found.largest:.2f} standard errors")
    return 1 if found.wrong or missed or found.made > 200 else 0


if __name__ == "__main__":
    sys.exit(main())
