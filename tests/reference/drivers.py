"""drivers: Sobol' indices of the landed content, and what each input known at its mean would change.

Indices by plain pick-freeze sampling: first order as the correlation of two cases that share the input (A. Janon et
al., ESAIM Probability and Statistics 18, 2014; from memory), total as half the mean square of what changing the input
alone does (M. J. W. Jansen, Computer Physics Communications 117, 1999; from memory). Their errors come from the
influence of each case on the ratio. Where inputs are correlated the case that shares one input has the others drawn
given it, and the one that changes it alone has it drawn given the others that the landing depends on (docs/method.md).
"""
import numpy as np

from compare import is_out
from fill import STEP, reading, risk_of_amount
from copula import Copula
from laws import Law
from measured import Event
from reference import draw_cases, known, land


def compare(job):
    answer = job.ask("drivers")
    if answer is None:
        return
    tally, scenario = job.tally, job.scenario
    if not scenario.done():
        indices(job, answer)
    if answer["outside"]:
        tally.chance("drivers outside", answer["outside"],
                     Event(scenario, job.cases, lambda some: is_out(scenario, land(scenario, some)["content"])))
    if scenario.done():  # amounts and readings are not told, and chances with one input known are others' to check
        return
    fill, heel = job.ask("fill"), job.ask("heel")
    tally.equal("drivers safe amount", answer["safe_amount"], fill["safe_amount"])
    tally.equal("drivers highest", answer["highest_indicated"], heel["highest_indicated"])
    for one in answer["inputs"]:
        given(job, answer, one)


def indices(job, answer):
    tally, scenario, a = job.tally, job.scenario, job.cases
    b = draw_cases(scenario, job.n, job.seed + [4])
    f_a, f_b = land(scenario, a)["content"], land(scenario, b)["content"]
    middle = (f_a.mean() + f_b.mean()) / 2
    f_a, f_b = f_a - middle, f_b - middle
    variance = ((f_a ** 2).mean() + (f_b ** 2).mean()) / 2
    if variance < 1e-14:
        return tally.skip("drivers: the landed content hardly varies")
    said = {one["key"]: one for one in answer["inputs"]}
    joint, rng = Copula(scenario), np.random.default_rng(job.seed + [8])
    for key, law in scenario.laws().items():
        shared = changed = {key: b[key]}
        if key in joint.keys:
            shared = dict(shared, **joint.values(joint.given(key, b["scores"][joint.index(key)], a["scores"])))
            changed = joint.values(joint.again(key, a["scores"], rng, said))
        mixed = land(scenario, dict(a, **shared))["content"] - middle
        other = land(scenario, dict(a, **changed))["content"] - middle
        alone = f_b * mixed / variance  # cases that share this input alone
        half = (f_a - other) ** 2 / 2 / variance  # cases that differ in this input alone
        if key not in said:
            if (key == "engine.economy" or key.split(".")[0] not in ("line", "engine")) and law.kind != "exact":
                tally.note("drivers input left out", half.max() < 1e-18, f"{key} matters and is not listed")
            continue
        scale_ab = (f_b ** 2 + mixed ** 2) / 2 / variance
        first, total = alone.mean() / scale_ab.mean(), half.mean()
        scale_a = (f_a ** 2 + f_b ** 2) / 2 / variance
        error = lambda influence: influence.std() / np.sqrt(len(influence))
        for name, value, se in (("first order", first, error(alone - first * scale_ab)),
                                ("total", total, error(half - total * scale_a))):
            it = said[key][name.replace(" ", "_")]
            tally.value("drivers " + name, it["value"], it["standard_error"], value, se, 1e-6)


def given(job, answer, one):
    """The amount, the reading and the chance with one input known, at its mean."""
    tally, scenario, key = job.tally, job.scenario, one["key"]
    cases = known(scenario, job.cases, key)
    scenario = scenario.with_values({key: Law("exact", [cases[key][0]])})
    risk = risk_of_amount(tally, scenario, cases)
    safe, high = one["safe_amount_if_known"], one["highest_indicated_if_known"]
    if safe is not None:
        risk.within("drivers safe if known", safe)
        if safe > STEP * 1.01:
            risk.over("drivers safe if known, a step less", safe - STEP)
    else:
        for a in np.linspace(0, scenario["tank.capacity"], 5):
            risk.over("drivers none if known", a)
    if high is not None:
        reading(tally, scenario, cases, high, "drivers if known")
    if one["outside_if_known"] is not None:
        out = Event(scenario, cases, lambda some: is_out(scenario, land(scenario, some)["content"]))
        p = one["outside_if_known"]
        tally.chance("drivers outside if known", {"chance": p, "standard_error": 0.01 * p,
                                                  "interval_95": [0.0, 3e-5]}, out)
    for name, now, then, sign in (("margin_saved", answer["safe_amount"], safe, 1),
                                  ("heel_gained", answer["highest_indicated"], high, -1)):
        both = now is not None and then is not None
        tally.equal("drivers " + name, one[name], sign * (now - then) if both else None)
