"""table --cars --pumps: every cell against counting of the scenario that the two files make.

Put together here from docs/shop.md alone: the lines of what a file includes, then its own, then those of the pump.
"""
import glob
import json
import os
import subprocess

import table
from job import Job


def lines_of(path):
    """{(section, key): line} with all that it includes."""
    taken, own, section = {}, {}, ""
    with open(path) as file:
        for line in file.read().splitlines():
            bare = line.split("#")[0].strip()
            if bare.startswith("["):
                section = bare
            elif "=" in bare:
                key, value = (part.strip() for part in bare.split("=", 1))
                if not section and key == "include":
                    taken.update(lines_of(os.path.join(os.path.dirname(path), value)))
                else:
                    own[section, key] = f"{key} = {value}"
    return {**taken, **own}


def one_file(car, pump, path):
    lines = {**lines_of(car), **lines_of(pump)}
    lines = {key: line for key, line in lines.items() if key[0] != "[tester]"}  # moves no landing
    with open(path, "w") as file:
        file.write("# invented\n")
        for section in sorted({one for one, _ in lines}):
            file.write(section + "\n" + "".join(line + "\n" for (at, _), line in lines.items() if at == section))


def compare(program, tally, folder, fleet, sizes, seed, watch):
    cars = sorted(glob.glob(os.path.join(fleet, "cars", "*.ini")))
    pumps = sorted(glob.glob(os.path.join(fleet, "pumps", "*.ini")))
    # A few cells of each: the level of the run allows for so many.
    for show, chosen in (("amount", [(1, 1), (4, 0), (5, 3)]), ("heel", [(0, 3), (4, 5)]),
                         ("chance", [(3, 1), (4, 0), (5, 5)])):
        run = subprocess.run([program, "table", "--json", "--show", show, "--cars", *cars, "--pumps", *pumps],
                             capture_output=True, text=True, check=True)
        answer = json.loads(run.stdout)
        watch("table", answer)
        for car, pump in chosen:
            path = os.path.join(folder, f"shop-{car}-{pump}.ini")
            one_file(cars[car], pumps[pump], path)
            tally.where = f"shop {show} {car} {pump}"
            job = Job(program, path, tally, [seed, 7, car, pump], sizes)
            said = answer["cells"][car][pump]
            none = show != "chance" and said[{"amount": "safe_amount", "heel": "highest_indicated"}[show]] is None
            table.cell(job, job.scenario, job.cases, show, None if none else said)
