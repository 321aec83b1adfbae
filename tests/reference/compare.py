"""Comparisons of the program's numbers with the reference's, all at one level.

Every comparison is a test of "both sides are right" at the level 1e-3 / (LEVELS a scenario), so that a run in which
nothing is wrong reports a disagreement with a chance of at most 1e-3 (Bonferroni). Half of a level goes to the
program's side (its standard error, Student t with the 15 degrees of freedom of 16 scramblings), half to the
reference's: binomial, exact, for counts; normal for means and weighted cases. Amounts, readings and quantiles are
compared as chances: the reference counts at the program's answer, which must be what the answer claims.

Beside the verdict each comparison leaves its deviation, in standard errors of both sides together (where few are
counted: the normal deviate of the binomial tail), for the summary alone.
"""
import numpy as np
from scipy import stats

from measured import Event
from reference import outside

LEVELS = 900
AT_ENDS = 0.05  # of what measured values bear, docs/method.md
LANDED_ERROR = 1e-5  # of landed contents, docs/method.md


class Tally:
    """Comparisons made and those that fail."""

    def __init__(self, scenarios, false_alarm=1e-3):
        self.level = false_alarm / (LEVELS * scenarios)
        self.t = stats.t.isf(self.level / 4, 15)
        self.z = stats.norm.isf(self.level / 4)
        self.made, self.failed, self.skipped, self.where = {}, [], {}, ""
        self.deviations, self.fits = {}, []

    def note(self, name, right, text, deviation=None):
        self.made[name] = self.made.get(name, 0) + 1
        if deviation is not None and np.isfinite(deviation):
            self.deviations.setdefault(name, []).append((abs(float(deviation)), self.where))
        if not right:
            self.failed.append(f"{self.where}: {name}: {text}")

    def skip(self, why):
        self.skipped[why] = self.skipped.get(why, 0) + 1

    def equal(self, name, said, own, error=1e-9):
        """Two numbers that arithmetic alone gives; `error` is relative, or absolute below 1."""
        same = (said is None) == (own is None) and (own is None or abs(said - own) <= error * max(abs(own), 1))
        self.note(name, same, f"the program says {said}, it should be {own}")

    def band(self, estimate):
        p, se = estimate["chance"], estimate["standard_error"]
        low, high = p - self.t * se, p + self.t * se
        stretch = np.log(4 / self.level) / np.log(40)  # a bound at 2.5 %, taken to our level
        if p == 0:
            high = max(high, estimate["interval_95"][1] * stretch)
        if p == 1:
            low = min(low, 1 - (1 - estimate["interval_95"][0]) * stretch)
        return max(low, 0.0), min(high, 1.0)

    def count(self, name, low, high, hits, n, se=None, p=None):
        """The program says a chance p, in low to high; the reference counted hits of n."""
        if n == 0:
            return
        slack = 1e-12
        over = stats.binom.sf(hits - 1, n, min(high + slack, 1)) if hits else 1.0
        under = stats.binom.cdf(hits, n, max(low - slack, 0))
        p = (low + high) / 2 if p is None else p
        if se is not None and 25 < n * p < n - 25:
            deviation = (hits / n - p) / np.sqrt(p * (1 - p) / n + se * se)
        else:
            deviation = stats.norm.isf(min(over, under, 0.5))
        self.note(name, over >= self.level / 4 and under >= self.level / 4,
                  f"the program says {low:.6g} to {high:.6g}, the reference counts {hits} of {n} = {hits / n:.6g}",
                  deviation)

    def chance(self, name, estimate, event):
        """`event`: what happens in the reference's cases, as hits or as a measured.Event."""
        if isinstance(event, Event):
            if event.least > 0:
                return self.bears(name, estimate, event)
            event = event.hits
        self.counted(name, estimate, event)

    def bears(self, name, estimate, event):
        """The chance itself, or what the measured values bear where that is more."""
        n, raw, p = len(event.hits), event.hits.mean(), estimate["chance"]
        own = self.z * np.hypot(event.least_se, np.sqrt(raw * (1 - raw) / n)) + self.z / n
        both = own + self.t * estimate["standard_error"] + AT_ENDS * event.least
        if event.least + own + AT_ENDS * event.least < raw:
            return self.counted(name, estimate, event.hits)
        if event.least - own - AT_ENDS * event.least > raw:
            self.note(name + ", bound", "bound_by" not in estimate or estimate["bound_by"] == "measured values", "")
            low = event.least - both
        else:
            low = min(event.least, raw) - both
        high = max(event.least, raw) + both
        self.note(name, low <= p <= high, f"the program says {p:.6g}, the reference counts {raw:.6g}, and measured "
                                          f"values bear no less than {event.least:.6g}")

    def counted(self, name, estimate, hits):
        self.count(name, *self.band(estimate), int(np.sum(hits)), len(hits), estimate["standard_error"],
                   estimate["chance"])

    def quantile(self, name, p, value, below, at_most, program_cases=None):
        """`below` and `at_most`: among the reference's cases, those strictly below the value and those up to it."""
        own = np.sqrt(p * (1 - p) / program_cases) if program_cases else 0
        spread = self.z * own
        n = len(below)
        if n < 50:
            return self.skip("too few cases for a quantile")
        low_hits, high_hits = int(np.sum(below)), int(np.sum(at_most))
        right = (stats.binom.sf(low_hits - 1, n, min(p + spread, 1)) >= self.level / 4
                 and stats.binom.cdf(high_hits, n, max(p - spread, 0)) >= self.level / 4)
        off = max(low_hits / n - p, p - high_hits / n, 0) / np.sqrt(p * (1 - p) / n + own * own)
        self.note(name, right, f"the program's {p:g} quantile is {value:.8g}, where the reference counts "
                               f"{low_hits / n:.6g} below and {high_hits / n:.6g} up to it, of {n}", off)

    def value(self, name, said, said_se, own, own_se, error=0.0):
        """A number with a standard error on both sides; `error` is the program's known error beside."""
        both = np.hypot(said_se, own_se) + error
        off = abs(said - own)
        self.note(name, off <= self.t * said_se + self.z * own_se + error,
                  f"program {said:.8g} +- {said_se:.2g}, reference {own:.8g} +- {own_se:.2g}",
                  off / both if both > 0 else None)

    def landed(self, name, said, content):
        """Mean, standard deviation and quantiles of the landed content."""
        n = len(content)
        e = LANDED_ERROR * self.t
        for p, value in said["quantiles"].items():
            self.quantile(name + " quantile", float(p), value, content < value - e, content <= value + e)
        self.value(name + " mean", said["mean"], 0, content.mean(), content.std(ddof=1) / np.sqrt(n), e)
        squares = (content - content.mean()) ** 2
        sd = np.sqrt(squares.mean())
        se = squares.std() / np.sqrt(n) / (2 * sd) if sd > 1e-9 else 0
        self.value(name + " sd", said["standard_deviation"], 0, sd, se, e)

    def take(self, other):
        """Adds the comparisons of another tally."""
        for name, count in other.made.items():
            self.made[name] = self.made.get(name, 0) + count
        for why, count in other.skipped.items():
            self.skipped[why] = self.skipped.get(why, 0) + count
        for name, found in other.deviations.items():
            self.deviations.setdefault(name, []).extend(found)
        self.failed += other.failed


class Risk:
    """Counted risk along an amount or a reading, on common cases, with verdicts against an accepted risk.

    happens(x, cases): in which cases it is a miss. What measured values bear counts as well."""

    def __init__(self, tally, scenario, cases, happens, risk):
        self.tally, self.scenario, self.cases, self.happens, self.risk = tally, scenario, cases, happens, risk

    def event(self, x):
        return Event(self.scenario, self.cases, lambda some: self.happens(x, some))

    def hits(self, x):
        """How many, and what measured values bear, from and to."""
        event = self.event(x)
        self.n = len(event.hits)
        error = AT_ENDS * event.least + self.tally.z * event.least_se
        return int(np.sum(event.hits)), event.least - error, event.least + error

    def within(self, name, x):
        k, least, _ = self.hits(x)
        p = stats.binom.sf(k - 1, self.n, self.risk) if k else 1.0
        self.tally.note(name, p >= self.tally.level / 4 and least <= self.risk,
                        f"at {x:.6g} the reference counts {k} of {self.n} = {k / self.n:.6g}, and measured values bear "
                        f"no less than {least:.6g}, more than {self.risk:g}", max(stats.norm.isf(min(p, 0.5)), 0))

    def over(self, name, x):
        k, _, least = self.hits(x)
        p = 1.0 if least > self.risk else stats.binom.cdf(k, self.n, self.risk)
        self.tally.note(name, p >= self.tally.level / 4, f"at {x:.6g} already the reference counts {k} of {self.n} "
                        f"= {k / self.n:.6g}, within {self.risk:g}, and measured values bear {least:.6g}",
                        max(stats.norm.isf(min(p, 0.5)), 0))

    def is_about(self, name, x, chance, relative):
        """The chance at x, known to the program within a relative standard error, and by counting here."""
        estimate = {"chance": chance, "standard_error": relative * chance, "interval_95": [0.0, 1.0 * (chance == 1)]}
        self.tally.chance(name, estimate, self.event(x))


def is_out(scenario, content, side=None):
    """Whether a content is outside the limits, or on one side of them."""
    below, above = outside(scenario, content)
    return below if side == "below" else above if side == "above" else below | above
