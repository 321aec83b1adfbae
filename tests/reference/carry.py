"""--lines: the way back by the pasted lines against both ways simulated as one, case by case."""
import os
import tempfile

import numpy as np

from job import Job
from line import Line, arrived
from reference import draw_cases, land
from update import Posterior

CARRIED = ("heel.content", "line.content", "sensor.bias")
KEPT = {"tank": ("capacity", "click-off"), "heel": ("gauge-error",), "sensor": ("noise", "step", "lag"),
        "line": ("reservoir", "pipe", "filter", "beyond-sensor", "pipe-flow", "return-flow"),
        "engine": ("idle", "gentle", "schedule")}


def compare(job):
    """Of a scenario with readings `update`, of others `chance`."""
    if job.scenario.done() and job.readings:
        return
    words = [word for text in job.readings for word in ("--reading", text)]
    command = "update" if words and job.has_line() else "chance"
    answer = job.ask(command, *(words if command == "update" else []), "--lines")
    if answer:
        lines = answer["lines"]
        Both(job, answer, lines, command).compare()


class Both:
    def __init__(self, job, answer, lines, command):
        self.job, self.lines, scenario = job, lines, job.scenario
        n = job.n_line
        self.cases = draw_cases(scenario, n, job.seed + [11])
        if command == "update":
            there = Posterior(job, answer, self.cases)
            self.weight, self.tank = there.weight, there.line.new
        else:
            self.weight = np.full(n, 1 / n)
            self.tank = Line(scenario, self.cases, land(scenario, self.cases)).new
        # The line has been driven through, or else it holds the mean along it.
        self.line = self.tank
        if "line.content" in lines:
            self.line = self.tank + (there.line.old - self.tank) * left_in_line(there)

    def text(self, limit):
        kept, section = [], ""
        with open(self.job.path) as file:
            for line in file:
                line = line.split("#")[0].strip()
                if line.startswith("["):
                    section = line[1:-1]
                elif "=" in line and line.split("=")[0].strip() in KEPT.get(section, ()):
                    kept.append((section, line))
        kept.append(("heel", f"indicated = {0.3 * self.job.scenario['tank.capacity']:.3g} L"))
        kept += [("fuel", "content = uniform(0 %, 10 %)"), ("limits", f"maximum = {100 * limit:.4g} %")]
        kept += [(key.split(".")[0], f"{key.split('.')[1]} = {law}") for key, law in self.lines.items() if key in CARRIED]
        kept += [("correlation", f"{pair} = {rank:.4f}") for pair, rank in self.lines["correlation"].items()]
        sections = sorted({section for section, _ in kept})
        return "# invented\n" + "".join(
            f"[{name}]\n" + "".join(line + "\n" for section, line in kept if section == name) for name in sections)

    def compare(self):
        job, tally = self.job, self.job.tally
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "back.ini")
            self.write(path, 0.3)
            back = Job(job.program, path, tally, job.seed + [12], (100, 100))
            cases = draw_cases(back.scenario, len(self.weight), job.seed + [13])
            cases.update({"heel.content": self.tank, "line.content": self.line, "sensor.bias": self.cases["sensor.bias"]})
            landed = land(back.scenario, cases)["content"]
            order = np.argsort(landed)
            limit = round(landed[order[np.searchsorted(np.cumsum(self.weight[order]), 0.95)]], 3)
            self.write(path, limit)
            line = Line(back.scenario, cases, land(back.scenario, cases))
            volume = np.mean(sum(line.before) + line.pipe + line.beyond)
            burned = float(f"{max(2 * volume, 0.1):.3g}")
            seen = (line.old + (line.new - line.old) * line.at_sensor(burned) + cases["sensor.bias"])[order[len(order) // 2]]
            step = back.scenario["sensor.step"]
            shown = 100 * (np.rint(seen / step) * step if step else seen)
            readings = [f"{burned:g} L: {max(shown, 0.0):.6g} %"] if back.has_line() else []
            back = Job(job.program, path, tally, job.seed + [12], (100, 100), readings)
            self.follow(back, cases, "chance", [])
            if readings and self.cases["sensor.bias"].std() > 0:
                self.follow(back, cases, "update", readings)

    def write(self, path, limit):
        with open(path, "w") as file:
            file.write(self.text(limit))

    def follow(self, back, cases, command, readings):
        tally = self.job.tally
        answer = back.ask(command, *[word for text in readings for word in ("--reading", text)])
        if not answer:
            return
        if command == "chance":
            answer.update(effective_cases=1e6, rail_outside={"side": "above", "limit": back.scenario["limits.maximum"]})
        both = WayBack(back, answer, cases, self.weight)
        if both.worth < 400:
            return tally.skip("carry: too few cases survive")
        # chance tells of the tank alone, update of what it is once the line's old fuel has come back to it.
        own = both.line.new if command == "update" else land(back.scenario, cases)["content"]
        both.quantiles(f"carry {command} landed", answer["landed"], own, 1e-4)
        both.estimate(f"carry {command} outside", answer["above_maximum"], both.out(own))
        if command == "update":
            tally.note("carry bias", abs(answer["bias"]["mean"] - both.weight @ both.offset) <
                       tally.z * np.sqrt(both.weight @ both.offset ** 2 * (1 / both.worth + 1 / both.program)) + 2e-4,
                       f"{answer['bias']['mean']:.6g} against {both.weight @ both.offset:.6g}")


class WayBack(Posterior):
    """The cases of the way there on the way back."""

    def __init__(self, back, answer, cases, weight):
        if back.readings and "bias" in answer:
            super().__init__(back, answer, cases)
        else:
            self.tally, self.scenario, self.answer, self.program = back.tally, back.scenario, answer, 1e6
            self.line, self.side, self.limit = Line(back.scenario, cases, land(back.scenario, cases)), "above", \
                back.scenario["limits.maximum"]
            self.weight = np.ones(len(weight))
        self.weight = self.weight * weight / (self.weight @ weight)
        self.worth = 1 / np.sum(self.weight ** 2)


def left_in_line(there):
    """Share of old fuel that the whole line still holds: what has not come out of what was in it."""
    line = there.line
    volume = sum(line.before) + line.pipe + line.beyond
    passed = line.throughput(there.last)
    steps = (np.arange(24) + 0.5) / 24
    came = lambda q: arrived(line.before + [line.beyond], line.pipe, line.laminar, q)
    gone = np.mean([1 - came(passed * x) for x in steps], axis=0) * passed
    return np.clip(1 - gone / volume, 0, 1)
