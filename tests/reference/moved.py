"""A scenario with another value at one key, as axes of tables and curves set it."""
from laws import Law, quantity
from reference import draw_cases

UNITS = {"volume": " L", "content": " %", "fraction": " %"}


def text(value, kind):
    return f"{value if kind == 'volume' else 100 * value:.8g}{UNITS[kind]}"


def with_key(scenario, key, value, kind):
    """The scenario with the key's law moved to the value, or the value in its place."""
    value = quantity(value, kind) if isinstance(value, str) else value
    law = scenario[key]
    moved = {key: law.moved(value) if isinstance(law, Law) else value}
    if key == "heel.indicated":  # a reading at the pump, in place of the way there
        moved["heel.now"] = None
    return scenario.with_values(moved)


def cases_of(job, scenario, line=False):
    """Cases of a scenario that was changed, of the same draws where its laws are the same."""
    return draw_cases(scenario, job.n_line if line else job.n, job.seed + [2 if line else 1])


def choices(scenario):
    """Keys that the landing depends on, with a kind and values about what the scenario says."""
    last = scenario.fills[-1][0]
    content = scenario[last + ".content"]
    centre = Law(content.kind, content.numbers).mean()
    found = [(last + ".content", "content", [centre - 0.02, centre + 0.01])]
    if scenario["heel.distance-left"] is None:
        h = scenario["heel.indicated"]
        if h is None:
            h = scenario["heel.now"] - scenario["heel.to-pump"].mean() * scenario["engine.economy"].mean()
        found.append(("heel.indicated", "volume", [h * 0.8, min(h * 1.1, scenario["tank.capacity"])]))
    for limit in ("limits.minimum", "limits.maximum"):
        if scenario[limit] is not None:
            by = -0.01 if limit == "limits.minimum" else 0.01
            found.append((limit, "content", [min(max(scenario[limit] + by, 0), 1), scenario[limit]]))
    gauge = scenario["heel.gauge-error"]
    if gauge.kind != "exact":
        g = Law(gauge.kind, gauge.numbers).mean()
        found.append(("heel.gauge-error", "volume", [g - 0.5, g + 0.3]))
    return found
