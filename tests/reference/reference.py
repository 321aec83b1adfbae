"""Cases drawn and counted: the model of docs/method.md, with none of the program's shortcuts."""
import numpy as np
from scipy import stats

from copula import Copula, held

ROUNDING = 1e-12  # a content this near to a limit meets it (docs/method.md)


WINDOW = 0.03  # litres that a figure may be off by; what that does to shares is of the order of its square
LEAST_KEPT = 0.002  # of the cases drawn; fewer take too long


def draw_cases(scenario, n, seed):
    """n cases. Where fills are done, those that would have shown what the dispenser showed, and where the gauge was read
    twice, those that burned the difference (rejection)."""
    rng = np.random.default_rng(seed)
    if not scenario.done() and not scenario.looked_again():
        return draw(scenario, n, rng)
    kept, count, drawn = [], 0, 0
    while count < n:
        some = draw(scenario, max(n, 20000), rng)
        agree = shows(scenario, some)
        kept.append({key: value[..., agree] for key, value in some.items()})
        count, drawn = count + int(agree.sum()), drawn + len(agree)
        if drawn > 10 * len(agree) and count < LEAST_KEPT * drawn:
            raise ValueError("hardly any case shows these figures")
    return {key: np.concatenate([part[key] for part in kept], axis=-1)[..., :n] for key in kept[0]}


def shows(scenario, cases):
    """Cases in which the gauge and every done fill's dispenser showed what they did."""
    agree = np.ones(len(cases["noise"]), bool)
    if scenario.looked_again():
        burned = cases["heel.to-pump"] * cases["engine.economy"]
        agree &= np.abs(burned - (scenario["heel.now"] - scenario["heel.indicated"])) < WINDOW
    for index, (fuel, _) in enumerate(scenario.fills):
        done = scenario.shown(fuel)
        if done is None:
            break
        shown, click_off = done
        room = cases["tank.click-off"] - heel_before(scenario, cases, index)
        delivers = 1 + cases[fuel + ".meter-error"]
        agree &= np.abs(room / delivers - shown) < WINDOW if click_off else shown * delivers < room
    return agree


def draw(scenario, n, rng):
    """n cases; inputs that are correlated by a Gaussian copula, all others each by its own generator."""
    laws = scenario.laws()
    joint = Copula(scenario)
    scores = joint.draw(rng, n)
    cases = joint.values(scores)
    for key, law in laws.items():
        if key not in cases:
            cases[key] = held(law.draw(rng, n), key)
    cases["noise"] = rng.standard_normal(n) * scenario["sensor.noise"]
    cases["scores"] = scores
    return cases


def mean_case(scenario):
    """One case, every input at its mean."""
    return {key: held(np.array([law.mean()]), key) for key, law in scenario.laws().items()}


def known(scenario, cases, key, value=None):
    """The same cases with one input known, at its mean or a value, and those correlated with it as that makes them."""
    value = mean_case(scenario)[key][0] if value is None else value
    joint = Copula(scenario)
    full = dict(cases)
    if key in joint.keys:
        z = stats.norm.ppf(np.clip(scenario[key].share_below(value), 1e-12, 1 - 1e-12))
        full.update(joint.values(joint.given(key, z, cases["scores"])))
    full[key] = np.full(len(cases["noise"]), value)
    return full


def first_reading(scenario, cases, indicated=None):
    """What the gauge shows before the first fill: as given, or away from the pump less what the way there burns."""
    if indicated is not None:
        return indicated
    if scenario["heel.indicated"] is not None:
        return scenario["heel.indicated"]
    way = cases["heel.to-pump"] * cases["engine.economy"]
    return scenario["heel.now"] - way * (0.5 if scenario.broken == "way" else 1)


def land(scenario, cases, indicated=None, amount="as written", to_click_off=False):
    """Landed volume and content, the first heel, and whether the last fill's nozzle clicked off early."""
    full = cases["tank.click-off"]
    gauge = cases["heel.gauge-error"] * (-1 if scenario.broken == "gauge" else 1)
    heel = np.clip(first_reading(scenario, cases, indicated) + gauge, 0, full)
    first_heel = heel
    if scenario["heel.reading"] is not None:
        content = np.clip(scenario["heel.reading"] - cases["sensor.bias"] * (-1 if scenario.broken == "bias" else 1), 0, 1)
    else:
        content = cases["heel.content"]
    old = content
    early = None
    for index, (fuel, dispensed) in enumerate(scenario.fills):
        last = index + 1 == len(scenario.fills)
        if scenario.shown(fuel):
            dispensed = scenario.shown(fuel)[0]
        if last and amount != "as written":
            dispensed = amount
        if to_click_off and last and index == 0:
            dispensed = None
        if index:
            if scenario[fuel + ".indicated"] is not None:
                heel = np.clip(scenario[fuel + ".indicated"] + gauge, 0, heel)
            else:
                burned = cases[fuel + ".burn-first"] * (0 if scenario.broken == "burn" else 1)
                heel = np.clip(heel - burned, 0, full)
        room = full - heel
        if dispensed is None:
            added, early = room, None
        else:
            error = cases[fuel + ".meter-error"] * (-1 if scenario.broken == "meter" else 1)
            shown = dispensed * (1 + error)
            added, early = np.minimum(shown, room), shown > room
            if scenario.shown(fuel):  # as near to the room as the window is wide
                added, early = shown, None
        hose = np.minimum(cases[fuel + ".hose-volume"], added)
        if scenario.broken == "hose":
            hose = 0 * hose
        total = heel + added
        mixed = (heel * content + hose * cases[fuel + ".hose-content"]
                 + (added - hose) * cases[fuel + ".content"])
        content = np.where(total > 0, mixed / np.where(total > 0, total, 1), content)
        heel = total
    return {"volume": heel, "content": content, "first_heel": first_heel, "old": old, "early": early}


def outside(scenario, content):
    low, high = scenario["limits.minimum"], scenario["limits.maximum"]
    below = content < low - ROUNDING if low is not None else np.zeros(content.shape, bool)
    above = content > high + ROUNDING if high is not None else np.zeros(content.shape, bool)
    return below, above


def heel_before(scenario, cases, index, indicated=None):
    """What is in the tank before the fill of that index."""
    full, gauge = cases["tank.click-off"], cases["heel.gauge-error"]
    heel = np.clip(first_reading(scenario, cases, indicated) + gauge, 0, full)
    for number, (fuel, shown) in enumerate(scenario.fills[:index]):
        room = full - heel
        if scenario.shown(fuel):
            shown = scenario.shown(fuel)[0]
        heel = heel + (room if shown is None else np.minimum(shown * (1 + cases[fuel + ".meter-error"]), room))
        later = scenario.fills[number + 1][0]
        if scenario[later + ".indicated"] is not None:
            heel = np.clip(scenario[later + ".indicated"] + gauge, 0, heel)
        else:
            heel = np.clip(heel - cases[later + ".burn-first"], 0, full)
    return heel


def run_dry(scenario, cases, indicated=None):
    """The heel below the pickup floor before any fill, later fills included."""
    dry = np.zeros(len(cases["noise"]), bool)
    for count in range(len(scenario.fills)):
        dry |= heel_before(scenario, cases, count, indicated) < scenario["tank.pickup-floor"]
    return dry


def two_fills(scenario, cases, again):
    """The scenario of filling to click-off twice with fuel of the same kind, and its cases; `again`: cases of the same
    laws, whose pump and hose serve the second fill."""
    of_fuel = ("content", "meter-error", "hose-volume", "hose-content")
    twice = scenario.with_values({"fill.amount": None, "fill-2.amount": None,
                                  **{"fill-2." + name: scenario["fuel." + name] for name in of_fuel}})
    twice.fills = [("fuel", None), ("fill-2", None)]
    return twice, dict(cases, **{"fill-2." + name: again["fuel." + name] for name in of_fuel})
