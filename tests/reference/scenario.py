"""The scenario file, read by a parser of its own from docs/scenario.md."""
import copy
import os

from laws import Law, Rounded, parse_law, quantity

# key: (kind, uncertain)
FUEL = {"content": ("content", True), "meter-error": ("fraction", True),
        "hose-volume": ("volume", True), "hose-content": ("content", True)}
KEYS = {
    "tank": {"capacity": ("volume", False), "click-off": ("volume", True), "pickup-floor": ("volume", False)},
    "heel": {"indicated": ("volume", False), "distance-left": ("distance", False),
             "now": ("volume", False), "to-pump": ("distance", True),
             "economy": ("economy", False), "reserve": ("volume", False), "gauge-step": ("volume", False), "gauge-error": ("volume", True),
             "content": ("content", True), "reading": ("content", False)},
    "sensor": {"bias": ("content", True), "noise": ("content", False), "step": ("content", False),
               "lag": ("time", False)},
    "fuel": FUEL,
    "line": {"reservoir": ("volume", True), "pipe": ("volume", True), "filter": ("volume", True),
             "beyond-sensor": ("volume", True), "return-flow": ("rate", True), "content": ("content", True)},
    "engine": {"idle": ("rate", True), "gentle": ("rate", True), "economy": ("economy", True)},
    "before": {"minimum": ("content", False), "maximum": ("content", False)},
    "limits": {"minimum": ("content", False), "maximum": ("content", False),
               "accepted-risk": ("fraction", False), "dry-risk": ("fraction", False)},
}


class Scenario:
    """Values in litres, fractions, seconds; `self["line.pipe"]` is a Law, a number or None."""

    def __init__(self, text, folder="."):
        self.values = {}
        self.broken = ""  # a term that is wrong on purpose
        self.correlation = {}  # (key, key): Spearman's rank correlation
        section = ""
        for line in text.splitlines():
            line = line.split("#")[0].strip()
            if not line:
                continue
            if line.startswith("["):
                section = line[1:-1].strip()
                continue
            name, value = (part.strip() for part in line.split("=", 1))
            if section == "correlation":
                self.correlation[tuple(key.strip() for key in name.split(","))] = float(value)
            else:
                self.set(section, name, value, folder)
        self.complete()

    def complete(self):
        """Defaults, the indicated volume of a range, and the list of fills."""
        number = lambda key, value: self.values.setdefault(key, value)
        number("heel.reserve", 0.0)
        if "heel.distance-left" in self.values:
            self.values["heel.indicated"] = (self["heel.reserve"]
                                             + self["heel.distance-left"] * self["heel.economy"])
        number("tank.pickup-floor", 0.0)
        for key in ("sensor.noise", "sensor.step", "sensor.lag"):
            number(key, 0.0)
        number("limits.accepted-risk", 0.01)
        number("limits.dry-risk", 0.01)
        number("line.pipe-flow", "laminar")
        number("engine.schedule", [("idle", None)])
        exact = lambda key, value: self.values.setdefault(key, Law("exact", [value]))
        exact("tank.click-off", self["tank.capacity"])
        for key in ("heel.gauge-error", "sensor.bias", "line.reservoir", "line.pipe", "line.filter",
                    "line.beyond-sensor", "line.return-flow"):
            exact(key, 0.0)
        step, error = self["heel.gauge-step"], self["heel.gauge-error"]
        if step and error.kind == "exact":
            self.values["heel.gauge-error"] = Law("uniform", [error.numbers[0] - step / 2, error.numbers[0] + step / 2])
        elif step:
            self.values["heel.gauge-error"] = Rounded(error, step)
        self.fills = []
        for index in range(1, 10):
            fuel = "fuel" if index == 1 else f"fill-{index}"
            if fuel + ".content" not in self.values:
                break
            for key, value in (("meter-error", 0.0), ("hose-volume", 0.0), ("hose-content", 0.10)):
                exact(f"{fuel}.{key}", value)
            if index > 1 and self[fuel + ".indicated"] is None:
                exact(fuel + ".burn-first", 0.0)
            self.fills.append((fuel, self["fill.amount" if index == 1 else fuel + ".amount"]))

    def __getitem__(self, key):
        return self.values.get(key)

    def set(self, section, name, value, folder):
        key = f"{section}.{name}"
        if name == "title" or section in ("policy", "tester"):  # of no landing; year.py has what stays
            return
        if name == "price":
            self.values[key] = quantity(value, "price")
        elif name == "shown":
            self.values[key] = quantity(value, "volume")
        elif name == "stopped-by":
            self.values[key] = value
        elif name == "amount":
            self.values[key] = None if value == "click-off" else quantity(value, "volume")
        elif key == "line.pipe-flow":
            self.values[key] = value
        elif key == "engine.schedule":
            phases = []
            for phase in value.split(","):
                words = phase.split(None, 1)
                phases.append((words[0], quantity(words[1], "time") if len(words) > 1 else None))
            self.values[key] = phases
        else:
            if section.startswith("fill-"):
                kinds = dict(FUEL, **{"burn-first": ("volume", True), "indicated": ("volume", False)})
            else:
                kinds = KEYS[section]
            kind, uncertain = kinds[name]
            self.values[key] = parse_law(value, kind, folder) if uncertain else quantity(value, kind)

    def with_values(self, values):
        """A copy with other values."""
        twin = copy.copy(self)
        twin.values = dict(self.values, **values)
        twin.fills = [(fuel, twin["fill.amount" if fuel == "fuel" else fuel + ".amount"])
                      for fuel, _ in self.fills]
        return twin

    def shown(self, fuel):
        """What the dispenser showed at the end of a fill, and whether it ended by click-off; or None."""
        section = "fill" if fuel == "fuel" else fuel
        shown = self[section + ".shown"]
        return None if shown is None else (shown, self[section + ".stopped-by"] == "click-off")

    def done(self):
        return any(self.shown(fuel) for fuel, _ in self.fills)

    def looked_again(self):
        """Whether the gauge was read away from the pump and at it."""
        return self["heel.now"] is not None and self["heel.indicated"] is not None

    def laws(self):
        return {key: value for key, value in sorted(self.values.items()) if isinstance(value, Law)}


def read_scenario(path):
    with open(path) as file:
        return Scenario(file.read(), os.path.dirname(path) or ".")
