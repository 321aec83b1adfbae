"""What n measured values bear (docs/method.md): beyond them, at either end, lies the next one with chance 1 / (n + 1).

An event's chance is counted as if there were nothing beyond; what that may add is counted with the input at an end of
what it may be, by the very same draws of everything else.
"""
import numpy as np
from scipy import stats

from copula import Copula, held

FAR = {"content": 1.0, "bias": 1.0, "meter-error": 1.0, "gauge-error": 1e6, "idle": 1.0, "gentle": 1.0,
       "return-flow": 1.0}  # fractions, litres, litres a second; all others are volumes


def ends(scenario, key):
    """The least and the greatest that an input may be: those of its window, or what is possible at all."""
    name = key.split(".")[1]
    law, values = scenario[key], scenario[key].inside()
    far = FAR.get("content" if name.endswith("content") else name, scenario["tank.capacity"])
    low, high = held(np.array([-far, far]), key) if law.window is None else np.clip(
        held(np.array(law.window), key), -far, far)
    return min(low, values.min()), max(high, values.max())


def at_end(scenario, cases, key, end):
    """The same cases with an input at an end, and those correlated with it as the middle of that tail makes them."""
    joint, full = Copula(scenario), dict(cases)
    if key in joint.keys:
        tail = stats.norm.ppf(0.5 / (len(scenario[key].inside()) + 1))
        full.update(joint.values(joint.given(key, tail if end == 0 else -tail, cases["scores"])))
    full[key] = np.full(len(cases["noise"]), ends(scenario, key)[end])
    return full


class Event:
    """Something that happens in some cases: happens(cases)."""

    def __init__(self, scenario, cases, happens):
        self.scenario, self.cases, self.happens = scenario, cases, happens
        self.hits = np.asarray(happens(cases))
        self.least, self.least_se = 0.0, 0.0
        for key, law in scenario.laws().items():
            if law.kind == "measured" and key in cases:
                self.add(key, len(law.inside()))

    def add(self, key, n):
        share = (2 if self.scenario.broken == "measured" else 1) / (n + 1)
        shares = [np.mean(self.happens(at_end(self.scenario, self.cases, key, end))) for end in (0, 1)]
        f, raw = max(shares), self.hits.mean()
        if f > raw:
            self.least += share * f * min(1, 1.5 * (1 - raw / f))
        self.least_se = np.hypot(self.least_se, share * np.sqrt(f * (1 - f) / len(self.hits)))
