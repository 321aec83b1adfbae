#!/usr/bin/env python3
"""Counts shop years, in which what errs alike at all changes of a car is drawn once a car, against `policy`.

usage: year.py PROGRAM [--shops N] [--years N] [--changes N] [--seed S] [--examples DIR]

Every shop year draws each car's persistent inputs once and all others at every change, and fills the amounts that
`policy` tells; a miss is a landed content outside the limits. Compared are the chance of any miss in a year, with
changes as if independent and with one change a pump too, and the expected number of misses, of the shop and of each
car. Agreement within 4 standard errors of both sides together: one honest comparison in 15 000 fails, so that of the
200 or so counted ones of a run one in 75 has a false alarm at all (seeds are fixed). The twin, years whose persistent inputs are
drawn anew at every change, has to disagree. What follows from the amounts by arithmetic (margins, litres, costs) is
compared too, and every number of the answer has to be in fields.py.
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
    from scipy import stats
except ImportError as error:
    print(f"skipped: {error}; on Debian: apt-get install python3-numpy python3-scipy")
    sys.exit(77)

from compare import is_out
from copula import Copula, held
from fields import Fields
from reference import land, mean_case
from scenario import Scenario

PERSISTENT = ["heel.gauge-error", "tank.click-off", "sensor.bias"]
RISKS = [0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 0.0005, 0.0002, 0.0001]
BLOCK = 100_000
FAR = 4.0
YEAR_RISK, COST_OF_MISS = 0.2, 900


def with_includes(path):
    """The text of a file, what it includes before it."""
    text = ""
    with open(path) as file:
        for line in file:
            name, _, value = line.partition("=")
            if name.strip() == "include":
                text += with_includes(os.path.join(os.path.dirname(path), value.split("#")[0].strip()))
            else:
                text += line
    return text + "\n"


def scenario_of(car, pump):
    return Scenario(with_includes(car) + with_includes(pump), os.path.dirname(car))


class Car:
    """One car at its pumps: persistent inputs by the year, all others by the change."""

    def __init__(self, scenarios):
        self.scenarios = scenarios
        self.keys = [key for key in PERSISTENT if scenarios[0].laws()[key].kind != "exact"]

    def years(self, rng, n):
        """Normal scores of the persistent inputs, one a year."""
        joint = Copula(self.scenarios[0])
        scores = {key: rng.standard_normal(n) for key in self.keys}
        among = [key for key in self.keys if key in joint.keys]
        if among:
            at = [joint.index(key) for key in among]
            root = np.linalg.cholesky(joint.matrix[np.ix_(at, at)])
            for key, z in zip(among, root @ rng.standard_normal((len(among), n))):
                scores[key] = z
        return scores

    def change(self, which, scores, rng, n):
        """Cases of one change a year at one pump."""
        scenario = self.scenarios[which]
        laws, joint = scenario.laws(), Copula(scenario)
        cases = {key: held(law.draw(rng, n), key) for key, law in laws.items()}
        given = [joint.index(key) for key in self.keys if key in joint.keys and scores]
        rest = [i for i in range(len(joint.keys)) if i not in given]
        if rest:
            r = joint.matrix
            z = np.zeros((len(joint.keys), n))
            for i in given:
                z[i] = scores[joint.keys[i]]
            weight = np.zeros((len(rest), 0))
            inner = r[np.ix_(rest, rest)]
            if given:
                weight = np.linalg.solve(r[np.ix_(given, given)], r[np.ix_(given, rest)]).T
                inner = inner - weight @ r[np.ix_(given, rest)]
            z[rest] = weight @ z[given] + np.linalg.cholesky(inner) @ rng.standard_normal((len(rest), n))
            cases.update({joint.keys[i]: held(laws[joint.keys[i]].quantile(stats.norm.cdf(z[i])), joint.keys[i])
                          for i in rest})
        for key in self.keys if scores else []:
            cases[key] = held(laws[key].quantile(stats.norm.cdf(scores[key])), key)
        return cases

    def misses(self, which, amount, scores, rng, n):
        scenario = self.scenarios[which]
        return is_out(scenario, land(scenario, self.change(which, scores, rng, n), amount=amount)["content"])


class Counts:
    """Years of one car, or of the shop: how many had a miss, and how many misses there were."""

    def __init__(self, n):
        self.any, self.apart, self.once = (np.zeros(n, bool) for _ in range(3))
        self.number = np.zeros(n)
        self.places = []  # of a car: the number of misses at each pump

    def add(self, other):
        self.any |= other.any
        self.apart |= other.apart
        self.once |= other.once
        self.number += other.number


def count(car, amounts, changes, rng, n):
    counts = Counts(n)
    for start in range(0, n, BLOCK):
        m = min(BLOCK, n - start)
        part = slice(start, start + m)
        scores = car.years(rng, m)
        for which, amount in enumerate(amounts):
            if start == 0:
                counts.places.append(np.zeros(n))
            if amount is None:
                continue
            for number in range(changes):
                missed = car.misses(which, amount, scores, rng, m)
                counts.any[part] |= missed
                counts.number[part] += missed
                counts.places[which][part] += missed
                if number == 0:
                    counts.once[part] |= missed
                counts.apart[part] |= car.misses(which, amount, {}, rng, m)
    return counts


class Tally:
    def __init__(self):
        self.made, self.failed, self.largest = {}, [], 0.0

    def note(self, name, where, holds, text):
        self.made[name] = self.made.get(name, 0) + 1
        if not holds:
            self.failed.append(f"{where}, {name}: {text}")

    def near(self, name, where, said, wanted, most):
        self.note(name, where, abs(said - wanted) <= most, f"told {said:.8g}, is {wanted:.8g}")

    def share(self, name, where, said, happened):
        self.mean(name, where, said, happened.astype(float))

    def mean(self, name, where, said, values):
        """Counts cannot show an error of less than a year in all."""
        error = np.hypot(max(values.std() / np.sqrt(len(values)), 1 / len(values)), said["standard_error"])
        off = abs(values.mean() - said["value"]) / error
        self.largest = max(self.largest, off)
        self.note(name, where, off <= FAR, f"told {said['value']:.6g} ± {said['standard_error']:.2g}, counted "
                                           f"{values.mean():.6g}, {off:.1f} standard errors")


def nominal(scenario):
    """The smallest amount that a dispenser shows and that does with every input at its mean."""
    case = mean_case(scenario)
    does = lambda hundredths: not is_out(scenario, land(scenario, case, amount=hundredths / 100)["content"])[0]
    low, high = 0, int(100 * scenario["tank.capacity"])
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if does(middle) else (middle + 1, high)
    return low / 100


def ask(program, cars, pumps, changes, tally, fields):
    call = [program, "policy", "--json", "--changes", str(changes), "--year-risk", f"{100 * YEAR_RISK} %",
            "--cost-of-miss", str(COST_OF_MISS), "--cars", *cars, "--pumps", *pumps]
    run = subprocess.run(call, capture_output=True, text=True)
    if run.returncode != 0:
        tally.failed.append(run.stderr.strip())
        return None
    answer = json.loads(run.stdout)
    fields.watch("policy", answer)
    return answer


def compare_sums(tally, where, year, scenarios, changes):
    """What follows from amounts, by arithmetic."""
    extra, cost, served = 0.0, 0.0, 0
    for place, scenario in zip(year["places"], scenarios):
        if place["amount"] is None:
            continue
        served += 1
        tally.near("policy margin", where, place["margin"], place["amount"] - nominal(scenario), 0.0101)
        chance = place["chance"]  # amounts are confirmed to 1 % of the risk, a standard error (docs/method.md)
        most = 1.04 * year["accepted_risk"] + FAR * chance["standard_error"]
        tally.note("policy amount", where, chance["chance"] <= most,
                   f"{chance['chance']} at an accepted risk of {year['accepted_risk']}")
        extra += changes * place["margin"]
        cost += changes * place["margin"] * scenario["fuel.price"]
    tally.near("policy extra fuel", where, year["extra_fuel"], extra, 1e-6)
    tally.near("policy extra fuel", where, year["extra_cost"], cost, 1e-6)
    tally.near("policy places", where, year["changes"], changes * served, 1e-9)
    tally.near("policy places", where, year["places_left_out"], len(scenarios) - served, 0)
    tally.near("policy places", where, year["changes_left_out"], changes * (len(scenarios) - served), 1e-9)


def compare_costs(tally, where, answer, scenarios, changes):
    """Over the same changes at every risk: a place without an amount goes on with its last."""
    costs, last = answer["costs"], [None] * len(scenarios)
    totals = []
    for at, year in enumerate(answer["risks"]):
        fuel = misses = litres = 0.0
        for i, place in enumerate(year["places"]):
            if place["amount"] is not None and (at == 0 or last[i] is not None):
                last[i] = place
            if last[i] is not None:
                litres += changes * last[i]["margin"]
                fuel += changes * last[i]["margin"] * scenarios[i]["fuel.price"]
                misses += changes * last[i]["chance"]["chance"]
        tally.near("policy costs", where, costs["accepted_risks"][at], year["accepted_risk"], 0)
        tally.near("policy costs", where, costs["extra_cost"][at], fuel, 1e-6)
        tally.near("policy costs", where, costs["misses"][at], misses, 1e-9)
        tally.near("policy costs", where, answer["extra_fuel_of_same_changes"][at], litres, 1e-6)
        totals.append(fuel + COST_OF_MISS * misses)
    least = costs["extra_cost_at_least"] + COST_OF_MISS * costs["misses_at_least"]
    tally.note("policy costs", where, least <= 1.01 * min(totals), f"{least} is not least of {totals}")
    for one, cost in (("least", 1), ("half", 0.5), ("twice", 2)):
        low, high = costs[one]["flat"]
        tally.note("policy costs", where, low <= costs[one]["accepted_risk"] <= high, "the least is not in its flat")
        tally.near("policy costs", where, costs[one]["cost_of_miss"], cost * COST_OF_MISS, 1e-9)
    tally.near("policy costs", where, costs["changes"], changes * sum(one is not None for one in last), 1e-9)
    tally.note("policy costs", where, costs["half"]["accepted_risk"] >= costs["least"]["accepted_risk"]
               >= costs["twice"]["accepted_risk"], "a dearer miss is accepted more often")


def compare_year(tally, where, told, by_car, per_car, changes, years, seed):
    """One accepted risk, counted."""
    shop = Counts(years)
    rng = np.random.default_rng(seed)
    for number, car in enumerate(by_car):
        places = told["places"][number * per_car:(number + 1) * per_car]
        counts = count(car, [place["amount"] for place in places], changes, rng, years)
        shop.add(counts)
        for place, of_place in zip(places, counts.places):
            if place["amount"] is not None:
                said = {"value": place["chance"]["chance"], "standard_error": place["chance"]["standard_error"]}
                tally.mean("policy chance", where, said, of_place / changes)
        tally.share("policy any miss", where + f", car {number}", told["cars"][number]["any_miss"], counts.any)
        tally.mean("policy misses", where + f", car {number}", told["cars"][number]["misses"], counts.number)
    tally.share("policy any miss", where, told["any_miss"], shop.any)
    tally.share("policy any miss, independent", where, told["any_miss_independent"], shop.apart)
    tally.share("policy any miss, one change a pump", where, told["any_miss_once"], shop.once)
    tally.mean("policy misses", where, told["misses"], shop.number)
    few = 1e-9 + 4 * told["any_miss"]["standard_error"]
    tally.note("policy any miss", where, told["any_miss_once"]["value"] - few <= told["any_miss"]["value"]
               <= told["any_miss_independent"]["value"] + few, "is not between one change and independent ones")
    return shop


def compare_shop(program, name, cars, pumps, changes, years, seed, tally, fields):
    answer = ask(program, cars, pumps, changes, tally, fields)
    if answer is None:
        return
    by_car = [Car([scenario_of(car, pump) for pump in pumps]) for car in cars]
    scenarios = [scenario for car in by_car for scenario in car.scenarios]
    tally.note("common", name, answer["seed"] == 1, "another seed")
    for number, place in enumerate(answer["places"]):
        wanted = {"car": number // len(pumps), "pump": number % len(pumps), "changes": changes}
        tally.note("policy places", name, place == wanted, f"{place} is not {wanted}")
    for year, risk in zip(answer["risks"], RISKS, strict=True):
        tally.near("policy risks", name, year["accepted_risk"], risk, 1e-15)
        compare_sums(tally, f"{name}, accepted {risk:g}", year, scenarios, changes)
    compare_costs(tally, name, answer, scenarios, changes)
    within = answer["within_year_risk"]
    looked = [(answer["risks"][2], 2), (answer["risks"][5], 5)]  # of 2 % and 0.2 %
    if within is not None:
        tally.note("policy risks", name, within["any_miss"]["value"] <= YEAR_RISK, "more than the year's risk")
        tally.note("policy risks", name, answer["wall"] == within, "the wall has another risk")
        compare_sums(tally, f"{name}, within", within, scenarios, changes)
        looked.append((within, 11))
    for told, at in looked:
        where = f"{name}, accepted {told['accepted_risk']:g}"
        yield told, compare_year(tally, where, told, by_car, len(pumps), changes, years, [*seed, at])


def write_shop(folder, rng):
    """An invented shop: three cars and two pumps of all kinds of laws, sometimes correlated."""
    cars, pumps = [], []
    for number in range(3):
        capacity = rng.integers(40, 70)
        text = f"[tank]\ncapacity = {capacity} L\nclick-off = normal({capacity + 1} L, {rng.uniform(0.1, 1):.2f} L)\n"
        sd = rng.uniform(0.2, 1.0)
        gauge = rng.choice([f"normal(0 L, {sd:.2f} L)", f"uniform({-1.7 * sd:.2f} L, {1.7 * sd:.2f} L)",
                            f"student(0 L, {0.7 * sd:.2f} L, 5)"])
        text += f"[heel]\nindicated = {rng.uniform(3, 7):.1f} L\ngauge-error = {gauge}\n"
        if rng.random() < 0.5:
            text += "reading = 12 %\n[sensor]\nbias = normal(0 %, 1.5 %)\n"
        else:
            text += "content = normal(10 %, 1 %)\n"
        text += f"[limits]\nminimum = {rng.integers(60, 67)} %\n"
        cars.append(os.path.join(folder, f"car-{number}.ini"))
        with open(cars[-1], "w") as file:
            file.write("# invented\n" + text)
    for number in range(2):
        centre, sd = rng.uniform(77, 83), rng.uniform(0.8, 2.0)
        content = rng.choice([f"normal({centre:.1f} %, {sd:.2f} %)", f"student({centre:.1f} %, {0.8 * sd:.2f} %, 6)",
                              f"beta({centre - 3 * sd:.1f} %, {centre + 3 * sd:.1f} %, 2, 3)"])
        text = f"[fuel]\ncontent = {content}\nmeter-error = normal(0 %, 0.3 %)\nhose-volume = uniform(0 L, 0.5 L)\n"
        text += f"price = {rng.uniform(0.9, 1.5):.2f} /L\n"
        if rng.random() < 0.5:
            text += f"[correlation]\nheel.gauge-error, fuel.content = {rng.uniform(-0.6, 0.6):.2f}\n"
        pumps.append(os.path.join(folder, f"pump-{number}.ini"))
        with open(pumps[-1], "w") as file:
            file.write("# invented\n" + text)
    return cars, pumps


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--shops", type=int, default=8)
    parser.add_argument("--years", type=int, default=100_000)
    parser.add_argument("--changes", type=int, default=6)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--examples", default=os.path.join(os.path.dirname(__file__), "..", "..", "examples"))
    options = parser.parse_args()
    tally, fields, found_out = Tally(), Fields(), 0
    with tempfile.TemporaryDirectory() as folder:
        shops = [write_shop(folder_of(folder, number), np.random.default_rng([options.seed, number]))
                 for number in range(options.shops)]
        cars, pumps = (sorted(glob.glob(os.path.join(options.examples, "fleet", kind, pattern)))
                       for kind, pattern in (("cars", "*.ini"), ("pumps", "*-summer.ini")))
        if cars and pumps:
            shops.append((cars, pumps))
        for number, (cars, pumps) in enumerate(shops):
            for told, shop in compare_shop(options.program, f"shop {number}", cars, pumps, options.changes, options.years,
                                           [options.seed, 10 ** 6 + number], tally, fields):
                twin = Tally()
                twin.share("twin", "", told["any_miss"], shop.apart)
                found_out += len(twin.failed)
    tally.failed += fields.problems(tally.made)
    for text in tally.failed:
        print("DISAGREEMENT " + text)
    if found_out < options.shops:
        print(f"NOT FOUND OUT: years of independent changes agree with all but {found_out} shops and risks")
    print(f"{sum(tally.made.values())} comparisons on {len(shops)} shops of {options.years} years, {len(tally.failed)} disagreements; "
          f"the largest deviation is {tally.largest:.2f} standard errors; the twin was found out {found_out} times")
    return 1 if tally.failed or found_out < options.shops or not tally.made else 0


def folder_of(folder, number):
    path = os.path.join(folder, str(number))
    os.makedirs(path)
    return path


if __name__ == "__main__":
    sys.exit(main())
