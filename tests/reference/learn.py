"""learn: a shop's log (learn_log.py), and changeovers by least squares on invented logs of known truth."""
import json
import os
import subprocess

import numpy as np
from scipy import optimize, stats

import learn_log
from line import arrived
from scenario import read_scenario

SEARCH = 5e-3  # of a standard error: what finite differences, the end of a search and three rounds of weights leave open
CAR = """[tank]
capacity = 50 L
[heel]
indicated = 5 L
content = 20 %
[fuel]
content = 75 %
[line]
{volumes}
pipe-flow = {flow}
[engine]
idle = 1.4 L/h
[sensor]
noise = {noise} %
step = {step} %
[limits]
minimum = 60 %
"""


def ask(program, *words):
    run = subprocess.run([program, "learn", *words, "--json"], capture_output=True, text=True)
    return json.loads(run.stdout) if run.returncode == 0 else run.stderr.strip()


def compare(program, tally, folder, examples, seed, logs, watch):
    """The example's log and invented ones."""
    learn_log.compare(ask, program, tally, folder, np.random.default_rng([seed, 8]), logs, watch)
    rng = np.random.default_rng([seed, 7])
    log = os.path.join(examples, "invented-changeover.csv")
    car = os.path.join(examples, "wagon-line.ini")
    tally.where = "learn invented-changeover.csv"
    # Truth of the example: docs/learning.md.
    truth = {"filter": 0.16, "pipe": 0.12, "idle": 1.42 / 3600, "before": 0.306, "after": 0.724}
    changeover(tally, watch, ask(program, "--changeover", log, car), log, car, truth)
    for number in range(logs):
        tally.where = f"learn log {number}"
        truth, log, car = write_changeover(folder, number, rng)
        changeover(tally, watch, ask(program, "--changeover", log, car), log, car, truth)


def write_changeover(folder, number, rng):
    """A log of a line of a stirred volume or two and a pipe, rates logged, the display's step not coarse."""
    laminar = rng.random() < 0.6
    # Parts of a size that a log of 400 readings tells apart.
    parts = {"filter": rng.uniform(0.08, 0.25), "pipe": rng.uniform(0.12, 0.3)}
    noise, step = rng.choice([0.2, 0.4, 0.8]), rng.choice([0.0, 0.1, 0.5])
    step = step if step <= 2.5 * noise else 0.1
    rate = rng.uniform(1, 3) / 3600
    before, after = rng.uniform(0.05, 0.4), rng.uniform(0.6, 0.85)
    time = np.linspace(0, 9 * sum(parts.values()) / rate, 500)
    share = arrived([np.full(500, parts["filter"])], np.full(500, parts["pipe"]), laminar, rate * time)
    shown = 100 * (before + (after - before) * share) + noise * rng.standard_normal(500)
    if step:
        shown = np.round(shown / step) * step
    logged = rate * 3600 * (1 + 0.03 * rng.standard_normal(500))
    log, car = (os.path.join(folder, f"changeover-{number}.{end}") for end in ("csv", "ini"))
    with open(log, "w") as file:
        file.write("time_s,reading_percent,fuel_rate_l_per_h\n")
        file.write("".join(f"{t:.3f},{s:.6g},{r:.6g}\n" for t, s, r in zip(time, shown, logged)))
    with open(car, "w") as file:
        file.write(CAR.format(volumes="filter = 0.15 L\npipe = 0.2 L", flow="laminar" if laminar else "plug",
                              noise=noise, step=step))
    return dict(parts, idle=rate, before=before, after=after), log, car


class Fit:
    """Least squares over both levels and the volumes, on litres summed up by one of three rules, whose errors
    go along as the rates'."""

    def __init__(self, log, car, rule, off_lines=()):
        scenario = read_scenario(car)
        rows = np.genfromtxt(log, delimiter=",", names=True)
        time, shown, rate = rows["time_s"], rows["reading_percent"] / 100, rows["fuel_rate_l_per_h"] / 3600
        steps = {"mean": (rate[1:] + rate[:-1]) / 2, "first": rate[:-1], "last": rate[1:]}[rule]
        burned = np.concatenate([[0.0], np.cumsum(steps * np.diff(time))]) + rate[0] * time[0]
        self.names = [part for part in ("reservoir", "filter", "pipe") if scenario["line." + part].mean() > 0]
        laminar = scenario["line.pipe-flow"] == "laminar"
        lag = scenario["sensor.lag"]

        off = np.isin(np.arange(len(time)) + 2, off_lines)
        self.kept = ~off

        def misfit(x):
            parts = dict(zip(self.names, np.abs(x[2:])))

            def seen(q, more):
                full = lambda name: np.full(len(q), parts.get(name, 0.0))
                return arrived([full("reservoir"), full("filter"), more], full("pipe"), laminar, q)

            if lag == 0:
                share = seen(burned, np.zeros(len(time)))
            else:  # from row to row at a constant rate: one more stirred volume, and the state before fades
                at, then = seen(burned[:-1], lag * steps), seen(burned[1:], lag * steps)
                share = np.zeros(len(time))
                for k, fade in enumerate(np.exp(-np.diff(time) / lag)):
                    share[k + 1] = then[k] + (share[k] - at[k]) * fade
            return (x[0] + (x[1] - x[0]) * share - shown)[self.kept]

        walk = self.walk(time, rate)
        start = [shown[:5].mean(), shown[-20:].mean()] + [scenario["line." + part].mean() for part in self.names]
        best = optimize.least_squares(misfit, start, x_scale=np.abs(start), diff_step=1e-4, xtol=1e-12, ftol=1e-14)
        for factor in (0.6, 1.6):  # plug flow has a kinked sum of squares: from further starts
            other = optimize.least_squares(misfit, start[:2] + [v * factor for v in start[2:]],
                                           x_scale=np.abs(start), diff_step=1e-4, xtol=1e-12, ftol=1e-14)
            best = min(best, other, key=lambda one: one.cost)
        self.dof = self.kept.sum() - len(best.x)
        for _ in range(3 if walk[-1] > 0 else 0):  # generalised least squares: the covariance from the fit before
            raw = misfit(best.x)
            whiten = self.whitened(raw, shown[self.kept] + raw, burned[self.kept], walk[self.kept])
            best = optimize.least_squares(lambda x: whiten @ misfit(x), best.x, x_scale=np.abs(start), diff_step=1e-4,
                                          xtol=1e-12, ftol=1e-14)
        self.values = dict(zip(["before", "after"] + self.names, np.abs(best.x)))
        self.sd = np.sqrt(2 * best.cost / self.dof)
        errors = np.sqrt(np.diag(np.linalg.inv(best.jac.T @ best.jac))) * self.sd
        self.errors = dict(zip(self.values, errors))
        self.last_share = (misfit(best.x)[-1] + shown[self.kept][-1] - best.x[0]) / (best.x[1] - best.x[0])
        self.rates, self.rows = rate, len(time)

    @staticmethod
    def walk(time, rate):
        """Variance of the burned volume by every row: each rate errs by itself, and counts for half of both spans."""
        bends = np.abs(rate[:-2] - 2 * rate[1:-1] + rate[2:]) / ((rate[:-2] + rate[1:-1] + rate[2:]) / 3)
        sd = np.median(bends) / stats.norm.ppf(0.75) / np.sqrt(6)
        errors = sd * rate
        spans = np.diff(time)
        weights = np.concatenate([[0.0], spans]) / 2 + np.concatenate([spans, [0.0]]) / 2
        return np.concatenate([[0.0], np.cumsum((errors * weights)[1:] ** 2)])

    def whitened(self, raw, fit, burned, walk):
        """What makes residuals independent, with the noise that leaves them of its own size."""
        reach = np.sqrt(walk)
        low = np.minimum(burned - reach, np.concatenate([burned[:1], burned[:-1]]))
        high = np.maximum(burned + reach, np.concatenate([burned[1:], burned[-1:]]))
        slopes = (np.interp(high, burned, fit) - np.interp(low, burned, fit)) / (high - low)
        shared = np.outer(slopes, slopes) * np.minimum.outer(walk, walk)

        def root(noise):
            return np.linalg.inv(np.linalg.cholesky(shared + noise ** 2 * np.eye(len(raw)))) * noise

        most = np.sqrt(raw @ raw / self.dof)
        lacking = lambda noise: self.dof - np.sum((root(noise) @ raw) ** 2) / noise ** 2
        noise = optimize.brentq(lacking, 0.05 * most, most, rtol=1e-6) if lacking(0.05 * most) < 0 else 0.05 * most
        return root(noise)


def changeover(tally, watch, answer, log, car, truth):
    """Values against least squares of our own and against the truth; errors against s^2 (J'J)^-1."""
    if isinstance(answer, str):
        return tally.note("learn changeover", False, f"refused: {answer}")
    watch("learn-changeover", answer)
    if answer["drift"] is not None:
        return tally.skip("learn: a drift is told")
    fits = [Fit(log, car, rule, answer["off_lines"]) for rule in ("mean", "first", "last")]
    own = fits[0]
    tally.equal("learn rows", answer["rows"], own.rows)
    car_read = read_scenario(car)
    # Then nothing is added to s^2 (J'J)^-1: neither a coarse display nor readings that are off together.
    plain = car_read["sensor.step"] < car_read["sensor.noise"] and answer["correlation_length"] == 1
    said = {one["key"].split(".")[1]: one for one in answer["line"]}
    said.update(before=answer["before"], after=answer["after"], idle=answer["idle"])
    for name, value in truth.items():
        it = said[name]
        if not it["determined"]:
            tally.skip(f"learn: {name} not determined")
            continue
        off = abs(it["value"] - value)
        tally.note("learn against the truth", off <= tally.z * it["standard_error"],
                   f"{name}: {it['value']:.6g} +- {it['standard_error']:.2g}, the truth is {value:.6g}",
                   off / it["standard_error"])
        if name == "idle":
            tally.equal("learn idle", it["value"] / own.rates.mean(), 1)
            wider(tally, it["standard_error"], own.rates.std(ddof=1) / np.sqrt(own.rows), False, name)
            continue
        # The same minimum, but for how the rates are summed up and where the searches stop.
        ends = [fit.values[name] for fit in fits]
        slack = SEARCH * own.errors[name]
        tally.note("learn least squares", min(ends) - slack <= it["value"] <= max(ends) + slack,
                   f"{name}: {it['value']:.8g}, own {min(ends):.8g} to {max(ends):.8g} +- {own.errors[name]:.2g}")
        wider(tally, it["standard_error"], own.errors[name], plain, name)
        half = (it["interval_95"][1] - it["interval_95"][0]) / 2
        tally.equal("learn interval", half / it["standard_error"], stats.t.isf(0.025, own.dof), 0.01)
    tally.equal("learn residual sd", answer["residual_sd"] / own.sd, 1, SEARCH)
    last = [fit.last_share for fit in fits]
    tally.note("learn last share", min(last) - 1e-4 <= answer["last_share"] <= max(last) + 1e-4,
               f"{answer['last_share']}, own {min(last)} to {max(last)}")
    tally.equal("learn expected sd", answer["expected_sd"],
                np.sqrt(car_read["sensor.noise"] ** 2 + car_read["sensor.step"] ** 2 / 12))


def wider(tally, said, own, same, name):
    """A standard error is ours, or no less where the program has cause to widen it."""
    right = said / own >= 1 - SEARCH and (not same or said / own <= 1 + SEARCH)
    tally.note("learn standard error", right, f"{name}: {said:.6g}, own {own:.6g}")
