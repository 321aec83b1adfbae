"""Inputs that move together: a Gaussian copula by rank correlations (docs/method.md)."""
import numpy as np
from scipy import stats


def held(draws, key):
    """Draws held within the physical range."""
    name = key.split(".")[1]
    if name.endswith("content"):
        return np.clip(draws, 0, 1)
    if name in ("click-off", "hose-volume", "burn-first", "reservoir", "pipe", "filter", "beyond-sensor",
                "return-flow", "to-pump"):
        return np.maximum(draws, 0)
    return draws


class Copula:
    """Normal scores of correlation 2 sin(pi rho / 6), rho Spearman's (W. H. Kruskal, J. Amer. Statist. Assoc. 53,
    1958; from memory), through the inverse distribution functions."""

    def __init__(self, scenario):
        self.laws = scenario.laws()
        self.keys = sorted({key for pair in scenario.correlation for key in pair})
        self.matrix = np.eye(len(self.keys))
        for (a, b), rho in scenario.correlation.items():
            r = 2 * np.sin(np.pi * rho / 6) * (-1 if scenario.broken == "correlation" else 1)
            self.matrix[self.index(a), self.index(b)] = self.matrix[self.index(b), self.index(a)] = r

    def index(self, key):
        return self.keys.index(key)

    def draw(self, rng, n):
        size = len(self.keys)
        return np.linalg.cholesky(self.matrix) @ rng.standard_normal((size, n)) if size else np.zeros((0, n))

    def values(self, scores):
        return {key: held(self.laws[key].quantile(stats.norm.cdf(z)), key) for key, z in zip(self.keys, scores)}

    def given(self, key, z, scores):
        """Scores moved to their law given that of one key: its part in each is put in the place of the old one."""
        row = self.matrix[:, self.index(key)]
        return scores + row[:, None] * (z - scores[self.index(key)])

    def again(self, key, scores, rng, known):
        """Scores of which that of one key is drawn again, given those others that are known."""
        i = self.index(key)
        others = [j for j, other in enumerate(self.keys) if j != i and other in known]
        weight = np.linalg.solve(self.matrix[np.ix_(others, others)], self.matrix[others, i])
        sd = np.sqrt(1 - weight @ self.matrix[others, i])
        fresh = scores.copy()
        fresh[i] = weight @ scores[others] + sd * rng.standard_normal(scores.shape[1])
        return fresh
