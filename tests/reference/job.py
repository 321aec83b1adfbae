"""One scenario on its way through the commands."""
import json
import os
import subprocess

from reference import draw_cases
from scenario import read_scenario


class Job:
    """The scenario of a file, its cases, and the program's answers to it."""

    def __init__(self, program, path, tally, seed, sizes, readings=(), broken=""):
        self.program, self.path, self.tally, self.readings = program, path, tally, list(readings)
        self.scenario = read_scenario(path)
        self.scenario.broken = broken
        self.seed = list(seed)
        self.n, self.n_line = sizes
        self.cases = draw_cases(self.scenario, self.n, self.seed + [1])
        self.line_cases = draw_cases(self.scenario, self.n_line, self.seed + [2])
        self.answers, self.refused = {}, []
        self.watch = lambda command, answer: None

    def ask(self, command, *words):
        """The JSON answer, or None where the program refuses."""
        if (command, words) not in self.answers:
            run = subprocess.run([self.program, command, self.path, "--json", *words], capture_output=True, text=True)
            answer = json.loads(run.stdout) if run.returncode == 0 else None
            if answer is None:
                self.tally.skip(f"{command} refused")
                self.refused.append(f"{os.path.basename(self.path)} {command}: {run.stderr.strip()}")
            else:
                self.watch(command, answer)
                common(self, command, answer)
            self.answers[command, words] = answer
        return self.answers[command, words]

    def has_line(self):
        return any(key.startswith("line.") and law.mean() > 0 for key, law in self.scenario.laws().items())


def common(job, command, answer):
    """What every answer has: the scenario's risks, the seed, and intervals about the chances they are of."""
    wrong = []
    for key, own in (("accepted_risk", "limits.accepted-risk"), ("dry_risk", "limits.dry-risk")):
        if key in answer and abs(answer[key] - job.scenario[own]) > 1e-12:
            wrong.append(f"{key} is {answer[key]}")
    if answer["seed"] != 1:
        wrong.append(f"the seed is {answer['seed']}")
    for one in estimates(answer):
        p, se, (low, high) = one.get("chance", one.get("value")), one["standard_error"], one["interval_95"]
        if not low <= p <= high:
            wrong.append(f"{p} is not in {low} to {high}")
        # Student's t with 15 degrees of freedom has 2.131 (SciPy), with more less, down to 1.96; a side that is never missed
        # may add its bound to one end.
        half = min(p - low, high - p)
        if se > 1e-12 * abs(p) and 0 < low and high < 1 and not 1.95 * se <= half <= 2.14 * se:
            wrong.append(f"{low} to {high} is not the interval of {p} +- {se}")
    for one in answer.get("measured", []):
        n = len(job.scenario[one["key"]].inside())
        job.tally.equal("measured values", one["values"], n)
        job.tally.equal("measured values", one["least_chance"], 1 / (n + 1))
    job.tally.note("common", not wrong, f"{command}: {'; '.join(wrong[:3])}")


def estimates(value):
    if isinstance(value, dict):
        if "interval_95" in value:
            yield value
        value = list(value.values())
    if isinstance(value, list):
        for inner in value:
            yield from estimates(inner)
