"""heel: readings, the window between, and what would do where there is none."""
import numpy as np

from compare import Risk, is_out
from fill import second_reading
from reference import land, mean_case, run_dry

STEP = 0.1  # litres that a gauge is read to


def risk_of_reading(tally, scenario, cases):
    one = len(scenario.fills) == 1
    out = lambda h, some: is_out(scenario, land(scenario, some, indicated=h, to_click_off=one)["content"])
    return Risk(tally, scenario, cases, out, scenario["limits.accepted-risk"])


def compare(job):
    answer = job.ask("heel")
    if answer is None:
        return
    tally, scenario, cases = job.tally, job.scenario, job.cases
    risk = risk_of_reading(tally, scenario, cases)
    dry = Risk(tally, scenario, cases, lambda h, some: run_dry(scenario, some, h), scenario["limits.dry-risk"])
    size = scenario["tank.capacity"]
    high, low = answer["highest_indicated"], answer["lowest_indicated"]
    highest(answer, risk, size)
    if answer["outside_at_highest"]:
        tally.chance("heel outside_at_highest", answer["outside_at_highest"], risk.event(high))
    if low is not None:
        dry.within("heel lowest", low)
        if low > STEP * 1.001:
            dry.over("heel lowest, a step less", low - STEP)
    window(tally, answer)
    nominal(tally, scenario, answer, size)
    if answer["risk_at_lowest"] is not None:
        risk.is_about("heel risk at the lowest", low, answer["risk_at_lowest"], 0.01)
    if answer["dry_risk_at_highest"] is not None:
        dry.is_about("heel dry risk at the highest", high, answer["dry_risk_at_highest"], 0.01)
    if answer["second_indicated"] is not None and len(scenario.fills) == 1 and low is not None:
        second_reading(job, low, answer["second_indicated"], "heel")
    drive(job, answer)
    economy, reserve = scenario["heel.economy"], scenario["heel.reserve"]
    for end in ("highest", "lowest"):
        at, km = answer[end + "_indicated"], answer[end + "_distance_left_km"]
        if economy and at is not None and at >= reserve:
            tally.equal("heel distance left", km, (at - reserve) / economy, 1e-6)
        else:
            tally.equal("heel distance left", km, None)


def drive(job, answer):
    """How far until the gauge shows the highest reading, and how far within the dry risk."""
    tally, scenario, economy = job.tally, job.scenario, job.scenario["engine.economy"]
    if scenario["heel.now"] is None or scenario.looked_again():
        tally.equal("heel drive", answer["drive_km"], None)
        return tally.equal("heel farthest", answer["farthest_km"], None)
    high, far = answer["highest_indicated"], answer["farthest_km"]
    if high is not None:
        tally.equal("heel drive", answer["drive_km"], max(scenario["heel.now"] - high, 0) / economy.quantile(0.5), 1e-6)
    # Without a pickup floor as far as there is anything left.
    left = scenario.with_values({"tank.pickup-floor": max(scenario["tank.pickup-floor"], 1e-6)})
    there = lambda km, some: run_dry(left, dict(some, **{"heel.to-pump": np.full(len(some["noise"]), km)}))
    dry = Risk(tally, scenario, job.cases, there, scenario["limits.dry-risk"])
    if far is not None:
        dry.within("heel farthest", far)
        dry.over("heel farthest, a kilometre more", far + 1)


def highest(answer, risk, size):
    high, start = answer["highest_indicated"], answer.get("lowest_for_limits")
    grid = np.linspace(0, size, 17)
    if high is None:
        for h in grid:
            risk.over("heel none will do", h)
        return
    risk.within("heel highest", high)
    if high + STEP <= size:
        risk.over("heel one step more", high + STEP)
    for h in grid[grid > high + STEP][:8]:
        risk.over("heel nothing higher", h)
    for h in grid[(grid < high) & (grid >= (start or 0))]:
        risk.within("heel down from the highest", h)
    if start:
        risk.within("heel lowest for limits", start)
        if start > STEP * 1.001:
            risk.over("heel lowest for limits, a step less", start - STEP)


def window(tally, answer):
    high, low, said = answer["highest_indicated"], answer["lowest_indicated"], answer["window"]
    open_ = high is not None and low is not None
    start = max(low, answer.get("lowest_for_limits") or 0) if open_ else None
    right = said is None or (open_ and abs(said[0] - start) < 1e-9 and abs(said[1] - high) < 1e-9)
    if open_:
        right &= (said is None) == (start > high + 1e-9)
    tally.note("heel window", right, f"{said} of {low}, {answer.get('lowest_for_limits')} to {high}")
    tally.note("heel met", answer["met"] == (said is not None), f"{answer['met']} with {said}")


def nominal(tally, scenario, answer, size):
    """By arithmetic: the highest reading with every input at its mean."""
    mean, one = mean_case(scenario), len(scenario.fills) == 1
    out = lambda h: bool(is_out(scenario, land(scenario, mean, indicated=h, to_click_off=one)["content"])[0])
    said = answer["nominal_highest"]
    if said is None:
        bad = [h for h in np.linspace(0, size, 301) if not out(max(h - 1e-4, 0)) and not out(h + 1e-4)]
        return tally.note("heel nominal none", not bad, f"{bad[:1]} does at all means")
    tally.note("heel nominal highest", not (out(said - 1e-4) and out(said) and out(said + 1e-4)),
               f"{said} is outside the limits at all means")
    if said + STEP <= size:
        tally.note("heel nominal highest, a step more", out(said + STEP * 0.99) or out(said + STEP * 1.01),
                   f"{said + STEP} does as well at all means")
