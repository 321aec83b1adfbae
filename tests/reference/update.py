"""update: the cases weighed by how likely each would show the readings."""
import numpy as np
from scipy import stats

from compare import is_out
from line import Line
from reference import ROUNDING, land


def compare(job):
    answer = job.readings and job.has_line() and job.ask(
        "update", *[word for text in job.readings for word in ("--reading", text)])
    if not answer:
        return
    posterior = Posterior(job, answer)
    if posterior.worth < 400:
        return job.tally.skip("update: too few cases survive")
    posterior.contents()
    posterior.enough_left()
    posterior.left()
    posterior.bias()
    posterior.verdict()
    job.tally.fits.append(answer["fit"])
    job.tally.equal("update readings", answer["readings"], len(job.readings))
    job.tally.equal("update readings", answer["skipped"], 0)


class Posterior:
    """Weighted cases beside the program's answer. Weighted shares are skewed where few cases carry them: they get
    an added z^2 / (2 worth)."""

    def __init__(self, job, answer, cases=None):
        scenario, cases = job.scenario, job.line_cases if cases is None else cases
        self.tally, self.scenario, self.answer, self.program = job.tally, scenario, answer, answer["effective_cases"]
        self.line = Line(scenario, cases, land(scenario, cases))
        self.offset = cases["sensor.bias"] * (-1 if scenario.broken == "bias" else 1)
        log_weight = np.zeros(len(self.offset))
        for text in job.readings:
            log_weight += self.log_likelihood(text)
        weight = np.exp(log_weight - log_weight.max())
        self.weight = weight / weight.sum()
        self.worth = 1 / np.sum(self.weight ** 2)
        self.side, self.limit = answer["rail_outside"]["side"], answer["rail_outside"]["limit"]
        self.rail = self.line.rail(self.last)

    def log_likelihood(self, text):
        line, noise, step = self.line, self.scenario["sensor.noise"], self.scenario["sensor.step"]
        at, shown = text.split(":")
        shown = float(shown.strip(" %")) / 100
        value, unit = at.split()
        burned = float(value) if unit == "L" else line.burned_at(float(value) * 60)
        self.now = {"burn": float(value)} if unit == "L" else {"time": float(value) * 60}
        self.last = burned if np.ndim(burned) else np.full(len(line.pipe), burned)
        seen = line.old + (line.new - line.old) * line.at_sensor(burned) + self.offset
        if step == 0:
            return -(shown - seen) ** 2 / (2 * noise ** 2)
        upper, lower = (shown + step / 2 - seen) / noise, (shown - step / 2 - seen) / noise
        flip = lower > 0
        upper, lower = np.where(flip, -lower, upper), np.where(flip, -upper, lower)
        return np.log(np.maximum(stats.norm.cdf(upper) - stats.norm.cdf(lower), 1e-300))

    def out(self, content):
        return (1 if self.side == "below" else -1) * (content - self.limit) < -ROUNDING

    def share(self, name, p, hits_low, hits_high, text, program_se, weight=None):
        """p lies between the weighted shares of the two, within errors."""
        weight = self.weight if weight is None else weight
        worth = 1 / np.sum(weight ** 2)
        low, high = weight[hits_low].sum(), weight[hits_high].sum()
        se = np.sqrt(max(np.sum((weight * (hits_high - high)) ** 2), p * (1 - p) / worth, 1e-12))
        tally = self.tally
        slack = tally.z * se + tally.t * program_se + tally.z ** 2 / (2 * worth)
        off = max(low - p, p - high, 0) / (np.hypot(se, program_se) + 1 / worth)
        tally.note(name, low - slack <= p <= high + slack,
                   f"{text}: the program says {p:.6g}, the reference {low:.6g} to {high:.6g} +- {se:.2g}, "
                   f"worth {worth:.0f} cases, the program's {self.program:.0f} (se {program_se:.2g})", off)

    def quantiles(self, name, table, content, error):
        for text, value in table["quantiles"].items():
            if value is not None:
                p = float(text)
                self.share(name, p, content < value - error, content <= value + error, f"at {value:.8g}",
                           np.sqrt(p * (1 - p) / self.program))

    def estimate(self, name, said, hits):
        p = said["chance"]
        self.share(name, p, hits, hits, "chance",
                   max(said["standard_error"], np.sqrt(max(p, 3 / self.program) / self.program)))

    def contents(self):
        answer, landed = self.answer, self.line.new  # with return flow the tank settles with the line's old fuel
        self.quantiles("update landed quantile", answer["landed"], landed, 1e-9)
        self.quantiles("update rail quantile", answer["rail_now"], self.rail, 1e-7)
        if answer["below_minimum"]:
            self.estimate("update below", answer["below_minimum"], is_out(self.scenario, landed, "below"))
        if answer["above_maximum"]:
            self.estimate("update above", answer["above_maximum"], is_out(self.scenario, landed, "above"))
        self.estimate("update rail outside", answer["rail_outside"], self.out(self.rail))
        for name, own in self.now.items():
            self.tally.equal("update now", answer["now"][name], own)

    def verdict(self):
        """WITHIN only where the whole interval is, and the other limit is met by the tank."""
        answer, tally = self.answer, self.tally
        side = "above_maximum" if self.side == "below" else "below_minimum"
        other = answer[side]
        within = answer["rail_outside"]["interval_95"][1] <= answer["accepted_risk"]
        other_met = not other or other["chance"] <= answer["accepted_risk"]
        tally.note("update met", answer["met"] == (within and other_met), f"{answer['met']}, {within}, {other}")
        for key, limit in (("below_minimum", "limits.minimum"), ("above_maximum", "limits.maximum"),
                           ("rail_outside", "limits.minimum" if self.side == "below" else "limits.maximum")):
            tally.equal("update limit", answer[key] and answer[key]["limit"], self.scenario[limit])

    def enough_left(self):
        """What is left to burn, or to wait, for the chance to come within half the accepted risk."""
        said = self.answer["enough_left"]
        if not said:
            return
        half = self.scenario["limits.accepted-risk"] / 2
        error = np.sqrt(half * (1 - half) / self.program)
        now = self.line.time_of(self.last) if self.line.timed else None
        for name, at in (("burn", lambda x: self.last + x), ("time", lambda x: self.line.burned_at(now + x))):
            left = said.get(name)
            if left is None or (name == "time" and not self.line.timed):
                continue
            more = self.out(self.line.rail(at(left * (1 - 1e-6) - 1e-9))) if left > 0 else np.ones(len(self.rail), bool)
            less = self.out(self.line.rail(at(left * (1 + 1e-6) + 1e-9)))
            self.share(f"update enough left {name}", half, less, more, f"at {left:.6g}", error)

    def left(self):
        """What is left to burn, and for how long, among the cases that arrive."""
        line, never = self.line, self.out(self.line.new)
        part = self.weight[~never].sum()
        if np.any(~self.out(line.old) & never) or part < 0.1:
            return self.tally.skip("update: injectors that leave the limits, or hardly ever arrive")
        weight = np.where(never, 0, self.weight) / part
        need = np.where(self.out(line.old) & ~never, line.share_needed(self.limit), 0)
        now = line.time_of(self.last) if line.timed else None
        for name, at in (("burn_left", lambda x: self.last + x), ("time_left", lambda x: line.burned_at(now + x))):
            if not self.answer[name] or (name == "time_left" and not line.timed):
                continue
            for text, value in self.answer[name]["quantiles"].items():
                if value is None:
                    continue
                p, nobody = float(text), np.zeros(len(need), bool)
                before = line.at_injectors(at(value * (1 - 1e-6) - 1e-9)) >= need if value > 0 else nobody
                by_then = line.at_injectors(at(value * (1 + 1e-6) + 1e-9)) >= need
                self.share("update " + name.replace("_", " ") + " quantile", p, before, by_then, f"at {value:.8g}",
                           np.sqrt(p * (1 - p) / (self.program * part)), weight)

    def bias(self):
        tally, said, weight = self.tally, self.answer["bias"], self.weight
        mean = weight @ self.offset
        sd = np.sqrt(weight @ (self.offset - mean) ** 2)
        se = np.sqrt(np.sum((weight * (self.offset - mean)) ** 2))
        tally.value("update bias mean", said["mean"], sd / np.sqrt(self.program), mean, se, 1e-9)
        if sd > 1e-9:
            squares = (self.offset - mean) ** 2 / sd ** 2 - 1
            se = np.sqrt(np.sum((weight * squares) ** 2)) / 2
            tally.value("update bias sd", said["standard_deviation"], sd * np.sqrt(weight @ squares ** 2 / self.program) / 2,
                        sd, se * sd, 1e-9)
