"""table: cells of amounts, readings and chances over two keys."""
import numpy as np

from compare import is_out
from measured import Event
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
        out = lambda some: is_out(scenario, land(scenario, some)["content"])
        return tally.chance("table chance", said, Event(scenario, cases, out))
    if show == "heel":
        if said is not None:
            risk = reading(tally, scenario, cases, said["highest_indicated"], "table")
            lowest = said["lowest_for_limits"]
            if lowest is not None:
                risk.within("table lowest", lowest)
                if lowest > 0.1 * 1.01:
                    risk.over("table lowest, a step less", lowest - 0.1)
        return None
    amount(tally, scenario, cases, said and said["safe_amount"], "table")
    if said is not None:
        ends(tally, scenario, cases, said)


def ends(tally, scenario, cases, said):
    """The largest amount, up to which all are within the risk, and where larger ones are again."""
    risk = risk_of_amount(tally, scenario, cases)
    least, largest, again = said["safe_amount"], said["largest_amount"], said["again_from"]
    end = scenario["tank.capacity"] if largest is None else largest
    for a in np.linspace(least, max(end, least), 5)[1:-1]:
        risk.within("table up to the largest", a)
    if largest is not None:
        risk.within("table largest amount", largest)
        risk.over("table largest amount, a step more", largest + STEP)
    if again is not None:
        risk.within("table again from", again)
        risk.over("table again from, a step less", again - STEP)


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
