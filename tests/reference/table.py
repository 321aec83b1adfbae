"""table: cells of amounts, readings and chances over two keys."""
import numpy as np

from compare import is_out
from fill import STEP, reading, risk_of_amount
from moved import cases_of, choices, text, with_key
from reference import land


def compare(job):
    rng = np.random.default_rng(job.seed + [5])
    for show in ["amount", "heel", "chance"]:
        keys = [one for one in choices(job.scenario) if show != "heel" or one[0] != "heel.indicated"]
        if len(keys) < 2:
            continue
        rows, columns = (keys[i] for i in rng.permutation(len(keys))[:2])
        axis = lambda key, kind, values: f"{key}=" + "; ".join(text(v, kind) for v in values)
        answer = job.ask("table", "--rows", axis(*rows), "--columns", axis(*columns), "--show", show)
        if answer is None:
            continue
        for i, row in enumerate(rows[2]):
            for j, column in enumerate(columns[2]):
                scenario = with_key(job.scenario, rows[0], text(row, rows[1]), rows[1])
                scenario = with_key(scenario, columns[0], text(column, columns[1]), columns[1])
                cell(job, scenario, cases_of(job, scenario), show, answer["cells"][i][j])


def cell(job, scenario, cases, show, said):
    tally = job.tally
    if show == "chance":
        return tally.chance("table chance", said, is_out(scenario, land(scenario, cases)["content"]))
    if show == "heel":
        if said is not None:
            reading(tally, scenario, cases, said, "table")
        return None
    amount(tally, scenario, cases, said, "table")


def amount(tally, scenario, cases, said, name):
    """A safe amount, or that there is none."""
    risk = risk_of_amount(tally, scenario, cases)
    if said is None:
        for a in np.linspace(0, scenario["tank.capacity"], 5):
            risk.over(name + " no amount", a)
        return
    risk.within(name + " amount", said)
    if said > STEP * 1.01:
        risk.over(name + " amount, a step less", said - STEP)
