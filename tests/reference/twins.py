"""References that are wrong on purpose, which the very same comparisons must find out, and checks of our own line."""
import os
import subprocess

import numpy as np

import line
from compare import Tally
from job import Job
from reference import draw_cases, land
from scenario import Scenario

ONE_FILL = """[tank]
capacity = 50 L
[heel]
indicated = 6 L
gauge-error = triangular(-1 L, 1 L, 2 L)
content = uniform(5 %, 10 %)
[sensor]
bias = normal(1 %, 2 %)
noise = 1 %
lag = 60 s
[fuel]
content = uniform(70 %, 83 %)
hose-volume = uniform(0.5 L, 1.5 L)
meter-error = uniform(-1 %, 5 %)
[fill]
amount = 30 L
[line]
pipe = 0.1 L
filter = uniform(0.1 L, 0.2 L)
beyond-sensor = 0.08 L
return-flow = 1 L/h
[engine]
idle = normal(1.5 L/h, 0.1 L/h)
[limits]
minimum = 56 %
"""
TWO_FILLS = ONE_FILL.replace("[line]", """[fill-2]
content = uniform(70 %, 83 %)
burn-first = uniform(10 L, 14 L)
[line]""")
CORRELATED = TWO_FILLS + "[correlation]\nfuel.content, fill-2.content = 0.9\n"
MEASURED = ONE_FILL.replace("content = uniform(70 %, 83 %)", 'content = measured("pump-tests.csv", "content_percent")'
                            ).replace("56 %", "48 %\naccepted-risk = 9.5 %")
AWAY = TWO_FILLS.replace("indicated = 6 L", "now = 14 L\nto-pump = uniform(70 km, 130 km)").replace(
    "[engine]", "[engine]\neconomy = normal(8 L/100km, 1 L/100km)").replace("[tank]", "[tank]\npickup-floor = 3 L")
READINGS = ["0.15 L: 40 %"]
# term that is wrong: the scenario and the commands of which each must see it
TWINS = {"hose": (ONE_FILL, "chance fill drivers table curve"), "gauge": (ONE_FILL, "chance heel"),
         "meter": (ONE_FILL, "chance fill"), "burn": (TWO_FILLS, "chance"), "lag": (ONE_FILL, "arrive update"),
         "pipe": (ONE_FILL, "arrive"), "beyond": (ONE_FILL, "arrive"), "return": (ONE_FILL, "arrive"),
         "bias": (ONE_FILL, "arrive update"), "correlation": (CORRELATED, "chance drivers"), "way": (AWAY, "chance drivers"), "measured": (MEASURED, "chance fill heel table")}


def run(program, tally, folder, names, level_of, sizes, seed, compare):
    """What passes though it is wrong, or fails though it is right."""
    missed = []
    for name in names:
        text, commands = TWINS.get(name, (TWO_FILLS, ""))
        path = os.path.join(folder, f"twin-{name}.ini")
        with open(path, "w") as file:
            file.write(text)
        for command in commands.split():
            probe = Tally(level_of)
            probe.where = f"{name} {command}"
            job = Job(program, path, probe, [seed, 10 ** 7], sizes, READINGS, name)
            compare[command](job)
            if not probe.failed:
                missed.append(f"a model with a wrong {name} passes {command} ({sum(probe.made.values())} comparisons)")
            tally.twins += 1
    return missed


def impossible(program, folder):
    """Correlations that exclude each other must be refused: three of -0.9 between three inputs."""
    path = os.path.join(folder, "impossible.ini")
    with open(path, "w") as file:
        file.write(TWO_FILLS + "[correlation]\nfuel.content, fill-2.content = -0.9\n"
                   "fuel.content, fuel.hose-volume = -0.9\nfill-2.content, fuel.hose-volume = -0.9\n")
    run = subprocess.run([program, "chance", path], capture_output=True, text=True)
    right = run.returncode == 2 and not run.stdout and len(run.stderr.splitlines()) == 1
    return [] if right else [f"correlations that exclude each other: status {run.returncode}, {run.stderr.strip()}"]


def own_line(tally):
    """The reference's own line: against parcels followed through it, and its lag against Euler's steps."""
    rng = np.random.default_rng(5)
    n = 400000
    tally.where = "reference"
    for stirred, pipe, laminar in (((0.1, 0.1, 0.05), 0.2, True), ((0.1, 0.1000001, 0.0), 0.2, False),
                                   ((0.3, 0.0, 0.0), 0.0, True), ((0.0, 0.0, 0.02), 0.3, True)):
        u = rng.random(n)
        parcel = (pipe / (2 * np.sqrt(1 - u)) if laminar else pipe) + sum(rng.exponential(v, n) for v in stirred)
        for q in (0.12, 0.18, 0.35, 0.7, 1.5):
            share = line.arrived([np.array([v]) for v in stirred], np.array([pipe]), laminar, q)[0]
            tally.count("reference parcels", max(share - 1e-6, 0), share + 1e-6, int((parcel <= q).sum()), n, 0)
    # A filter of 0.1 L and a lag of 30 s through two phases; Euler's error is below step / lag.
    scenario = Scenario("[tank]\ncapacity = 50 L\n[heel]\nindicated = 6 L\ncontent = 5 %\n[fuel]\ncontent = 80 %\n"
                        "[sensor]\nlag = 30 s\n[line]\nfilter = 0.1 L\n[engine]\nidle = 1.5 L/h\ngentle = 6 L/h\n"
                        "schedule = idle 2 min, gentle\n")
    cases = draw_cases(scenario, 1, 1)
    one = line.Line(scenario, cases, land(scenario, cases))
    step, seen, stirred = 0.005, 0.0, 0.0
    for time in np.arange(0, 180, step):
        rate = (1.5 if time < 120 else 6) / 3600
        seen += (stirred - seen) * step / 30
        stirred += (1 - stirred) * rate * step / 0.1
    share = one.at_sensor(one.burned_at(180.0))[0]
    tally.note("reference lag", abs(share - seen) < step / 30, f"{share:.6g} by transform, {seen:.6g} by steps")
