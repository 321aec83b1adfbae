"""curve: chances, amounts, landed contents and arrivals along a key, and where they cross the accepted risk."""
import numpy as np

from compare import Risk, is_out
from line import Line
from measured import Event
from moved import cases_of, choices, text, with_key
from reference import ROUNDING, land
from table import amount


def compare(job):
    rng = np.random.default_rng(job.seed + [6])
    keys = choices(job.scenario)
    shows = ["landed", "chance", "amount"] + ["arrival"] * job.has_line()
    for show in shows:
        along, by = (keys[i] for i in rng.permutation(len(keys))[:2])
        with_by = rng.random() < 0.4 and show != "arrival"
        words = ["--along", axis(*along), "--show", show]
        if with_by:
            words += ["--by", axis(*by)]
        after = 0.0
        if show == "arrival":
            after = round(float(sum(job.scenario["line." + part].mean() for part in
                                    ("reservoir", "pipe", "filter", "beyond-sensor"))) * rng.uniform(0.5, 2), 4)
            words += ["--after", f"{after} L"]
        answer = job.ask("curve", *words)
        if answer:
            points(job, answer, show, along, by if with_by else None, after)


def axis(key, kind, values):
    return f"{key}=" + "; ".join(text(v, kind) for v in values)


def points(job, answer, show, along, by, after):
    tally = job.tally
    asked = [value for _ in (by[2] if by else [0]) for value in along[2]]
    for point, value in zip(answer["points"], asked):
        tally.equal("curve value", point["value"], value, 1e-6)
    tally.equal("curve value", len(answer["points"]), len(asked))
    for point in answer["points"]:
        scenario = job.scenario if by is None else with_key(job.scenario, by[0], point["by"], by[1])
        scenario = with_key(scenario, along[0], point["value"], along[1])
        if show == "amount":
            amount(tally, scenario, cases_of(job, scenario), point["amount"], "curve")
        elif show == "landed":
            tally.landed("curve landed", point["landed"], land(scenario, cases_of(job, scenario))["content"])
        else:
            tally.chance("curve " + show, point["estimate"], event(job, scenario, show, after))
    for crossing in answer["crossings"]:
        scenario = job.scenario if by is None else with_key(job.scenario, by[0], crossing["by"], by[1])
        cross(job, scenario, along, crossing, show, after)


def event(job, scenario, show, after):
    """Cases outside the limits: the tank, or the injectors after so much was burned."""
    if show == "chance":
        return Event(scenario, cases_of(job, scenario), lambda some: is_out(scenario, land(scenario, some)["content"]))
    side, limit = side_of(job, scenario)

    def out(some):
        line = Line(scenario, some, land(scenario, some))
        return (1 if side == "below" else -1) * (line.rail(after) - limit) < -ROUNDING

    return Event(scenario, cases_of(job, scenario, line=True), out)


def side_of(job, scenario):
    """The limit that arrive is about, with the value that this scenario gives it."""
    side = job.ask("arrive")["side"]
    return side, scenario["limits.minimum" if side == "below" else "limits.maximum"]


class RiskOf(Risk):
    """Of an event that has cases of its own for every value."""

    def __init__(self, tally, event, risk):
        self.tally, self.event, self.risk = tally, event, risk


def cross(job, scenario, along, said, show, after):
    """At a crossing the chance is the accepted risk: within on the one side, over on the other."""
    events = lambda x: event(job, with_key(scenario, along[0], x, along[1]), show, after)
    risk = RiskOf(job.tally, events, scenario["limits.accepted-risk"])
    risk.within("curve crossing", said["value"])
    risk.over("curve crossing, beyond", said["value"])
