"""arrive: what to burn, how long, and the reading to wait for."""
import numpy as np
from scipy import stats

import waiting
from compare import Risk, is_out
from line import Line
from measured import Event
from reference import ROUNDING, land

CASES = 16384  # docs/method.md; scrambled points are no worse


def compare(job):
    answer = job.ask("arrive")
    if answer is None:
        return
    tally, scenario = job.tally, job.scenario
    side, limit = answer["side"], answer["limit"]
    line = Line(scenario, job.line_cases, land(scenario, job.line_cases))
    sign = 1 if side == "below" else -1
    out = lambda content: sign * (content - limit) < -ROUNDING
    never = out(line.new)
    tally.equal("arrive limit", limit, scenario["limits.minimum" if side == "below" else "limits.maximum"])
    settled = lambda some: Line(scenario, some, land(scenario, some)).new
    event = lambda happens: Event(scenario, job.line_cases, happens)
    tally.chance("arrive never", answer["never"], event(lambda some: out(settled(some))))
    if answer["beyond_other"]:
        tally.equal("arrive limit", answer["beyond_other"]["limit"],
                    scenario["limits.maximum" if side == "below" else "limits.minimum"])
        other = "above" if side == "below" else "below"
        tally.chance("arrive beyond the other", answer["beyond_other"],
                     event(lambda some: is_out(scenario, settled(some), other)))

    def rail_out(burned):
        return lambda some: out(Line(scenario, some, land(scenario, some)).rail(burned))

    rates = [float(scenario["engine." + name].quantile(0.5)) for name, _ in scenario["engine.schedule"]
             ] if line.timed else []
    for point in answer.get("rail_below") or answer.get("rail_above"):
        if point["estimate"]:
            tally.chance("arrive rail", point["estimate"], event(rail_out(point["burn"])))
        if line.timed:
            tally.equal("arrive rail time", point["time"], clock(scenario, rates, point["burn"]), 1e-6)
    beyond = answer["beyond_other"] and answer["beyond_other"]["chance"] > answer["accepted_risk"]
    offered = (answer["wait_for"]["reading"] is not None or answer["waiting"]["rows"] is not None or
               answer["enough"]["burn"] is not None)
    if offered or beyond:
        tally.note("arrive met", answer["met"] == (offered and not beyond), f"{answer['met']}")
    quantiles(tally, answer, line, never, out, limit)
    enough(tally, scenario, answer, line, job.line_cases, rail_out, rates)
    wait_for(tally, scenario, answer, job.line_cases, line, out, sign)
    gap(tally, scenario, answer, line, never, limit)
    waiting.compare(job, answer, scenario["limits.accepted-risk"], lambda burned: clock(scenario, rates, burned))


def clock(scenario, rates, burned):
    """Time to burn so much at the median rates of the schedule."""
    time, phases = 0.0, scenario["engine.schedule"]
    for index, (rate, (_, length)) in enumerate(zip(rates, phases)):
        spent = burned / rate if index + 1 == len(phases) else min(burned / rate, length)
        time, burned = time + spent, max(burned - spent * rate, 0)
    return time


def quantiles(tally, answer, line, never, out, limit):
    """Over the cases that arrive."""
    arrives = ~never
    starts = arrives & ~out(line.old)
    need = np.where(arrives & ~starts, line.share_needed(limit), 0)
    fresh = lambda burned: (line.at_injectors(burned) >= need)[arrives]
    program = CASES * max(arrives.mean(), 1e-9)
    for name, at in (("burn", lambda x: x), ("time", line.burned_at)):
        if arrives.sum() < 50 or not answer[name] or (name == "time" and not line.timed):
            continue
        for p, value in answer[name]["quantiles"].items():
            if value is not None:
                tally.quantile(f"arrive {name} quantile", float(p), value,
                               fresh(at(value * (1 - 1e-6))) & (value > 0), fresh(at(value * (1 + 1e-6))), program)


def enough(tally, scenario, answer, line, cases, rail_out, rates):
    """The least to burn without a sensor."""
    said = answer["enough"]
    risk = Risk(tally, scenario, cases, lambda q, some: rail_out(q)(some), scenario["limits.accepted-risk"])
    if said["burn"] is None:
        far = 100 * float(np.mean(line.pipe + line.beyond + sum(line.before))) + 1
        return risk.over("arrive never enough", far)
    risk.within("arrive enough", said["burn"])
    if said["burn"] > 0.0101:
        risk.over("arrive enough, a step less", said["burn"] - 0.01)
    if said["outside"]:
        tally.chance("arrive outside at enough", said["outside"], risk.event(said["burn"]))
    if line.timed:
        tally.equal("arrive enough time", said["time"], clock(scenario, rates, said["burn"]), 1e-6)


def gap(tally, scenario, answer, line, never, limit):
    """How long neither calibration fits."""
    said = answer["gap"]
    old = [(scenario[key], side) for key, side in (("before.maximum", "below"), ("before.minimum", "above"))
           if scenario[key] is not None]
    if said is None or not old:
        return tally.equal("arrive gap given", said is None, not old)
    left = np.min([line.burned_until(content, side) for content, side in old], axis=0)
    until = line.burned_until(limit, answer["side"])
    some = until > left
    tally.count("arrive gap chance", *tally.band(said["chance"]), int(some.sum()), some.size,
                said["chance"]["standard_error"], said["chance"]["chance"])
    leaves, arrives = np.isfinite(left), ~never & np.isfinite(until)
    burns = {"gap": (np.where(some, until - left, 0.0)[arrives], said), "leaves": (left[leaves], said["leaves"])}
    times = {}
    if line.timed:
        at = lambda burned: line.time_of(np.where(np.isfinite(burned), burned, 0.0))
        times = {"gap": (np.where(some, at(until) - at(left), 0.0)[arrives], said),
                 "leaves": (at(left)[leaves], said["leaves"])}
    for what, all_of in (("burn", burns), ("time", times)):
        for name, (own, told) in all_of.items():
            if own.size < 50 or not told[what]:
                continue
            program = CASES * own.size / never.size
            for p, value in told[what]["quantiles"].items():
                error = 1e-6 * max(value, 1e-3)  # of burned_until
                tally.quantile(f"arrive {name} {what} quantile", float(p), value, own < value - error,
                               own <= value + error, program)


class Trigger:
    """Which cases ever show a reading, and which of them too early."""

    def __init__(self, scenario, cases, line, out, sign, limit, side):
        until = line.burned_until(limit, side)
        finite = np.isfinite(until)
        self.until, self.line, self.sign, self.never = until, line, sign, out(line.new)
        self.seen = np.where(finite, line.at_sensor(np.where(finite, until, 0)), 1.0)  # by then, at the sensor
        self.half = sign * scenario["sensor.step"] / 2
        bias = cases["sensor.bias"] * (-1 if scenario.broken == "bias" else 1)
        self.error, self.gap = bias + cases["noise"], line.new - line.old

    def share_at(self, reading):
        """Share of new fuel at which the display first shows the reading; more than 1 where it never does."""
        seen_at = reading - self.half - self.error - self.line.old
        with np.errstate(divide="ignore", invalid="ignore"):
            needed = np.where(np.abs(self.gap) > 1e-15, seen_at / self.gap, np.inf)
        return np.where(self.sign * seen_at <= 0, 0.0, np.where(needed <= 0, np.inf, needed))

    def too_early(self, reading):
        needed = self.share_at(reading)
        triggers = needed < 1
        return triggers, triggers & (self.never | ((needed <= self.seen) & (self.until > 0)))


def wait_for(tally, scenario, answer, cases, line, out, sign):
    wait, limit = answer["wait_for"], answer["limit"]
    reading = wait["reading"]
    if reading is not None:
        tally.equal("arrive guard band", wait["guard_band"], sign * (reading - limit))
    if np.any(~out(line.old) & out(line.new)):
        return tally.skip("injectors that leave the limits: no reading checked")
    if "measured values" in str(wait):
        return tally.skip("a reading that measured values do not bear")
    trigger = Trigger(scenario, cases, line, out, sign, limit, answer["side"])
    accepted = scenario["limits.accepted-risk"]

    def conditional(name, reading, verdict):
        triggers, early = trigger.too_early(reading)
        n, k = int(triggers.sum()), int(early.sum())
        if n < 200:
            return tally.skip("too few cases trigger")
        p = stats.binom.cdf(k, n, accepted) if verdict == "over" else stats.binom.sf(k - 1, n, accepted) if k else 1.0
        tally.note(name, p >= tally.level / 4, f"at {reading:.6g} the reference counts {k} too early of {n} that "
                   f"trigger = {k / n:.6g}; accepted {accepted:g}, too early by the program: "
                   f"{(wait.get('too_early') or {}).get('chance')}", max(stats.norm.isf(min(p, 0.5)), 0))

    step = scenario["sensor.step"]
    if reading is None:
        # Readings that are hardly ever shown are no answer; those in a tenth of all cases are.
        display = step or 0.01
        for r in display * np.arange(1, round(1 / display), max(1, round(0.04 / display))):
            if trigger.too_early(r)[0].mean() > 0.1:
                conditional("arrive no reading will do", r, "over")
        return
    conditional("arrive reading", reading, "within")
    nearer = reading - sign * (step or 0.001)
    if 0 <= nearer <= 1 and sign * (nearer - limit) >= 0:
        conditional("arrive reading, a step nearer", nearer, "over")
    triggers, early = trigger.too_early(reading)
    n = int(triggers.sum())
    if wait["too_early"] and n >= 200:
        tally.count("arrive too early", *tally.band(wait["too_early"]), int(early.sum()), n,
                    wait["too_early"]["standard_error"], wait["too_early"]["chance"])
    se = np.sqrt(0.25 / CASES)
    tally.count("arrive triggers", max(wait["triggers"] - tally.z * se, 0), min(wait["triggers"] + tally.z * se, 1),
                n, len(triggers), se, wait["triggers"])
    needed, program = trigger.share_at(reading), CASES * triggers.mean()
    there = lambda burned: (line.at_sensor(burned) >= needed)[triggers]
    for name, at in (("burn", lambda x: x), ("time", line.burned_at)):
        if n < 200 or program <= 400 or not wait[name] or (name == "time" and not line.timed):
            continue
        for p, value in wait[name]["quantiles"].items():
            if value is not None:
                tally.quantile(f"arrive wait {name} quantile", float(p), value,
                               there(at(value * (1 - 1e-6))) & (value > 0), there(at(value * (1 + 1e-6))), program)
