#!/usr/bin/env python3
"""The waiting table, followed: independent changeovers, a fresh noise at every look.

usage, for the long run: waiting.py PROGRAM [--cases N] SCENARIO.ini ...
Exit status: 0 every table is too early within its accepted risk (false alarm 1e-6 a scenario), 1 one is not.
"""
import argparse
import sys

import numpy as np
from scipy import stats

from line import Line
from reference import land

CASES = 16384  # docs/method.md


class Followed:
    """By look: which cases have switched, which too early, whose injectors are within."""

    def __init__(self, scenario, cases, waiting, sign, limit, seed):
        line = Line(scenario, cases, land(scenario, cases))
        rng = np.random.default_rng(seed)
        rows, step = waiting["rows"], scenario["sensor.step"]
        n = len(cases["noise"])
        bias = cases["sensor.bias"] * (-1 if scenario.broken == "bias" else 1)
        self.switched, self.early = np.zeros(n, bool), np.zeros(n, bool)
        self.by_row, self.within = [], []
        looks = np.arange(rows[0]["burn"], waiting["until"] + waiting["every"] / 2, waiting["every"])
        for index, burned in enumerate(looks):
            row = rows[min(index, len(rows) - 1)]
            shown = line.old + (line.new - line.old) * line.at_sensor(burned) + bias
            shown = shown + scenario["sensor.noise"] * rng.standard_normal(n)
            if step > 0:
                shown = np.rint(shown / step) * step
            out = sign * (line.rail(burned) - limit) < -1e-12
            now = ~self.switched & (sign * (shown - row["reading"]) >= -1e-9)
            self.switched |= now
            self.early |= now & out
            if index < len(rows):
                self.by_row.append(int(self.switched.sum()))
                self.within.append(int((~out).sum()))
        self.counts = int(self.early.sum()), int(self.switched.sum()), n

    def too_many(self, accepted):
        early, switched, _ = self.counts
        return stats.binom.sf(early - 1, switched, accepted) if early else 1.0


def compare(job, answer, accepted, clock):
    tally, scenario, waiting = job.tally, job.scenario, answer["waiting"]
    if waiting["rows"] is None:
        return tally.skip("no waiting table")
    sign = 1 if answer["side"] == "below" else -1
    followed = Followed(scenario, job.line_cases, waiting, sign, answer["limit"], job.seed + [9])
    early, switched, n = followed.counts
    p = followed.too_many(accepted)
    tally.note("arrive waiting accepted", p >= tally.level / 4,
               f"the reference counts {early} too early of {switched}; accepted {accepted:g}")
    told = waiting["too_early"]
    if "bound_by" not in told:
        tally.count("arrive waiting too early", *tally.band(told), early, switched, told["standard_error"],
                    told["chance"])
    se = np.sqrt(0.25 / CASES)
    share = lambda name, said, hits: tally.count(name, max(said - tally.z * se, 0), min(said + tally.z * se, 1),
                                                 hits, n, se, said)
    share("arrive waiting triggers", waiting["triggers"], switched)
    for row, met, within in zip(waiting["rows"], followed.by_row, followed.within):
        share("arrive waiting shown", row["shown_by_then"], met)
        share("arrive waiting within", row["within"], within)
        if row["time"] is not None:
            tally.equal("arrive waiting time", row["time"], clock(row["burn"]), 1e-6)
    tally.equal("arrive waiting rows", [row["burn"] for row in waiting["rows"]] ==
                sorted(row["burn"] for row in waiting["rows"]), True)
    readings = [sign * row["reading"] for row in waiting["rows"]]
    tally.equal("arrive waiting reading", readings == sorted(readings, reverse=True) and
                readings[-1] >= sign * answer["limit"] - 1e-9, True)


def main():
    from compare import Tally
    from job import Job
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("scenarios", nargs="+")
    parser.add_argument("--cases", type=int, default=1000000)
    options = parser.parse_args()
    failed = False
    for path in options.scenarios:
        job = Job(options.program, path, Tally(1), [7], (1, options.cases))
        answer = job.ask("arrive")
        if answer is None or answer["waiting"]["rows"] is None:
            print(f"{path}: no table")
            continue
        sign, accepted = 1 if answer["side"] == "below" else -1, answer["accepted_risk"]
        followed = Followed(job.scenario, job.line_cases, answer["waiting"], sign, answer["limit"], [3])
        early, switched, n = followed.counts
        failed |= followed.too_many(accepted) < 1e-6
        print(f"{path}: {early} too early of {switched} = {early / max(switched, 1):.3%} (accepted {accepted:g}, told "
              f"{answer['waiting']['too_early']['chance']:.3%}); of {n} switched by row: "
              + ", ".join(f"{row['burn']:g} L {met / n:.1%}" for row, met in zip(answer["waiting"]["rows"], followed.by_row)))
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
