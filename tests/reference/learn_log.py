"""learn --log: a shop's log by means that the program does not use: SciPy's tests, REML by a search, mixtures by quadrature."""
import datetime
import os

import numpy as np
from scipy import optimize, stats

CAR = """title = Invented van
[tank]
capacity = 60 L
click-off = {click_off}
[heel]
indicated = 8 L
content = 8 %
[fuel]
content = 75 %
[sensor]
step = {step} %
[tester]
sd = {tester} %
[limits]
minimum = 60 %
"""
FIRST = datetime.date(2031, 1, 3)
# Davies and Goldsmith's yields of dyestuff as printed in the documentation of lme4, a batch a row; there REML has standard
# deviations of 42.00 between and 49.51 within batches.
DYESTUFF = [[1545, 1440, 1440, 1520, 1580], [1540, 1555, 1490, 1560, 1495], [1595, 1550, 1605, 1510, 1560],
            [1445, 1440, 1595, 1465, 1545], [1595, 1630, 1515, 1635, 1625], [1520, 1455, 1450, 1480, 1445]]
YIELD = 25.0  # of dyestuff for a percent


def compare(ask, program, tally, folder, rng, logs, watch):
    def asked(name, text, *words, car=None):
        tally.where = "learn " + name
        paths = [os.path.join(folder, f"{name}.csv")]
        with open(paths[0], "w") as file:
            file.write(text)
        if car:
            paths.append(os.path.join(folder, f"{name}.ini"))
            with open(paths[1], "w") as file:
                file.write(car)
        answer = ask(program, "--log", *paths, *words)
        if isinstance(answer, str):
            tally.note("learn log", False, f"refused: {answer}")
            return None
        watch("learn-log", answer)
        return answer

    dyestuff(tally, asked("dyestuff", dated([(20 * i, 0, v / YIELD) for i, batch in enumerate(DYESTUFF) for v in batch])))
    season(tally, asked, rng)
    for number in range(logs):
        shop(tally, asked, f"shop-{number}", rng)


def dated(tests):
    rows = [f"{FIRST + datetime.timedelta(days=int(day))},pump-{pump},{value!r}" for day, pump, value in tests]
    return "date,pump,content_percent\n" + "\n".join(rows) + "\n"


def reml(values, deliveries, pumps, known=None):
    """Standard deviations of tests, deliveries and pumps where -2 ln of the restricted likelihood is smallest."""
    y, n = np.asarray(values), len(values)
    same = lambda ids: np.equal.outer(ids, ids).astype(float)
    delivery, pump, ones = same(deliveries), same(pumps), np.ones(n)
    repeated, several = len(set(deliveries)) < n, len(set(pumps)) > 1
    unit = y.std()

    def sds(x):
        x = list(np.abs(x) * unit)
        test = known if known is not None else x.pop(0) if repeated else 0.0
        return test, x.pop(0), x.pop(0) if several else 0.0

    def criterion(x):
        test, between, outer = sds(x)
        v = test**2 * np.eye(n) + between**2 * delivery + outer**2 * pump + 1e-14 * unit**2 * np.eye(n)
        inverse = np.linalg.inv(v)
        precision = ones @ inverse @ ones
        off = y - (ones @ inverse @ y) / precision
        return np.linalg.slogdet(v)[1] + np.log(precision) + off @ inverse @ off

    size = (known is None and repeated) + 1 + several
    starts = [np.full(size, 0.5), np.full(size, 1.0), np.array([0.9] + [0.1] * (size - 1)), np.array([0.1] * (size - 1) + [0.9])]
    found = [optimize.minimize(criterion, start, method="Nelder-Mead",
                               options={"xatol": 1e-7, "fatol": 1e-11, "maxiter": 8000, "maxfev": 8000}) for start in starts]
    return sds(min(found, key=lambda one: one.fun).x)


def same_sds(tally, said, own):
    for name, value in zip(("test_sd", "delivery_sd", "pump_sd"), own):
        tally.equal("learn log " + name, said[name], value, 1e-4)


def same_law(tally, name, said, center, scale, dof, error=1e-6):
    tally.equal(f"learn log {name} center", said["center"] / scale, center / scale, error)
    tally.equal(f"learn log {name} scale", said["scale"] / scale, 1, error)
    # Of a law matched by its widths; as good as normal from a thousand on.
    tally.equal(f"learn log {name} dof", 1 / said["dof"], 1 / min(dof, 1000), 1e-3)


def same_widths(tally, name, said, center, widths, error):
    """The middle 50 and 95 % of a law that is no t itself."""
    tally.equal(f"learn log {name} center", said["center"] / said["scale"], center / said["scale"], error)
    for share, width in zip((0.5, 0.95), widths):
        half = said["scale"] * stats.t.ppf(0.5 + share / 2, said["dof"])
        tally.equal(f"learn log {name} scale", half / width, 1, error)
        tally.equal(f"learn log {name} dof", half / width, 1, error)


def widths_of(cdf, center, top):
    """Half widths about the center that hold 50 and 95 %."""
    return [optimize.brentq(lambda x: cdf(center + x) - cdf(center - x) - share, 1e-9 * top, top) for share in (0.5, 0.95)]


def dyestuff(tally, answer):
    if answer is None:
        return
    said = answer["pump"]
    values = [v / YIELD / 100 for batch in DYESTUFF for v in batch]
    deliveries = [i for i, batch in enumerate(DYESTUFF) for _ in batch]
    same_sds(tally, said, reml(values, deliveries, [0] * len(values)))
    tally.equal("learn log delivery_sd", said["delivery_sd"] * YIELD * 100, 42.00, 2e-4)
    tally.equal("learn log test_sd", said["test_sd"] * YIELD * 100, 49.51, 2e-4)
    tally.equal("learn log deliveries", said["deliveries"], 6)
    tally.equal("learn log tests", said["tests"], 30)


def season(tally, asked, rng):
    days = np.arange(40) * 28 + rng.integers(0, 10, 40)
    phase = 2 * np.pi * (days + (FIRST - datetime.date(1970, 1, 1)).days) / 365.2425
    values = np.round(76 + 2.5 * np.cos(phase - 1) + 1.5 * rng.standard_normal(40), 1)
    answer = asked("season", dated(zip(days, [0] * 40, values)), "--on", "2033-07-01")
    if answer is None:
        return
    said, y, n = answer["pump"]["season"], values / 100, 40
    design = np.column_stack([np.ones(n), np.cos(phase), np.sin(phase)])
    effects, squares = np.linalg.lstsq(design, y, rcond=None)[:2]
    s2 = squares[0] / (n - 3)
    f = ((y.var() * n - squares[0]) / 2) / s2
    inverse = np.linalg.inv(design.T @ design)
    tally.equal("learn log season", said["chance"], stats.f.sf(f, 2, n - 3), 1e-6)
    tally.note("learn log season told", said["asked"] and said["told"] == (stats.f.sf(f, 2, n - 3) < 0.01), "")
    amplitude = np.hypot(*effects[1:])
    tally.equal("learn log season", said["amplitude"], amplitude, 1e-6)
    widest = np.linalg.eigvalsh(s2 * inverse[1:, 1:]).max()
    tally.equal("learn log season", said["could_hide"], amplitude + np.sqrt(2 * stats.f.isf(0.05, 2, n - 3) * widest), 1e-6)
    tally.equal("learn log season", said["years"], (days[-1] - days[0]) / 365.2425, 1e-6)
    at = 2 * np.pi * (datetime.date(2033, 7, 1) - datetime.date(1970, 1, 1)).days / 365.2425
    row = np.array([1, np.cos(at), np.sin(at)])
    same_law(tally, "next_delivery", answer["pump"]["next_delivery"], row @ effects,
             np.sqrt(s2 * (1 + row @ inverse @ row)), n - 3)


class Nested:
    """Single tests of deliveries of several pumps: the next delivery, averaged over the ratio of the variances. Prior 1/(B C) times
    the root of B, B the deliveries' variance and C = B + m times that of the pumps, m their mean number of deliveries."""

    def __init__(self, y, pumps):
        sets = [np.asarray(y)[np.asarray(pumps) == i] for i in range(max(pumps) + 1)]
        sizes, means = np.array([len(one) for one in sets]), np.array([one.mean() for one in sets])
        n, within = sizes.sum(), sum(((one - one.mean())**2).sum() for one in sets)
        m = n / len(sets)
        self.dof = n - 2
        weights, centers, scales = [], [], []
        for excess in np.exp(np.linspace(0, 30, 3000)):  # C/B
            ratio = (excess - 1) / m
            part = sizes / (1 + ratio * sizes)  # of the inverse's sum
            mean = part @ means / part.sum()
            squares = within + part @ (means - mean)**2
            shape = np.log1p(ratio * sizes).sum() + np.log(part.sum())
            weights.append(-0.5 * (shape + self.dof * np.log(squares)))
            centers.append(np.append(mean + ratio * part * (means - mean), mean))
            own = 1 + ratio / (1 + ratio * sizes) + (1 - ratio * part)**2 / part.sum()
            scales.append(np.sqrt(squares / self.dof * np.append(own, 1 + ratio + 1 / part.sum())))
        weights = np.exp(np.array(weights) - max(weights))
        weights[0] /= 2  # the trapezium rule
        self.weights, self.centers, self.scales = weights / weights.sum(), np.array(centers), np.array(scales)

    def law(self, pump):
        """@param pump  by its number, or -1 for a further one"""
        centers, scales = self.centers[:, pump], self.scales[:, pump]
        keep = self.weights > 1e-9 * self.weights.max()
        cdf = lambda x: self.weights[keep] @ stats.t.cdf((x - centers[keep]) / scales[keep], self.dof)
        center = self.weights @ centers
        return center, widths_of(cdf, center, 10 * scales[keep].max())


def shop(tally, asked, name, rng):
    """A log of two cars at two pumps, all of it told; the tester is exact, then he is not."""
    n = int(rng.integers(30, 45))
    days = np.arange(n) * 9 + rng.integers(0, 3, n)
    cars, pumps = rng.integers(0, 2, n), rng.integers(0, 2, n)
    pumps[:4], cars[:4] = [0, 0, 1, 1], [0, 0, 1, 1]
    tests = np.round(rng.normal(75 + 2 * pumps, 2.0), 1)
    landed = np.round(rng.uniform(58, 70, n), 1)
    readings = np.round((landed + np.array([1.2, -0.8])[cars] + rng.normal(0, 0.9, n)) / 0.5) * 0.5
    indicated = np.round(rng.uniform(4, 14, n), 1)
    shown = np.round(60 - indicated - 0.7 - rng.normal(0, 1.1, n), 2)
    step, sd = 0.5, rng.choice([0.0, 0.6, 1.5])
    header = "date,car,pump,indicated_l,shown_l,stopped_by,pump_test_percent,reading_percent,landed_test_percent\n"
    rows = [f"{FIRST + datetime.timedelta(days=int(d))},car-{c},pump-{p},{i},{s},click-off,{t},{r},{x}\n"
            for d, c, p, i, s, t, r, x in zip(days, cars, pumps, indicated, shown, tests, readings, landed)]
    click_off = f"normal(60 L, {sd} L)" if sd else "60 L"
    first = lambda of: [list(dict.fromkeys(of)).index(one) for one in of]  # numbers in the order of the file
    for tester in (0.0, 0.3):
        answer = asked(f"{name}-{tester}", header + "".join(rows), "--car", "car-0", "--pump", "pump-1", "--group", "car",
                       car=CAR.format(click_off=click_off, step=step, tester=tester))
        if answer is None:
            return
        tally.equal("learn log rows", answer["rows"], n)
        tally.equal("learn log rows", answer["rows_of_car"], int((cars == 0).sum()))
        pump(tally, answer["pump"], tests / 100, first(pumps), tester / 100)
        tally.equal("learn log days", answer["same_delivery_days"], 3)
        of = cars == 0
        sensor(tally, answer["sensor"], [(readings - landed)[cars == c] / 100 for c in (0, 1)], landed[of] / 100, step / 100,
               tester / 100)
        gauge(tally, answer["gauge"], indicated[of], shown[of], sd)
        own = next(one for one in answer["groups"] if one["group"] == "car-0")
        tally.equal("learn log rows", own["rows"], int(of.sum()))
        for part in ("sensor", "gauge"):
            same = {key: value for key, value in own[part].items() if key in ("mean", "standard_deviation", "fills", "checks")}
            tally.note("learn log groups", all(answer[part][key] == value for key, value in same.items()), f"{part}: {same}")


def pump(tally, said, values, pumps, tester):
    n, pumps = len(values), np.array(pumps)
    tally.equal("learn log tests", said["tests"], n)
    tally.equal("learn log deliveries", said["deliveries"], n)
    tally.equal("learn log undated", said["undated"], 0)
    tally.equal("learn log partings", said["partings"], 0)
    tally.note("learn log season told", not said["season"]["told"] and not said["season"]["asked"], "in a year")
    by_pump = [values[pumps == i] for i in range(pumps.max() + 1)]
    for one, own in zip(said["pumps"], by_pump):
        tally.equal("learn log mean", one["mean"], own.mean())
        tally.equal("learn log tests", one["tests"], len(own))
        tally.equal("learn log deliveries", one["deliveries"], len(own))
    tally.equal("learn log alike", said["pumps_alike"], stats.f_oneway(*by_pump).pvalue, 1e-8)
    same_sds(tally, said, reml(values, range(n), pumps, tester or None))
    if tester:
        return
    nested = Nested(values, pumps)
    laws = [one["next_delivery"] for one in said["pumps"]] + [said["new_pump"]]
    for number, law in enumerate(laws):
        center, widths = nested.law(number)
        same_widths(tally, "next_delivery", law, center, widths, 0.05)
    chosen = next(one for one in said["pumps"] if one["pump"] == "pump-1")
    tally.note("learn log next_delivery center", said["next_delivery"] == chosen["next_delivery"], "not that of pump-1")


def sensor(tally, said, off, content, step, tester):
    own, n = off[0], len(off[0])
    tally.equal("learn log checks", said["checks_of_all"], sum(len(one) for one in off))
    tally.equal("learn log checks", said["cars"], 2)
    if said["left_out"]:
        return tally.skip("learn: an outlier among normal checks")
    tally.equal("learn log checks", said["checks"], n)
    tally.equal("learn log sensor mean", said["mean"], own.mean())
    foreign = tester**2 + step**2 / 12
    line = stats.linregress(content - 0.6, own)
    tally.equal("learn log slope", said["slope_chance"], line.pvalue, 1e-6)
    tally.note("learn log slope told", (said["slope"] is not None) == (line.pvalue < 0.01), f"{line.pvalue}")
    residuals = own - own.mean()
    center, error, dof = own.mean(), 1 / np.sqrt(n), n - 1
    if said["slope"] is not None:
        tally.equal("learn log slope", said["slope"], line.slope, 1e-6)
        residuals = own - line.intercept - line.slope * (content - 0.6)
        center, dof = line.intercept, n - 2
        error = line.intercept_stderr / np.sqrt((residuals**2).sum() / dof)
    s = np.sqrt((residuals**2).sum() / dof)
    tally.equal("learn log sensor sd", said["standard_deviation"], s)
    tally.equal("learn log noise", said["noise"], np.sqrt(max(s * s - foreign, 0.0)))
    tally.note("learn log noise", said["tester_explains_all"] == (s * s <= foreign) and said["own"], "")
    same_law(tally, "bias", said["bias"], center, s * error, dof)
    far = [np.abs(one - one.mean()).max() > 2.6 * one.std() for one in off]
    if any(far):
        return tally.skip("learn: a check far off, which may be left out of the other car's")
    tally.equal("learn log sensors alike", said["sensors_alike"], stats.f_oneway(*off).pvalue, 1e-8)
    between = reml(np.concatenate(off), [0] * len(off[0]) + [1] * len(off[1]), [0] * sum(map(len, off)))[1]
    tally.equal("learn log between", said["between_sd"], between, 1e-4)


def gauge(tally, said, indicated, shown, sd):
    """Click-off less the gauge's error by the fills, click-off by the scenario."""
    n = len(shown)
    if said["left_out"]:
        return tally.skip("learn: an outlier among normal fills")
    tally.equal("learn log fills", said["fills"], n)
    tally.equal("learn log fills", said["heels"], 0)
    line = stats.linregress(indicated, -(shown + indicated))
    tally.equal("learn log slope", said["slope_chance"], line.pvalue, 1e-6)
    tally.note("learn log slope told", (said["slope"] is not None) == (line.pvalue < 0.01), f"{line.pvalue}")
    design = np.ones((n, 1))
    if said["slope"] is not None:
        tally.equal("learn log slope", said["slope"], line.slope, 1e-6)
        design = np.column_stack([design, indicated - 8])
    effects, squares = np.linalg.lstsq(design, 60 - (shown + indicated), rcond=None)[:2]
    dof = n - design.shape[1]
    s2 = squares[0] / dof
    tally.equal("learn log gauge sd", said["standard_deviation"], np.sqrt(s2), 1e-6)
    lever = 1 + np.linalg.inv(design.T @ design)[0, 0]
    # Given the scatter's variance normal, and that is squares/chi2.
    u = (np.arange(4000) + 0.5) / 4000
    scales = np.sqrt(sd**2 + squares[0] / stats.chi2.ppf(u, dof) * lever)
    cdf = lambda x: stats.norm.cdf((x - effects[0]) / scales).mean()
    same_widths(tally, "gauge_error", said["gauge_error"], effects[0], widths_of(cdf, effects[0], 1e3), 0.01)
    r = sd / np.sqrt(sd**2 + s2 * lever)
    tally.equal("learn log rank", said["rank_correlation"], 6 / np.pi * np.arcsin(r / 2), 1e-3)
