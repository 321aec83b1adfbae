"""fill: amounts, the risks at them, and what would do where no amount will."""
import numpy as np

from between import legs
from compare import Risk, is_out
from measured import Event
from reference import draw_cases, heel_before, known, land, mean_case, run_dry, two_fills

STEP = 0.01  # litres that a dispenser shows


def risk_of_amount(tally, scenario, cases):
    out = lambda amount, some: is_out(scenario, land(scenario, some, amount=amount)["content"])
    return Risk(tally, scenario, cases, out, scenario["limits.accepted-risk"])


def compare(job):
    answer = job.ask("fill")
    if answer is None:
        return
    tally, scenario, cases = job.tally, job.scenario, job.cases
    risk = risk_of_amount(tally, scenario, cases)
    mean = mean_case(scenario)
    last = len(scenario.fills) - 1
    room = float((mean["tank.click-off"] - heel_before(scenario, dict(mean, noise=[0.0]), last))[0])
    tally.equal("fill room", answer["room"], room, 1e-4)
    most = max(room, 0) + 3
    amounts(tally, answer, risk, most)
    safe = answer["safe_amount"]
    if safe is not None:
        if answer["outside_at_safe"]:
            tally.chance("fill outside_at_safe", answer["outside_at_safe"], risk.event(safe))
        if answer.get("clicked_off_early_at_safe"):
            tally.chance("fill clicked_off_early_at_safe", answer["clicked_off_early_at_safe"],
                         Event(scenario, cases, lambda some: land(scenario, some, amount=safe)["early"]))
    nominal(tally, scenario, answer, mean, most)
    if answer["outside_at_nominal"]:
        tally.chance("fill outside_at_nominal", answer["outside_at_nominal"], risk.event(answer["nominal_amount"]))
    given = safe is not None and answer["nominal_amount"] is not None
    tally.equal("fill margin", answer["margin"], safe - answer["nominal_amount"] if given else None)
    price = scenario[scenario.fills[last][0] + ".price"]
    if answer["margin"] is not None:
        tally.equal("fill margin cost", answer["margin_cost"], None if price is None else answer["margin"] * price)
    tally.note("fill met", answer["met"] == (safe is not None), f"{answer['met']} with {safe}")
    legs(job, "fill", scenario, answer.get("between", []))
    if answer.get("instead"):
        instead(job, answer["instead"], risk, most)


def amounts(tally, answer, risk, most):
    """The safe amount and the largest, each with the step beside it, and a grid between and around."""
    safe, largest, again = answer["safe_amount"], answer["largest_amount"], answer["again_from"]
    grid = np.linspace(0, most, 17)
    if safe is None:
        for a in grid:
            risk.over("fill none will do", a)
        return
    risk.within("fill safe amount", safe)
    if safe > STEP * 1.01:
        risk.over("fill one step less", safe - STEP)
    for a in grid[grid < safe - STEP][-8:]:
        risk.over("fill nothing smaller", a)
    end = largest if largest is not None else most
    for a in grid[(grid > safe) & (grid <= end)]:
        risk.within("fill up to the largest", a)
    if largest is not None:
        risk.within("fill largest amount", largest)
        risk.over("fill one step more", largest + STEP)
    if again is not None:
        risk.within("fill again from", again)
        risk.over("fill again from, a step less", again - STEP)


def nominal(tally, scenario, answer, mean, most):
    """By arithmetic: the least amount with every input at its mean."""
    out = lambda a: bool(is_out(scenario, land(scenario, mean, amount=a)["content"])[0])
    amount = answer["nominal_amount"]
    if amount is None:
        bad = [a for a in np.linspace(0, most, 301) if not out(a - 1e-4) and not out(a + 1e-4)]
        return tally.note("fill nominal none", not bad, f"{bad[:1]} does at all means")
    tally.note("fill nominal amount", not (out(amount - 1e-4) and out(amount) and out(amount + 1e-4)),
               f"{amount} is outside the limits at all means")
    if amount > STEP * 1.01:
        tally.note("fill nominal amount less", out(amount - STEP * 1.01) or out(amount - STEP * 0.99),
                   f"{amount - STEP} does already at all means")


def instead(job, said, risk, most):
    """What would do where no amount will."""
    tally, scenario, cases = job.tally, job.scenario, job.cases
    one = len(scenario.fills) == 1
    risk.is_about("fill least chance", said["least_at"], said["least_chance"], 0.01)
    least = Risk(tally, scenario, cases, risk.happens, said["least_chance"])
    for a in np.linspace(0, most, 9):
        least.over("fill nothing less likely", a)
    if said["highest_indicated"] is not None:
        full = lambda h, some: is_out(scenario, land(scenario, some, indicated=h, amount=None)["content"])
        at = Risk(tally, scenario, cases, full, risk.risk)
        at.within("fill instead highest", said["highest_indicated"])
        at.over("fill instead highest, a step more", said["highest_indicated"] + 0.1)
        dry = Risk(tally, scenario, cases, lambda h, some: run_dry(scenario, some, h), scenario["limits.dry-risk"])
        dry.is_about("fill dry risk at the highest", said["highest_indicated"], said["dry_risk_at_highest"], 0.01)
    if said["second_indicated"] is not None and one:
        second_reading(job, scenario["heel.indicated"], said["second_indicated"], "fill")
        twice, _ = two_fills(scenario, cases, cases)
        legs(job, "fill instead", twice, said["between"])
    tested = said["tested_content"]
    if tested is not None:
        key = scenario.fills[-1][0] + ".content"

        def out(content, some):
            full = known(scenario, some, key, content)
            return is_out(scenario, land(scenario, full, amount=None)["content"])

        test = Risk(tally, scenario, cases, out, risk.risk)
        test.within("fill tested content", tested)
        rising = out(tested - 0.02, cases).sum() > out(tested + 0.02, cases).sum()  # the direction that helps
        test.over("fill tested content, a step worse", tested - 1e-4 if rising else tested + 1e-4)


def reading(tally, scenario, cases, highest, name, more=0.1):
    """The highest reading from which filling to click-off, or as written after others, is within the risk."""
    one = len(scenario.fills) == 1
    out = lambda h, some: is_out(scenario, land(scenario, some, indicated=h, to_click_off=one)["content"])
    risk = Risk(tally, scenario, cases, out, scenario["limits.accepted-risk"])
    risk.within(name + " highest", highest)
    if highest + more <= scenario["tank.capacity"]:
        risk.over(name + " highest, a step more", highest + more)
    return risk


def second_reading(job, first, second, name):
    """Two fills to click-off with fuel of the same kind, drawn twice."""
    scenario = job.scenario
    twice, cases = two_fills(scenario, job.cases, draw_cases(scenario, job.n, job.seed + [3]))

    def out(reading, some):
        at = twice.with_values({"fill-2.indicated": reading})
        return is_out(scenario, land(at, some, indicated=first)["content"])

    risk = Risk(job.tally, twice, cases, out, scenario["limits.accepted-risk"])
    risk.within(name + " second reading", second)
    if second + 0.1 <= scenario["tank.capacity"]:
        risk.over(name + " second reading, a step more", second + 0.1)
