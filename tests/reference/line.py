"""The line of every case, by numerical inversion of its Laplace transform, in burned volume.

A stirred volume V is 1/(1 + sV), a laminar pipe is 2 E3(sV/2) (the transform of its residence law
1 - (V/2q)^2, q >= V/2), plug flow is a delay. Inversion: the fixed Talbot contour (J. Abate, P. P. Valko,
Int. J. Numer. Meth. Engng 60, 2004; from memory).
"""
import numpy as np
from scipy.special import exp1

from reference import ROUNDING

TALBOT = 14
THETA = np.arange(1, TALBOT) * np.pi / TALBOT
RADIUS = 2 * TALBOT / 5
POINTS = np.concatenate([[RADIUS + 0j], RADIUS * THETA * (1 / np.tan(THETA) + 1j)])
SIGMA = THETA + (THETA / np.tan(THETA) - 1) / np.tan(THETA)
WEIGHTS = RADIUS / TALBOT * np.exp(POINTS) * np.concatenate([[0.5], 1 + 1j * SIGMA])


def e3_scaled(z):
    """2 e^z E3(z), by E1, and by its asymptotic series where that would cancel."""
    out = np.empty(z.shape, complex)
    far = np.abs(z) > 40
    near = ~far
    x = z[near]
    out[near] = 1 - x + x * x * np.exp(x) * exp1(x)
    x = z[far]
    term, total = np.ones(x.shape, complex), np.zeros(x.shape, complex)
    for k in range(3, 20):
        total += term
        term = -term * k / x
    out[far] = 2 / x * total
    return out


LOG_STEP = 1e-3
LOG_RATIOS = np.arange(-18.0, 8.0, LOG_STEP)
E3_TABLE = e3_scaled(POINTS[:, None] * np.exp(LOG_RATIOS)[None, :])


def pipe_transform(ratio):
    """e3_scaled(POINTS ratio) from a table, linear in the ratio's logarithm: within 2e-7."""
    at = np.clip((np.log(np.maximum(ratio, 1e-12)) - LOG_RATIOS[0]) / LOG_STEP, 0, len(LOG_RATIOS) - 1.001)
    index = at.astype(int)
    return E3_TABLE[:, index] + (at - index) * (E3_TABLE[:, index + 1] - E3_TABLE[:, index])


def arrived(stirred, pipe, laminar, q):
    """Share of new fuel after throughput q behind stirred volumes and a pipe, each an array of cases."""
    q = np.broadcast_to(np.asarray(q, float), pipe.shape)
    stirred = [v for v in stirred if np.any(v > 0)]
    left = q - (pipe / 2 if laminar else pipe)
    share = np.zeros(pipe.shape)
    if not stirred and (not laminar or not np.any(pipe > 0)):
        return (left >= 0).astype(float)
    if not stirred:
        safe = np.maximum(q, 1e-300)
        return np.where(left >= 0, np.where(pipe > 0, 1 - np.minimum(pipe / (2 * safe), 1) ** 2, 1.0), 0.0)
    go = np.flatnonzero(left > 0)
    for part in np.array_split(go, max(1, go.size // 8192)):
        x = left[part]
        s = POINTS[:, None] / x[None, :]
        f = 1 / POINTS[:, None] * np.ones_like(s)
        for volume in stirred:
            f = f / (1 + s * volume[part][None, :])
        if laminar and np.any(pipe[part] > 0):
            f = f * pipe_transform(pipe[part] / 2 / x)
        share[part] = np.clip((WEIGHTS @ f).real, 0, 1)
    return share


class Line:
    """The line of every case: what has arrived at the sensor and at the injectors."""

    def __init__(self, scenario, cases, landing):
        broken = scenario.broken
        self.lag = 0.0 if broken == "lag" else scenario["sensor.lag"]
        self.laminar = (scenario["line.pipe-flow"] == "laminar") != (broken == "pipe")
        self.pipe = cases["line.pipe"]
        self.before = [cases["line.reservoir"], cases["line.filter"]]
        self.beyond = cases["line.beyond-sensor"] * (0 if broken == "beyond" else 1)
        self.back = cases["line.return-flow"] * (0 if broken == "return" else 1)
        self.old = cases.get("line.content", landing["old"])
        phases = scenario["engine.schedule"]
        self.timed = all("engine." + name in cases for name, _ in phases)
        self.phases = [(cases["engine." + name], length) for name, length in phases] if self.timed else []
        volume = sum(self.before) + self.pipe + self.beyond
        mixed = (landing["volume"] * landing["content"] + volume * self.old) / (landing["volume"] + volume)
        self.new = np.where(self.back > 0, mixed, landing["content"])

    def time_of(self, burned):
        """Time at which each case has burned so much."""
        left = np.broadcast_to(np.asarray(burned, float), self.pipe.shape).copy()
        time = np.zeros(self.pipe.shape)
        for index, (rate, length) in enumerate(self.phases):
            last = index + 1 == len(self.phases)
            spent = left / rate if last else np.minimum(left / rate, length)
            time += spent
            left = np.maximum(left - spent * rate, 0)
        return time

    def burned_at(self, time):
        left = np.broadcast_to(np.asarray(time, float), self.pipe.shape).copy()
        burned = np.zeros(self.pipe.shape)
        for index, (rate, length) in enumerate(self.phases):
            spent = left if index + 1 == len(self.phases) else np.minimum(left, length)
            burned += spent * rate
            left = left - spent
        return burned

    def throughput(self, burned):
        burned = np.broadcast_to(np.asarray(burned, float), self.pipe.shape)
        if not np.any(self.back > 0):
            return burned
        return burned + self.back * self.time_of(burned)

    def at_injectors(self, burned):
        return arrived(self.before + [self.beyond], self.pipe, self.laminar, self.throughput(burned))

    def at_sensor(self, burned):
        """What the sensor, lagging in time, has seen. Within a phase of constant throughput a lag is one more
        stirred volume; from phase to phase what is left of the earlier state decays."""
        if self.lag == 0 or not self.timed:
            return arrived(self.before, self.pipe, self.laminar, self.throughput(burned))
        time = self.time_of(burned)
        state, start = np.zeros(self.pipe.shape), np.zeros(self.pipe.shape)
        q_start = np.zeros(self.pipe.shape)
        for index, (rate, length) in enumerate(self.phases):
            end = time if index + 1 == len(self.phases) else np.minimum(time, start + length)
            end = np.maximum(end, start)
            flow = rate + self.back
            q_end = q_start + flow * (end - start)
            lagged = lambda q: arrived(self.before + [self.lag * flow], self.pipe, self.laminar, q)
            fade = np.exp(-(end - start) / self.lag)
            state = np.where(end > start, (state - lagged(q_start)) * fade + lagged(q_end), state)
            start, q_start = end, q_end
        return state

    def rail(self, burned):
        return self.old + (self.new - self.old) * self.at_injectors(burned)

    def share_needed(self, limit):
        """Share of new fuel at which the injectors cross the limit; NaN where old and new are alike."""
        gap = self.new - self.old
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(np.abs(gap) > 0, (limit - self.old) / gap, np.nan)

    def burned_until(self, limit, side):
        """Burned volume at which each case's injectors come within the limit: 0 where they are from the start,
        infinite where they never get there; else the last at which they are outside still. By bisection: the
        share arrived grows with what is burned."""
        sign = 1 if side == "below" else -1
        inside_now = sign * (self.old - limit) >= -ROUNDING
        inside_then = sign * (self.new - limit) >= -ROUNDING
        low = np.zeros(self.pipe.shape)
        size = sum(self.before) + self.pipe + self.beyond
        high = np.full(self.pipe.shape, 1e-6) + size
        need = self.share_needed(limit)
        work = ~inside_now & inside_then
        work &= self.at_injectors(0.0) < need
        for _ in range(60):
            short = work & (self.at_injectors(high) < need)
            if not short.any() or high.max() > 1e6:
                break
            low, high = np.where(short, high, low), np.where(short, high * 2, high)
        for _ in range(30):
            middle = (low + high) / 2
            there = self.at_injectors(middle) >= need
            low, high = np.where(there, low, middle), np.where(there, middle, high)
        return np.where(work, low, np.where(inside_then, 0.0, np.inf))
