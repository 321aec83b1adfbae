"""What the tank holds between fills, its chances against both bands, and which calibration fits."""
from compare import is_out
from measured import Event
from reference import draw_cases, land

SIDES = (("below_minimum", "below"), ("above_maximum", "above"), ("outside", None))


def legs(job, command, scenario, said):
    """One a fill but the last: the landing of the fills up to it alone."""
    for leg in said:
        part = scenario.with_values({})
        part.fills = part.fills[:leg["after_fill"]]
        one_leg(job, command, part, leg)
    if said:
        job.tally.note(f"{command} between fills", [leg["after_fill"] for leg in said]
                       == list(range(1, len(scenario.fills))), f"{len(said)} legs of {len(scenario.fills)} fills")


def one_leg(job, command, part, leg):
    tally, name = job.tally, command + " between "
    cases = draw_cases(part, job.n, job.seed + [6])
    tally.landed(name + "landed", leg["landed"], land(part, cases)["content"])
    new = band(tally, name, part, cases, leg)
    given = part["before.minimum"] is not None or part["before.maximum"] is not None
    tally.note(name + "before", given == (leg["before"] is not None), f"{leg['before']}")
    if not given:
        tally.note(name + "calibration", leg["calibration"] is None, leg["calibration"])
        return
    bears = part.with_values({"limits.minimum": part["before.minimum"], "limits.maximum": part["before.maximum"]})
    bears.fills = bears.fills[:leg["after_fill"]]
    old = band(tally, name + "before ", bears, cases, leg["before"])
    fits = "both" if old and new else "old" if old else "new" if new else "neither"
    tally.note(name + "calibration", leg["calibration"] == fits, f"{leg['calibration']}, not {fits}")


def band(tally, name, scenario, cases, said):
    """Whether the chance beyond the limits of the scenario is said to be within the accepted risk."""
    event = lambda side: Event(scenario, cases, lambda some: is_out(scenario, land(scenario, some)["content"], side))
    for key, side in SIDES:
        if said.get(key):
            tally.chance(name + key, said[key], event(side))
    for key, limit in (("below_minimum", "minimum"), ("above_maximum", "maximum")):
        tally.equal(name + "limit", said[key] and said[key]["limit"], scenario[f"limits.{limit}"])
    chance, high = said["outside"]["chance"], said["outside"]["interval_95"][1]
    within = (chance if chance > 0 else high) <= scenario["limits.accepted-risk"]
    tally.note(name + "met", said["met"] == within, f"{said['outside']}: {said['met']}")
    return within
