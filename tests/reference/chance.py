"""chance: the landed content, each chance, and the verdicts drawn from them."""
from between import legs
from compare import is_out
from measured import Event
from reference import WINDOW, draw_cases, heel_before, land, run_dry

PROGRAM_POINTS = 4096  # docs/method.md


def compare(job):
    answer = job.ask("chance")
    if answer is None:
        return
    tally, scenario, cases = job.tally, job.scenario, job.cases
    landing = land(scenario, cases)
    tally.landed("chance landed", answer["landed"], landing["content"])
    event = lambda happens: Event(scenario, cases, happens)
    for key, side in (("below_minimum", "below"), ("above_maximum", "above"), ("outside", None)):
        if answer.get(key):
            tally.chance("chance " + key, answer[key],
                         event(lambda some: is_out(scenario, land(scenario, some)["content"], side)))
    if answer["run_dry"]:
        tally.chance("chance run_dry", answer["run_dry"], event(lambda some: run_dry(scenario, some)))
        tally.equal("chance floor", answer["run_dry"]["floor"], scenario["tank.pickup-floor"])
    if answer.get("clicked_off_early") and landing["early"] is not None:
        tally.chance("chance clicked_off_early", answer["clicked_off_early"],
                     event(lambda some: land(scenario, some)["early"]))
    for key, limit in (("below_minimum", "limits.minimum"), ("above_maximum", "limits.maximum")):
        tally.equal("chance limit", answer[key] and answer[key]["limit"], scenario[limit])
    if scenario.done():
        told(job, answer["told_by_dispenser"])
    legs(job, "chance", scenario, answer.get("between", []))
    verdict(tally, answer)
    dry = answer["run_dry"]
    if dry:
        tally.note("chance dry met", answer["dry_met"] == (dry["chance"] <= answer["dry_risk"]),
                   f"{dry['chance']} against {answer['dry_risk']}: {answer['dry_met']}")


def told(job, said):
    """What the tank held before the last fill, as planned and given the figures, and the plan's landing."""
    scenario, last = job.scenario, len(job.scenario.fills) - 1
    planned = scenario.with_values({key: None for key in scenario.values if key.endswith(".shown")})
    plan = draw_cases(planned, job.n, job.seed + [5])
    e = 1e-3  # litres: the program's own points; beside them what figures may be off by here
    for key, heel, e in (("heel_after", heel_before(scenario, job.cases, last), e + 1.05 * WINDOW),
                         ("heel_before", heel_before(planned, plan, last), e)):
        for text, value in said[key]["quantiles"].items():
            job.tally.quantile("chance " + key, float(text), value, heel < value - e, heel <= value + e, PROGRAM_POINTS)
    job.tally.landed("chance landed as planned", said["landed_before"], land(planned, plan)["content"])


def verdict(tally, answer):
    """met and clearly follow from the estimate; the accepted risks are the scenario's."""
    outside, accepted = answer["outside"], answer["accepted_risk"]
    low, high = outside["interval_95"]
    known = outside["chance"] if outside["chance"] > 0 else high
    tally.note("chance met", answer["met"] == (known <= accepted), f"{known} against {accepted}: {answer['met']}")
    clear = high <= accepted if answer["met"] else low > accepted
    tally.note("chance clearly", answer["clearly"] == clear, f"{low} to {high} against {accepted}: {answer['clearly']}")
