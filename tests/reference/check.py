#!/usr/bin/env python3
"""Compares the program with the reference: every example, and invented scenarios at random.

usage: check.py PROGRAM [--scenarios N] [--seed S] [--cases N] [--commands A,B] [--odd] [--keep DIR] [--verbose]

Every comparison is a test of "both sides are right" at the level 1e-3 / (80 a scenario and command), so that a
run in which nothing is wrong reports a disagreement with a chance of at most 1e-3 (Bonferroni). Half of a level
goes to the program's side (its standard error, Student t with the 15 degrees of freedom of 16 scramblings), half
to the reference's: binomial, exact, for counts; normal for weighted cases, with the effective number of cases.
Amounts, readings and quantiles are compared as chances: the reference counts at the program's answer, which must
be what the answer claims. Landed quantiles carry the error of docs/method.md, 1e-5, times the t factor; quantiles
of arrive count as 16384 cases and those of update as `effective_cases`, scrambled points being no worse.
Exit status: 0 agreement, 1 disagreement, 77 NumPy or SciPy missing.
"""
import argparse
import json
import os
import re
import subprocess
import sys
import tempfile

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
try:
    import numpy as np
    from scipy import stats
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-numpy python3-scipy")
    sys.exit(77)

import generate
import reference
from reference import ROUNDING, Line, draw_cases, land, mean_case, outside
from scenario import Scenario, read_scenario

PER_SCENARIO = 320
ARRIVE_CASES = 16384
LANDED_ERROR = 1e-5


class Tally:
    """Comparisons made and those that fail."""

    def __init__(self, scenarios, false_alarm=1e-3):
        self.level = false_alarm / (PER_SCENARIO * scenarios)
        self.t = stats.t.isf(self.level / 4, 15)
        self.z = stats.norm.isf(self.level / 4)
        self.made, self.failed, self.skipped, self.where = {}, [], {}, ""

    def note(self, name, right, text):
        self.made[name] = self.made.get(name, 0) + 1
        if not right:
            self.failed.append(f"{self.where}: {name}: {text}")

    def skip(self, why):
        self.skipped[why] = self.skipped.get(why, 0) + 1

    def band(self, estimate):
        p, se = estimate["chance"], estimate["standard_error"]
        low, high = p - self.t * se, p + self.t * se
        stretch = np.log(4 / self.level) / np.log(40)  # a bound at 2.5 %, taken to our level
        if p == 0:
            high = max(high, estimate["interval_95"][1] * stretch)
        if p == 1:
            low = min(low, 1 - (1 - estimate["interval_95"][0]) * stretch)
        return max(low, 0.0), min(high, 1.0)

    def count(self, name, low, high, hits, n):
        """The program says a chance of low to high; the reference counted hits of n."""
        if n == 0:
            return
        slack = 1e-12
        over = stats.binom.sf(hits - 1, n, min(high + slack, 1)) if hits else 1.0
        under = stats.binom.cdf(hits, n, max(low - slack, 0))
        self.note(name, over >= self.level / 4 and under >= self.level / 4,
                  f"the program says {low:.6g} to {high:.6g}, the reference counts {hits} of {n} = {hits / n:.6g}")

    def chance(self, name, estimate, hits):
        self.count(name, *self.band(estimate), int(np.sum(hits)), len(hits))

    def quantile(self, name, p, value, below, at_most, program_cases=None):
        """`below` and `at_most`: among the reference's cases, those strictly below the value and those up to it."""
        spread = self.z * np.sqrt(p * (1 - p) / program_cases) if program_cases else 0
        n = len(below)
        if n < 50:
            return self.skip("too few cases for a quantile")
        low_hits, high_hits = int(np.sum(below)), int(np.sum(at_most))
        right = (stats.binom.sf(low_hits - 1, n, min(p + spread, 1)) >= self.level / 4
                 and stats.binom.cdf(high_hits, n, max(p - spread, 0)) >= self.level / 4)
        self.note(name, right, f"the program's {p:g} quantile is {value:.8g}, where the reference counts "
                               f"{low_hits / n:.6g} below and {high_hits / n:.6g} up to it, of {n}")


def is_out(scenario, content, side=None):
    below, above = outside(scenario, content)
    return below if side == "below" else above if side == "above" else below | above


def check_chance(tally, scenario, answer, cases, twin):
    landing = land(scenario, cases, twin=twin)
    c = landing["content"]
    below, above = outside(scenario, c)
    n = len(c)
    landed = answer["landed"]
    for p, value in landed["quantiles"].items():
        e = LANDED_ERROR * tally.t
        tally.quantile("chance landed quantile", float(p), value, c < value - e, c <= value + e)
    se = c.std(ddof=1) / np.sqrt(n)
    e = LANDED_ERROR * tally.t
    tally.note("chance landed mean", abs(landed["mean"] - c.mean()) <= tally.z * se + e,
               f"program {landed['mean']:.8g}, reference {c.mean():.8g} +- {se:.2g}")
    squares = (c - c.mean()) ** 2
    sd = np.sqrt(squares.mean())
    se = squares.std() / np.sqrt(n) / (2 * sd) if sd > 1e-9 else 0
    tally.note("chance landed sd", abs(landed["standard_deviation"] - sd) <= tally.z * se + e,
               f"program {landed['standard_deviation']:.8g}, reference {sd:.8g} +- {se:.2g}")
    for key, hits in (("below_minimum", below), ("above_maximum", above), ("outside", below | above),
                      ("run_dry", landing["first_heel"] < scenario["tank.pickup-floor"])):
        if key == "run_dry" and answer.get(key):
            later = run_dry(scenario, cases)
            tally.chance("chance run_dry", answer[key], later)
        elif answer.get(key):
            tally.chance("chance " + key, answer[key], hits)
    if answer.get("clicked_off_early") and landing["early"] is not None:
        tally.chance("chance clicked_off_early", answer["clicked_off_early"], landing["early"])


def run_dry(scenario, cases, indicated=None):
    """The heel below the pickup floor before any fill, later fills included."""
    dry = np.zeros(len(cases["noise"]), bool)
    for count in range(len(scenario.fills)):
        dry |= heel_before(scenario, cases, count, indicated) < scenario["tank.pickup-floor"]
    return dry


def heel_before(scenario, cases, index, indicated=None):
    full, gauge = cases["tank.click-off"], cases["heel.gauge-error"]
    heel = np.clip((scenario["heel.indicated"] if indicated is None else indicated) + gauge, 0, full)
    for number, (fuel, shown) in enumerate(scenario.fills[:index]):
        room = full - heel
        heel = heel + (room if shown is None else np.minimum(shown * (1 + cases[fuel + ".meter-error"]), room))
        later = scenario.fills[number + 1][0]
        if scenario[later + ".indicated"] is not None:
            heel = np.clip(scenario[later + ".indicated"] + gauge, 0, heel)
        else:
            heel = np.clip(heel - cases[later + ".burn-first"], 0, full)
    return heel


class Risk:
    """Counted risk along an amount or a reading, on common cases, with three kinds of verdict."""

    def __init__(self, tally, n, hits_at, risk):
        self.tally, self.n, self.hits_at, self.risk = tally, n, hits_at, risk

    def hits(self, x):
        return int(np.sum(self.hits_at(x)))

    def clearly_over(self, x):
        k = self.hits(x)
        return k > 0 and stats.binom.sf(k - 1, self.n, self.risk) < self.tally.level / 4

    def clearly_within(self, x):
        return stats.binom.cdf(self.hits(x), self.n, self.risk) < self.tally.level / 4

    def within(self, name, x):
        self.tally.note(name, not self.clearly_over(x), f"at {x:.6g} the reference counts "
                        f"{self.hits(x)} of {self.n} = {self.hits(x) / self.n:.6g}, more than {self.risk:g}")

    def over(self, name, x):
        self.tally.note(name, not self.clearly_within(x), f"at {x:.6g} already the reference counts "
                        f"{self.hits(x)} of {self.n} = {self.hits(x) / self.n:.6g}, within {self.risk:g}")

    def solve(self, inside, beyond):
        """Where the counted risk crosses the accepted one, by bisection between two places."""
        for _ in range(40):
            middle = (inside + beyond) / 2
            if self.hits(middle) <= self.risk * self.n:
                inside = middle
            else:
                beyond = middle
        return inside


def check_fill(tally, scenario, answer, cases, twin):
    n = len(cases["noise"])
    risk = Risk(tally, n, lambda a: is_out(scenario, land(scenario, cases, amount=a, twin=twin)["content"]),
                scenario["limits.accepted-risk"])
    room = float(answer["room"])
    most = max(room, 0) + 3
    safe, largest = answer["safe_amount"], answer["largest_amount"]
    grid = np.linspace(0, most, 17)
    if safe is None:
        for a in grid:
            risk.over("fill none will do", a)
    else:
        risk.within("fill safe amount", safe)
        if safe > 0.0101:
            risk.over("fill one step less", safe - 0.01)
        for a in grid[grid < safe - 0.01][-8:]:
            risk.over("fill nothing smaller", a)
        end = largest if largest is not None else most
        for a in grid[(grid > safe) & (grid <= end)]:
            risk.within("fill up to the largest", a)
        if largest is not None:
            risk.within("fill largest amount", largest)
            risk.over("fill one step more", largest + 0.01)
        smaller = grid[grid < safe - 0.01]
        if smaller.size and risk.hits(smaller[-1]) > risk.risk * n:
            own = risk.solve(safe + 0.02, smaller[-1])
            tally.own.append((safe - own, tally.where))
        if answer["outside_at_safe"]:
            tally.chance("fill outside_at_safe", answer["outside_at_safe"], risk.hits_at(safe))
        if answer.get("clicked_off_early_at_safe"):
            tally.chance("fill clicked_off_early_at_safe", answer["clicked_off_early_at_safe"],
                         land(scenario, cases, amount=safe)["early"])
    nominal = answer["nominal_amount"]
    mean = mean_case(scenario)
    out = lambda a: bool(is_out(scenario, land(scenario, mean, amount=a)["content"])[0])
    if nominal is not None:
        near = lambda a: out(a - 1e-4) and out(a) and out(a + 1e-4)
        tally.note("fill nominal amount", not near(nominal), f"{nominal} is outside the limits at all means")
        if nominal > 0.0101:
            tally.note("fill nominal amount less", not (not out(nominal - 0.0101) and not out(nominal - 0.0099)),
                       f"{nominal - 0.01} does already at all means")
        if answer["outside_at_nominal"]:
            tally.chance("fill outside_at_nominal", answer["outside_at_nominal"], risk.hits_at(nominal))
    else:
        bad = [a for a in np.linspace(0, most, 301) if not out(a - 1e-4) and not out(a + 1e-4)]
        tally.note("fill nominal none", not bad, f"{bad[:1]} does at all means")


def check_heel(tally, scenario, answer, cases, twin):
    n = len(cases["noise"])
    risk = Risk(tally, n, lambda h: is_out(scenario, land(scenario, cases, indicated=h, to_click_off=len(
        scenario.fills) == 1, twin=twin)["content"]), scenario["limits.accepted-risk"])
    dry = Risk(tally, n, lambda h: run_dry(scenario, cases, h), scenario["limits.dry-risk"])
    size = scenario["tank.capacity"]
    high, low = answer["highest_indicated"], answer["lowest_indicated"]
    grid = np.linspace(0, size, 17)
    if high is None:
        for h in grid:
            risk.over("heel none will do", h)
    else:
        risk.within("heel highest", high)
        if high + 0.1 <= size:
            risk.over("heel one step more", high + 0.1)
        for h in grid[grid > high + 0.1][:8]:
            risk.over("heel nothing higher", h)
        start = answer.get("lowest_for_limits")
        for h in grid[(grid < high) & (grid >= (start or 0))]:
            risk.within("heel down from the highest", h)
        if start:
            risk.within("heel lowest for limits", start)
            if start > 0.1001:
                risk.over("heel lowest for limits, a step less", start - 0.1)
        if answer["outside_at_highest"]:
            tally.chance("heel outside_at_highest", answer["outside_at_highest"], risk.hits_at(high))
    if low is not None:
        dry.within("heel lowest", low)
        if low > 0.1001:
            dry.over("heel lowest, a step less", low - 0.1)
    if high is not None and low is not None:
        start = max(low, answer.get("lowest_for_limits") or 0)
        tally.note("heel window", (answer["window"] is None) == (start > high + 1e-9) if answer["window"] is None
                   else abs(answer["window"][0] - start) < 1e-9 and abs(answer["window"][1] - high) < 1e-9,
                   f"{answer['window']} of {low}, {answer.get('lowest_for_limits')} to {high}")


def check_arrive(tally, scenario, answer, cases, twin):
    side, limit = answer["side"], answer["limit"]
    line = Line(scenario, cases, land(scenario, cases, twin=twin), twin)
    sign = 1 if side == "below" else -1
    out = lambda content: sign * (content - limit) < -ROUNDING
    never = out(line.new)
    tally.chance("arrive never", answer["never"], never)
    table = answer.get("rail_below") or answer.get("rail_above")
    for point in table[1::2] + table[:1]:
        if point["estimate"]:
            tally.chance("arrive rail", point["estimate"], out(line.rail(point["burn"])))
    arrives = ~never
    starts = arrives & ~out(line.old)
    need = np.where(arrives & ~starts, line.share_needed(limit), 0)
    fresh = lambda burned: (line.at_injectors(burned) >= need)[arrives]
    shares = int(arrives.sum())
    program = ARRIVE_CASES * max(arrives.mean(), 1e-9)
    step = 1e-6
    if shares >= 50 and answer["burn"]:
        for p, value in answer["burn"]["quantiles"].items():
            if value is not None:
                tally.quantile("arrive burn quantile", float(p), value,
                               fresh(value * (1 - step)) & (value > 0), fresh(value * (1 + step)), program)
    if shares >= 50 and answer["time"] and line.timed:
        for p, value in answer["time"]["quantiles"].items():
            if value is not None:
                tally.quantile("arrive time quantile", float(p), value,
                               fresh(line.burned_at(value * (1 - step))) & (value > 0),
                               fresh(line.burned_at(value * (1 + step))), program)
    enough = answer["enough"]
    accepted = scenario["limits.accepted-risk"]
    rail = Risk(tally, len(never), lambda q: out(line.rail(q)), accepted)
    if enough["burn"] is not None:
        rail.within("arrive enough", enough["burn"])
        if enough["burn"] > 0.0101:
            rail.over("arrive enough, a step less", enough["burn"] - 0.01)
        if enough["outside"]:
            tally.chance("arrive outside at enough", enough["outside"], out(line.rail(enough["burn"])))
    else:
        rail.over("arrive never enough", 100 * float(np.mean(line.pipe + line.beyond + sum(line.before))) + 1)
    check_wait(tally, scenario, answer, cases, line, out, sign)


def check_wait(tally, scenario, answer, cases, line, out, sign):
    wait, limit = answer["wait_for"], answer["limit"]
    if np.any(~out(line.old) & out(line.new)):
        return tally.skip("injectors that leave the limits: no reading checked")
    until = line.burned_until(limit, answer["side"])
    finite = np.isfinite(until)
    seen = np.where(finite, line.at_sensor(np.where(finite, until, 0)), 1.0)  # share the sensor has by then
    step = scenario["sensor.step"]
    error = cases["sensor.bias"] + cases["noise"]
    gap = line.new - line.old

    def share_at(reading):
        """Share of new fuel at which the display first shows the reading; more than 1 where it never does."""
        seen_at = reading - sign * step / 2 - error - line.old
        with np.errstate(divide="ignore", invalid="ignore"):
            needed = np.where(np.abs(gap) > 1e-15, seen_at / gap, np.inf)
        return np.where(sign * seen_at <= 0, 0.0, np.where(needed <= 0, np.inf, needed))

    def too_early(reading):
        needed = share_at(reading)
        triggers = needed < 1
        return triggers, triggers & (out(line.new) | ((needed <= seen) & (until > 0)))

    accepted = scenario["limits.accepted-risk"]

    def conditional(name, reading, verdict):
        triggers, early = too_early(reading)
        n, k = int(triggers.sum()), int(early.sum())
        if n < 200:
            return tally.skip("too few cases trigger")
        # the program's own error of a chance among n_program triggering cases is part of its estimate
        p_over = stats.binom.sf(k - 1, n, accepted) if k else 1.0
        p_within = stats.binom.cdf(k, n, accepted)
        right = p_over >= tally.level / 4 if verdict == "within" else p_within >= tally.level / 4
        tally.note(name, right, f"at {reading:.6g} the reference counts {k} too early of {n} that trigger = "
                                f"{k / n:.6g}; accepted {accepted:g}, too early by the program: "
                                f"{(wait.get('too_early') or {}).get('chance')}")

    reading = wait["reading"]
    if reading is None:
        # Readings that are hardly ever shown are no answer; those in a tenth of all cases are.
        display = step or 0.01
        for r in display * np.arange(1, round(1 / display), max(1, round(0.04 / display))):
            if too_early(r)[0].mean() > 0.1:
                conditional("arrive no reading will do", r, "over")
        return
    conditional("arrive reading", reading, "within")
    size = step or 0.001
    nearer = reading - sign * size
    if 0 <= nearer <= 1 and sign * (nearer - limit) >= 0:
        conditional("arrive reading, a step nearer", nearer, "over")
    triggers, early = too_early(reading)
    n = int(triggers.sum())
    if wait["too_early"] and n >= 200:
        low, high = tally.band(wait["too_early"])
        tally.count("arrive too early", low, high, int(early.sum()), n)
    spread = tally.z * np.sqrt(0.25 / ARRIVE_CASES)
    tally.count("arrive triggers", max(wait["triggers"] - spread, 0), min(wait["triggers"] + spread, 1), n,
                len(triggers))
    needed = share_at(reading)
    program = ARRIVE_CASES * triggers.mean()
    if n >= 200 and wait["burn"] and program > 400:
        for p, value in wait["burn"]["quantiles"].items():
            if value is None:
                continue
            there = lambda q: (line.at_sensor(q) >= needed)[triggers]
            tally.quantile("arrive wait burn quantile", float(p), value,
                           there(value * (1 - 1e-6)) & (value > 0), there(value * (1 + 1e-6)), program)
        if wait["time"]:
            for p, value in wait["time"]["quantiles"].items():
                there = lambda t: (line.at_sensor(line.burned_at(t)) >= needed)[triggers]
                tally.quantile("arrive wait time quantile", float(p), value,
                               there(value * (1 - 1e-6)) & (value > 0), there(value * (1 + 1e-6)), program)


def check_update(tally, scenario, answer, cases, readings, twin):
    landing = land(scenario, cases, twin=twin)
    line = Line(scenario, cases, landing, twin)
    noise, step = scenario["sensor.noise"], scenario["sensor.step"]
    log_weight = np.zeros(len(line.pipe))
    last = 0.0
    for text in readings:
        at, shown = text.split(":")
        shown = float(shown.strip(" %")) / 100
        value, unit = at.split()
        burned = float(value) if unit == "L" else line.burned_at(float(value) * 60)
        seen = line.old + (line.new - line.old) * line.at_sensor(burned) + cases["sensor.bias"]
        if step > 0:
            upper, lower = (shown + step / 2 - seen) / noise, (shown - step / 2 - seen) / noise
            flip = lower > 0
            upper, lower = np.where(flip, -lower, upper), np.where(flip, -upper, lower)
            log_weight += np.log(np.maximum(stats.norm.cdf(upper) - stats.norm.cdf(lower), 1e-300))
        else:
            log_weight -= (shown - seen) ** 2 / (2 * noise ** 2)
        last = burned if np.ndim(burned) else np.full(len(line.pipe), burned)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    worth = 1 / np.sum(weight ** 2)
    if worth < 400:
        return tally.skip("update: too few cases survive")
    program = answer["effective_cases"]

    def share(name, p, hits_low, hits_high, text, program_se):
        """p lies between the weighted shares of the two, within errors."""
        low, high = weight[hits_low].sum(), weight[hits_high].sum()
        se = np.sqrt(max(np.sum((weight * (hits_high - high)) ** 2), p * (1 - p) / worth, 1e-12))
        # weighted shares are skewed where few cases carry them: an added z^2 / worth
        slack = tally.z * se + tally.t * program_se + tally.z ** 2 / (2 * worth)
        tally.note(name, low - slack <= p <= high + slack,
                   f"{text}: the program says {p:.6g}, the reference {low:.6g} to {high:.6g} +- {se:.2g}, "
                   f"worth {worth:.0f} cases, the program's {program:.0f} (se {program_se:.2g})")

    def quantiles(name, table, below, at_most):
        for p, value in table["quantiles"].items():
            if value is not None:
                p = float(p)
                share(name, p, below(value), at_most(value), f"at {value:.8g}", np.sqrt(p * (1 - p) / program))

    landed = line.new  # with return flow the tank settles with the line's old fuel in it
    quantiles("update landed quantile", answer["landed"], lambda v: landed < v - 1e-9, lambda v: landed <= v + 1e-9)
    rail = line.rail(last)
    quantiles("update rail quantile", answer["rail_now"], lambda v: rail < v - 1e-7, lambda v: rail <= v + 1e-7)
    below, above = outside(scenario, landed)

    def estimate(name, said, hits):
        share(name, said["chance"], hits, hits, "chance",
              max(said["standard_error"], np.sqrt(max(said["chance"], 3 / program) / program)))

    if answer["below_minimum"]:
        estimate("update below", answer["below_minimum"], below)
    if answer["above_maximum"]:
        estimate("update above", answer["above_maximum"], above)
    side, limit = answer["rail_outside"]["side"], answer["rail_outside"]["limit"]
    sign = 1 if side == "below" else -1
    out = lambda content: sign * (content - limit) < -ROUNDING
    estimate("update rail outside", answer["rail_outside"], out(rail))
    check_left(tally, answer, line, weight, last, out, limit, program)
    bias = cases["sensor.bias"]
    mean = weight @ bias
    sd = np.sqrt(weight @ (bias - mean) ** 2)
    se = np.sqrt(np.sum((weight * (bias - mean)) ** 2))
    tally.note("update bias mean", abs(answer["bias"]["mean"] - mean)
               <= tally.z * se + tally.t * sd / np.sqrt(program) + 1e-9,
               f"program {answer['bias']['mean']:.6g}, reference {mean:.6g} +- {se:.2g}, sd {sd:.4g}")
    if sd > 1e-9:
        squares = (bias - mean) ** 2 / sd ** 2 - 1
        se = np.sqrt(np.sum((weight * squares) ** 2)) / 2
        se_program = np.sqrt(weight @ squares ** 2 / program) / 2
        tally.note("update bias sd", abs(answer["bias"]["standard_deviation"] / sd - 1)
                   <= tally.z * se + tally.t * se_program,
                   f"program {answer['bias']['standard_deviation']:.6g}, reference {sd:.6g} +- {se * sd:.2g}")


def check_left(tally, answer, line, weight, last, out, limit, program):
    """What is left to burn, and for how long, among the cases that arrive."""
    never = out(line.new)
    part = weight[~never].sum()
    if np.any(~out(line.old) & never) or part < 0.1:
        return tally.skip("update: injectors that leave the limits, or hardly ever arrive")
    weight = np.where(never, 0, weight) / part
    worth = 1 / np.sum(weight ** 2)
    need = np.where(out(line.old) & ~never, line.share_needed(limit), 0)
    now = line.time_of(last) if line.timed else None
    for name in ("burn_left", "time_left"):
        if not answer[name] or (name == "time_left" and not line.timed):
            continue
        for text, value in answer[name]["quantiles"].items():
            if value is None:
                continue
            p = float(text)
            at = (lambda x: last + x) if name == "burn_left" else (lambda x: line.burned_at(now + x))
            low = weight[line.at_injectors(at(value * (1 - 1e-6) - 1e-9)) >= need].sum() if value > 0 else 0.0
            high = weight[line.at_injectors(at(value * (1 + 1e-6) + 1e-9)) >= need].sum()
            slack = (tally.z * np.sqrt(p * (1 - p) / worth) + tally.z ** 2 / (2 * worth)
                     + tally.t * np.sqrt(p * (1 - p) / (program * part)))
            tally.note("update " + name.replace("_", " ") + " quantile", low - slack <= p <= high + slack,
                       f"the program's {p:g} quantile is {value:.8g}, where the reference has {low:.6g} to "
                       f"{high:.6g}, worth {worth:.0f} cases")


class Runner:
    def __init__(self, program, tally, n, n_line):
        self.program, self.tally, self.n, self.n_line = program, tally, n, n_line

    def ask(self, command, path, extra=()):
        run = subprocess.run([self.program, command, path, "--json", *extra], capture_output=True, text=True)
        return (json.loads(run.stdout), "") if run.returncode == 0 else (None, run.stderr.strip())

    def scenario(self, path, readings, seed, twin="", commands=("chance", "fill", "heel", "arrive", "update"),
                 options=()):
        scenario = read_scenario(path)
        cases = draw_cases(scenario, self.n, [seed, 1])
        line_cases = draw_cases(scenario, self.n_line, [seed, 2])
        with_line = any(key.startswith("line.") and law.mean() > 0 for key, law in scenario.laws().items())
        for command in commands:
            self.tally.where = f"{os.path.basename(path)} {command}"
            if command == "update" and (not readings or not with_line):
                continue
            if command == "heel" and scenario["limits.minimum"] is None and scenario["limits.maximum"] is None:
                continue
            extra = [word for text in readings for word in ("--reading", text)] if command == "update" else []
            answer, error = self.ask(command, path, extra)
            if answer is None:
                self.tally.skip(f"{command} refused")
                self.refused.append(f"{self.tally.where}: {error}")
            elif command in ("chance", "fill", "heel"):
                globals()["check_" + command](self.tally, scenario, answer, cases, twin)
            elif command == "arrive":
                check_arrive(self.tally, scenario, answer, line_cases, twin)
            else:
                check_update(self.tally, scenario, answer, line_cases, readings, twin)

    refused = []


def check_reference(tally):
    """The reference's own line: against parcels followed through it, and its lag against Euler's steps."""
    rng = np.random.default_rng(5)
    n = 400000
    tally.where = "reference"
    for stirred, pipe, laminar in (((0.1, 0.1, 0.05), 0.2, True), ((0.1, 0.1000001, 0.0), 0.2, False),
                                   ((0.3, 0.0, 0.0), 0.0, True), ((0.0, 0.0, 0.02), 0.3, True)):
        u = rng.random(n)
        parcel = (pipe / (2 * np.sqrt(1 - u)) if laminar else pipe) + sum(rng.exponential(v, n) for v in stirred)
        for q in (0.12, 0.18, 0.35, 0.7, 1.5):
            share = reference.arrived([np.array([v]) for v in stirred], np.array([pipe]), laminar, q)[0]
            tally.count("reference parcels", max(share - 1e-6, 0), share + 1e-6, int((parcel <= q).sum()), n)
    # A filter of 0.1 L and a lag of 30 s through two phases; Euler's error is below step / lag.
    text = TWIN.replace("[engine]", "[engine]\nschedule = idle 2 min, gentle\ngentle = 6 L/h")
    text = text.replace("pipe = 0.1 L", "pipe = 0 L").replace("uniform(0.1 L, 0.2 L)", "0.1 L")
    scenario = Scenario(text.replace("normal(1.5 L/h, 0.1 L/h)", "1.5 L/h").replace("lag = 60 s", "lag = 30 s"))
    cases = draw_cases(scenario, 1, 1)
    line = Line(scenario, cases, land(scenario, cases))
    step, seen, stirred = 0.005, 0.0, 0.0
    for time in np.arange(0, 180, step):
        rate = (1.5 if time < 120 else 6) / 3600
        seen += (stirred - seen) * step / 30
        stirred += (1 - stirred) * rate * step / 0.1
    share = line.at_sensor(line.burned_at(180.0))[0]
    tally.note("reference lag", abs(share - seen) < step / 30, f"{share:.6g} by transform, {seen:.6g} by steps")


TWIN = """[tank]
capacity = 50 L
[heel]
indicated = 6 L
gauge-error = normal(0 L, 1 L)
content = uniform(5 %, 10 %)
[sensor]
bias = normal(0 %, 2 %)
noise = 1 %
lag = 60 s
[fuel]
content = uniform(70 %, 83 %)
hose-volume = uniform(0.5 L, 1.5 L)
[line]
pipe = 0.1 L
filter = uniform(0.1 L, 0.2 L)
[engine]
idle = normal(1.5 L/h, 0.1 L/h)
[limits]
minimum = 64 %
"""


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--scenarios", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--cases", type=int, default=100000)
    parser.add_argument("--line-cases", type=int, default=20000)
    parser.add_argument("--commands", default="chance,fill,heel,arrive,update")
    parser.add_argument("--odd", action="store_true")
    parser.add_argument("--keep")
    parser.add_argument("--verbose", action="store_true")
    parser.add_argument("--examples", default=os.path.join(os.path.dirname(__file__), "..", "..", "examples"))
    options = parser.parse_args()
    examples = sorted(os.path.join(options.examples, name) for name in os.listdir(options.examples)
                      if name.endswith(".ini"))
    tally = Tally(options.scenarios + len(examples))
    tally.own = []
    runner = Runner(options.program, tally, options.cases, options.line_cases)
    check_reference(tally)
    for number, path in enumerate(examples):
        readings = ["0.3 L: 57 %"] if path.endswith("wagon-line.ini") else []
        runner.scenario(path, readings, [options.seed, 10 ** 6 + number])
    with tempfile.TemporaryDirectory() as folder:
        folder = options.keep or folder
        os.makedirs(folder, exist_ok=True)
        generate.write_measured(folder)
        for number in range(options.first, options.first + options.scenarios):
            rng = np.random.default_rng([options.seed, number])
            text, readings = generate.scenario(rng, options.odd)
            path = os.path.join(folder, f"invented-{options.seed}-{number}.ini")
            with open(path, "w") as file:
                file.write("# invented\n" + "".join(f"# reading {r}\n" for r in readings) + text)
            before = len(tally.failed)
            runner.scenario(path, readings, [options.seed, number], commands=options.commands.split(","))
            if options.verbose:
                for text in tally.failed[before:]:
                    print(text, flush=True)
            if options.keep and len(tally.failed) == before:
                os.remove(path)
        # Twins: a reference that is wrong on purpose must be found out by the very same comparisons.
        path = os.path.join(folder, "twin.ini")
        with open(path, "w") as file:
            file.write(TWIN)
        twins_missed = []
        for twin, commands in (("hose ignored", ("chance",)), ("hose ignored", ("fill",)),
                               ("lag ignored", ("arrive",)), ("lag ignored", ("update",)), ("", ())):
            probe = Tally(options.scenarios + len(examples))
            probe.own = []
            Runner(options.program, probe, options.cases, options.line_cases).scenario(
                path, ["0.25 L: 40 %"], [options.seed, 10 ** 7], twin,
                commands or ("chance", "fill", "arrive", "update"))
            if bool(probe.failed) != bool(twin):
                twins_missed.append(f"{twin or 'right'} by {commands}: {probe.failed}")
    total = sum(tally.made.values())
    assert total <= PER_SCENARIO * (options.scenarios + len(examples)), "more comparisons than the level allows for"
    if options.verbose:
        for name in sorted(tally.made):
            print(f"  {tally.made[name]:7d} {name}")
        for text in runner.refused:
            print(" ", text)
    for why, count in sorted(tally.skipped.items()):
        print(f"  left out: {count} x {why}")
    for text in tally.failed:
        print("DISAGREEMENT " + text)
    for text in twins_missed:
        print("TWIN NOT FOUND OUT " + text)
    print(f"{total} comparisons on {len(examples)} examples and {options.scenarios} invented scenarios, "
          f"{len(tally.failed)} disagreements (false-alarm rate of the run: at most 0.1 %)")
    return 1 if tally.failed or twins_missed or total == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
