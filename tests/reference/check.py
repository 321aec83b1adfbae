#!/usr/bin/env python3
"""Compares the program with the reference: every example, and invented scenarios at random.

usage: check.py PROGRAM [--scenarios N] [--first K] [--of N] [--log FILE] [--seed S] [--cases N] [--commands A,B]
                [--odd] [--correlated] [--shown] [--away] [--split] [--break NAME] [--keep DIR] [--verbose]

A run in which nothing is wrong reports a disagreement with a chance of at most 1e-3 (compare.py). --of N: the
scenarios of the whole campaign that this run is a part of; --log FILE: a line a scenario, and those in it are left
out when the run is taken up again. --break NAME: a term of the reference is wrong (twins.py), which must be found.
Exit status: 0 agreement, 1 disagreement, 77 NumPy or SciPy missing.
"""
import argparse
import json
import os
import sys
import tempfile

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
try:
    import numpy as np
    from scipy import stats
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-numpy python3-scipy")
    sys.exit(77)

import arrive
import carry
import chance
import curve
import drivers
import fields
import fill
import generate
import guide
import heel
import learn
import shop
import split
import table
import twins
import update
from compare import LEVELS, Tally
from job import Job

COMMANDS = {"chance": chance.compare, "fill": fill.compare, "heel": heel.compare, "arrive": arrive.compare,
            "update": update.compare, "carry": carry.compare, "drivers": drivers.compare, "table": table.compare,
            "curve": curve.compare}


class Campaign:
    def __init__(self, options, folder, examples):
        self.options, self.folder = options, folder
        self.of = (options.of or options.scenarios) + len(examples) + 4  # and as much again for learn, the shop and our line
        self.tally = Tally(self.of)
        self.tally.twins = 0
        self.refused, self.fields = [], fields.Fields()
        self.fits = []  # of readings that were drawn from the scenario: as likely here as there

    def scenario(self, path, readings, seed, commands, with_guide=False):
        tally, options = Tally(self.of), self.options
        name = os.path.basename(path)
        tally.where = name
        try:
            job = Job(options.program, path, tally, seed, (options.cases, options.line_cases), readings, options.broken)
        except ValueError as error:  # figures that hardly any case shows
            tally.skip(str(error))
            self.tally.take(tally)
            return tally
        job.watch = self.fields.watch
        for command in commands:
            tally.where = f"{name} {command}"
            try:
                COMMANDS[command](job)
            except ValueError as error:  # the same, of a scenario beside it
                tally.skip(str(error))
        if with_guide:
            tally.where = f"{name} guide"
            guide.compare(job, self.folder)
        made = sum(tally.made.values())
        assert made <= LEVELS, f"{made} comparisons of one scenario, more than the level allows for"
        self.refused += job.refused
        if options.verbose:
            print("\n".join(tally.failed), end="\n" if tally.failed else "", flush=True)
        self.tally.take(tally)
        return tally

    def invented(self):
        options = self.options
        generate.write_measured(self.folder)
        done = set()
        if options.log and os.path.exists(options.log):
            with open(options.log) as file:
                for row in map(json.loads, file):
                    done.add(row["scenario"])
                    before = Tally(self.of)
                    vars(before).update({name: row[name] for name in vars(before) if name in row})
                    self.tally.take(before)
                    self.fits += before.fits
        for number in range(options.first, options.first + options.scenarios):
            if number in done:
                continue
            text, readings = generate.scenario(np.random.default_rng([options.seed, number]), options.odd,
                                               options.correlated or number % 3 == 2, options.away)
            if options.shown:
                text = generate.with_figures(text, np.random.default_rng([options.seed, number, 1]))
            path = os.path.join(self.folder, f"invented-{options.seed}-{number}.ini")
            with open(path, "w") as file:
                file.write("# invented\n" + "".join(f"# reading {r}\n" for r in readings) + text)
            tally = self.scenario(path, readings, [options.seed, number], options.commands.split(","), number % 4 == 1)
            if options.split or number % 5 == 0:
                split.compare(options.program, path, self.tally, np.random.default_rng([options.seed, number, 2]),
                              self.folder)
            self.fits += tally.fits
            if options.keep and not tally.failed:
                os.remove(path)
            if options.log:
                with open(options.log, "a") as file:
                    file.write(json.dumps({"scenario": number, "made": tally.made, "failed": tally.failed,
                                           "skipped": tally.skipped, "deviations": tally.deviations,
                                           "fits": tally.fits}) + "\n")

    def summary(self, missed, examples):
        tally = self.tally
        tally.where = "all scenarios"
        if len(self.fits) > 1:
            p = stats.kstest(self.fits, "uniform").pvalue
            tally.note("update fit", p >= tally.level, f"{len(self.fits)} fits are not evenly spread, p = {p:.2g}")
        total = sum(tally.made.values())
        if self.options.verbose:
            for name in sorted(tally.made):
                found = [one for one, _ in tally.deviations.get(name, [])]
                more = f"  largest {max(found):5.2f}, rms {np.sqrt(np.mean(np.square(found))):.2f}" if found else ""
                print(f"  {tally.made[name]:7d} {name}{more}")
            for text in self.refused:
                print(" ", text)
        for why, count in sorted(tally.skipped.items()):
            print(f"  left out: {count} x {why}")
        if examples and self.options.commands == ",".join(COMMANDS):
            missed += self.fields.problems(tally.made)
        for text in tally.failed:
            print("DISAGREEMENT " + text)
        for text in missed:
            print("NOT FOUND OUT " + text)
        largest = max((one, name, where) for name, found in tally.deviations.items() for one, where in found)
        print(f"{total} comparisons on {examples} examples and {self.options.scenarios} invented scenarios, "
              f"{len(tally.failed)} disagreements (false-alarm rate of the run: at most 0.1 %); the largest deviation is "
              f"{largest[0]:.2f} standard errors ({largest[1]}, {largest[2]}); {tally.twins} wrong models looked for")
        return 1 if tally.failed or missed or total == 0 else 0


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--scenarios", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--of", type=int)
    parser.add_argument("--log")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--cases", type=int, default=100000)
    parser.add_argument("--line-cases", type=int, default=20000)
    parser.add_argument("--logs", type=int, default=3)
    parser.add_argument("--commands", default=",".join(COMMANDS))
    parser.add_argument("--odd", action="store_true")
    parser.add_argument("--correlated", action="store_true")
    parser.add_argument("--shown", action="store_true", help="every fill is done, with what the dispenser showed")
    parser.add_argument("--split", action="store_true", help="every scenario is also dealt out to includes, not each fifth")
    parser.add_argument("--away", action="store_true", help="the gauge is read before driving to the pump")
    parser.add_argument("--break", dest="broken", default="")
    parser.add_argument("--keep")
    parser.add_argument("--verbose", action="store_true")
    parser.add_argument("--examples", default=os.path.join(os.path.dirname(__file__), "..", "..", "examples"))
    options = parser.parse_args()
    examples = sorted(os.path.join(options.examples, name) for name in os.listdir(options.examples)
                      if name.endswith(".ini")) if options.first == 0 else []
    with tempfile.TemporaryDirectory() as folder:
        folder = options.keep or folder
        os.makedirs(folder, exist_ok=True)
        campaign = Campaign(options, folder, examples)
        for number, path in enumerate(examples):
            readings = ["0.3 L: 57 %"] if path.endswith("wagon-line.ini") else []
            campaign.scenario(path, readings, [options.seed, 10 ** 6 + number],
                              options.commands.split(","))
        campaign.invented()
        missed = []
        if options.first == 0 and not options.broken:
            twins.own_line(campaign.tally)
            shop.compare(options.program, campaign.tally, folder, os.path.join(options.examples, "fleet"),
                         (options.cases, options.line_cases), options.seed, campaign.fields.watch)
            learn.compare(options.program, campaign.tally, folder, options.examples, options.seed, options.logs,
                          campaign.fields.watch)
            missed = twins.run(options.program, campaign.tally, folder, twins.TWINS, campaign.of,
                               (options.cases, options.line_cases), options.seed, COMMANDS)
            missed += twins.impossible(options.program, folder)
        return campaign.summary(missed, len(examples))


if __name__ == "__main__":
    sys.exit(main())
