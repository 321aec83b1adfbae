#!/usr/bin/env python3
"""What arrive advises: within the accepted risk by estimates of other seeds, and the same from seed to seed.

usage: steady.py PROGRAM [--scenarios N] [--first K] [--seeds N] [--verbose]

On the scenarios of line_cases/ and N invented ones with a line. For each seed the amount's and the reading's own chance
has to be within the accepted risk by its standard error; the amount's chance is estimated again under another seed and
has to be within the risk but for what both may be off by. Over the seeds amounts and readings may differ by two
steps of the display unless the answer says how unsure they are. False-alarm rate of a run: at most 1e-3 for the chances
(4.9 standard errors in each of at most 1600 comparisons), none for the rest, which is deterministic.
The twin: amounts of three fifths have to be found out.
Exit status: 0 agreement, 1 disagreement, 77 NumPy or SciPy missing.
"""
import argparse
import glob
import json
import os
import subprocess
import sys
import tempfile

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
try:
    import numpy as np
    import scipy  # noqa: F401  generate needs it
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-numpy python3-scipy")
    sys.exit(77)

import generate
from scenario import Scenario

STEP_L = 0.01
Z = 4.9


def ask(program, *words):
    run = subprocess.run([program, *map(str, words), "--json"], capture_output=True, text=True)
    return json.loads(run.stdout) if run.returncode == 0 else None


def chance_after(program, path, burned, seed):
    """The chance that the injectors are outside once so much was burned, under another seed."""
    # The accepted risk is not in the chance; a curve needs two values.
    answer = ask(program, "curve", path, "--along", "limits.accepted-risk=1 %; 2 %", "--show", "arrival",
                 "--after", f"{burned:.12g} L", "--seed", seed, "--precision", "0.3 %")
    return answer["points"][0]["estimate"]


def has_line(path):
    with open(path) as file:
        laws = Scenario(file.read(), os.path.dirname(path)).laws().items()
    return any(key.startswith("line.") and key not in ("line.content", "line.return-flow") and law.mean() > 0
               for key, law in laws)


def amounts(program, path, answers, problems):
    """-> amounts told; and what is wrong with them."""
    told = [one["enough"] for one in answers]
    risk = answers[0]["accepted_risk"]
    burns = [one["burn"] for one in told]
    for seed, one in enumerate(told):
        if one["burn"] is None:
            continue
        own = one["outside"]
        if own["chance"] > risk + own["standard_error"]:
            problems.append(f"seed {seed + 1}: burn {one['burn']:.2f} L at {own['chance']:.5g} by its own figure")
    found = [burn for burn in burns if burn is not None]
    if not found:
        return burns
    # The least of all seeds is the one most likely to be too little.
    least = min(found)
    own = told[burns.index(least)]["outside"]
    for scale, wrong in ((1.0, False), (0.6, True)):
        if wrong and least < 0.1:
            continue
        again = chance_after(program, path, scale * least, 1000)
        if again is None:
            continue
        error = np.hypot(again["standard_error"], own["standard_error"])
        over = again["chance"] > risk + Z * error
        if over != wrong and not (wrong and told[burns.index(least)]["burn_standard_error"] > STEP_L):
            problems.append(f"burn {scale * least:.2f} L at {again['chance']:.5g} under another seed, accepted {risk:.5g}"
                            + (": a wrong amount passes" if wrong else ""))
    # What the answers say they may be off by.
    unsure = 2 * max(one["burn_standard_error"] for one in told if one["burn"] is not None)
    if max(found) - min(found) > max(2.01 * STEP_L, 3 * unsure + STEP_L):
        problems.append(f"amounts from {min(found):.2f} to {max(found):.2f} L, give or take {unsure:.3f} L")
    if None in burns and not all("told" in one["reason"] or "slowly" in one["reason"] for one in told if one["burn"] is None):
        problems.append(f"an amount at some seeds only: {burns}")
    return burns


def readings(answers, step, problems):
    told = [one["wait_for"] for one in answers]
    risk = answers[0]["accepted_risk"]
    found = [one for one in told if one["reading"] is not None]
    for one in found:
        own = one["too_early"]
        if own["chance"] > risk + own["standard_error"]:
            problems.append(f"reading {one['reading']:.4g} at {own['chance']:.5g} by its own figure")
    values = [one["reading"] for one in found]
    in_question = any(one["alike"][0] != one["alike"][1] for one in found)
    if found and len(found) < len(told) and not in_question:
        missing = [one["reason"] for one in told if one["reading"] is None]
        if not all("within the error" in reason for reason in missing):
            problems.append(f"a reading at some seeds only: {[one['reading'] for one in told]}")
    if values and max(values) - min(values) > 2.01 * step and not in_question:
        problems.append(f"readings from {min(values):.4g} to {max(values):.4g}")
    return [one["reading"] for one in told]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--scenarios", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seeds", type=int, default=8)
    parser.add_argument("--verbose", action="store_true")
    options = parser.parse_args()
    folder = os.path.dirname(os.path.abspath(__file__))
    looked, refused, wrong = 0, 0, []
    with tempfile.TemporaryDirectory() as made:
        generate.write_measured(made)
        paths = sorted(glob.glob(f"{folder}/line_cases/*.ini"))
        number = options.first
        while len(paths) < options.scenarios:
            text, _ = generate.scenario(np.random.default_rng([7, number]), False, number % 3 == 2)
            path = f"{made}/invented-{number}.ini"
            with open(path, "w") as file:
                file.write("# invented\n" + text)
            number += 1
            if has_line(path):
                paths.append(path)
        for path in paths[:options.scenarios]:
            answers = [ask(options.program, "arrive", path, "--seed", seed + 1) for seed in range(options.seeds)]
            if None in answers:
                refused += 1
                if answers.count(None) < len(answers):
                    wrong.append(f"{path}: refused at some seeds only")
                continue
            looked += 1
            problems = []
            with open(path) as file:
                step = Scenario(file.read(), os.path.dirname(path))["sensor.step"] or 0.001
            burns = amounts(options.program, path, answers, problems)
            shown = readings(answers, step, problems)
            wrong += [f"{os.path.basename(path)}: {one}" for one in problems]
            if options.verbose:
                print(os.path.basename(path), burns, shown, max(one["elapsed_s"] for one in answers), *problems, flush=True)
    for text in wrong:
        print("DISAGREEMENT " + text)
    print(f"{looked} scenarios at {options.seeds} seeds, {refused} refused, {len(wrong)} disagreements "
          "(false-alarm rate of the run: at most 0.1 %)")
    return 1 if wrong or not looked else 0


if __name__ == "__main__":
    sys.exit(main())
