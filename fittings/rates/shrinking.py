"""Group rates drawn towards the house: what a small group's rate most likely is.

The groups' true rates are taken to follow a beta distribution, fitted to all counts by maximum
likelihood; the rest is Bayes. A. Gelman et al., "Bayesian Data Analysis", chapter 5 (the rats);
B. Efron and C. Morris, "Data analysis using Stein's estimator and its generalizations", J. Am.
Stat. Assoc. 70 (1975) 311-319, tell why it errs less. With few small groups the strength of the
drawing is hardly known: it is bounded, and the raw counts stand beside every drawn rate.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.optimize import minimize
from scipy.special import betaln, expit, logit, psi
from scipy.stats import beta

from fittings.rates.groups import by_name
from fittings.rates.proportions import LEVEL

FEWEST_GROUPS = 3
# As many garments' worth as the house's rate may weigh. Beyond it the groups are as good as equal,
# and the likelihood has no maximum when they scatter less than luck makes them.
LEAST_WEIGHT, MOST_WEIGHT = 1.0, 2000.0
KEPT = 500  # houses whose fit is kept: the same counts come again with every opening of a page


@dataclass(frozen=True, slots=True)
class House:
    """The beta distribution of the groups' rates; ``weight`` is alpha + beta, in garments."""

    alpha: float
    beta: float

    @property
    def rate(self) -> float:
        return self.alpha / (self.alpha + self.beta)

    @property
    def weight(self) -> float:
        return self.alpha + self.beta


@dataclass(frozen=True, slots=True)
class Drawn:
    """A group's k of n, and its rate drawn towards the house with its range of ``LEVEL``."""

    name: str
    k: int
    n: int
    rate: float
    low: float
    high: float


def fit_house(counts: Sequence[tuple[int, int]]) -> House | None:
    """The likeliest beta distribution for groups of (k, n).

    None with fewer than ``FEWEST_GROUPS`` groups or when all or none were hit: nothing tells then
    how far groups differ.
    """
    filled = tuple((k, n) for k, n in counts if n)
    hits, total = sum(k for k, _ in filled), sum(n for _, n in filled)
    return None if len(filled) < FEWEST_GROUPS or hits in {0, total} else _fitted(filled)


@lru_cache(maxsize=KEPT)
def _fitted(filled: tuple[tuple[int, int], ...]) -> House:
    hits, total = sum(k for k, _ in filled), sum(n for _, n in filled)
    k, n = (np.array(part, dtype=float) for part in zip(*filled, strict=True))

    def misfit(place: np.ndarray) -> tuple[float, np.ndarray]:
        """With its slope, by the logit of the rate and the logarithm of the weight."""
        weight = np.exp(place[1])
        a = expit(place[0]) * weight
        b = weight - a
        likelihood = np.sum(betaln(k + a, n - k + b) - betaln(a, b))
        all_alike = psi(weight) - psi(n + weight)
        by_a = np.sum(psi(k + a) - psi(a) + all_alike)
        by_b = np.sum(psi(n - k + b) - psi(b) + all_alike)
        slope = np.array([(by_a - by_b) * a * b / weight, by_a * a + by_b * b])
        return -float(likelihood), -slope

    bounds = [(-9.0, 9.0), (np.log(LEAST_WEIGHT), np.log(MOST_WEIGHT))]
    starts = [(float(logit(hits / total)), np.log(weight)) for weight in (10.0, 200.0)]
    tries = [
        minimize(misfit, start, jac=True, method="L-BFGS-B", bounds=bounds) for start in starts
    ]
    rate, weight = min(tries, key=lambda found: found.fun).x
    alpha = float(expit(rate) * np.exp(weight))
    return House(alpha, float(np.exp(weight)) - alpha)


def drawn_rates(groups: Mapping[str, tuple[int, int]]) -> tuple[House | None, list[Drawn]]:
    """The house fitted to groups name -> (k, n), and each by name; no list without a house."""
    house = fit_house(list(groups.values()))
    if house is None:
        return None, []
    names = sorted((name for name in groups if groups[name][1]), key=by_name)
    return house, [draw(name, *groups[name], house) for name in names]


def draw(name: str, k: int, n: int, house: House) -> Drawn:
    """The posterior mean of a group's rate and the range that holds it at ``LEVEL``."""
    a, b = house.alpha + k, house.beta + n - k
    low, high = beta.ppf([(1 - LEVEL) / 2, (1 + LEVEL) / 2], a, b)
    return Drawn(name, k, n, a / (a + b), float(low), float(high))
