"""Rate against number: limits inside which groups of one and the same rate fall by luck.

D. J. Spiegelhalter, "Funnel plots for comparing institutional performance", Stat. Med. 24 (2005)
1185-1202, with his exact binomial limits, interpolated between whole counts (appendix; formula
from memory). They are limits of prediction at the house's rate, not intervals round a point.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import bdtr, bdtrc
from scipy.stats import binom

from fittings.rates.groups import by_name
from fittings.rates.proportions import FEWEST_TO_TELL, TOO_FEW

INNER, OUTER = 0.95, 0.998
KEPT = 1_000  # limits and points kept by their value, page after page
INSIDE, BEYOND_INNER, BEYOND_OUTER = (
    "inside the limits",
    "beyond the 95 % limit",
    "beyond the 99.8 % limit",
)
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FunnelPoint:
    """One group of k in n, and how far out it lies: one of the three phrases, or too few."""

    name: str
    k: int
    n: int
    rate: float
    lies: str


@dataclass(frozen=True, slots=True)
class Funnel:
    """The target, the groups by name, and the limits at each of ``sizes``: low, high pairs."""

    target: float
    points: tuple[FunnelPoint, ...]
    sizes: tuple[int, ...]
    inner: tuple[tuple[float, float], ...]
    outer: tuple[tuple[float, float], ...]


def binomial_limits(n: ArrayLike, target: float, level: float) -> tuple[Floats, Floats]:
    """Exact limits, low and high as rates, between which groups of ``n`` lie with chance ``level``.

    With r the smallest count whose chance of at most r reaches the tail, the limit lies between
    r - 1 and r by how far it is overshot. Raises ValueError for a target outside 0 to 1, n < 1.
    """
    sizes = np.atleast_1d(np.asarray(n, dtype=float))
    if not 0 <= target <= 1 or (sizes < 1).any():
        raise ValueError(f"a target from 0 to 1 and sizes from 1 are needed, not {target}, {n!r}")
    tail = (1 - level) / 2
    low, high = (_interpolated(sizes, target, reach) for reach in (tail, 1 - tail))
    return np.clip(low, 0, 1), np.clip(high, 0, 1)


def _interpolated(sizes: Floats, target: float, reach: float) -> Floats:
    count = np.maximum(binom.ppf(reach, sizes, target), 0)
    over = binom.cdf(count, sizes, target) - reach
    step = binom.pmf(count, sizes, target)
    share = np.divide(over, step, out=np.zeros_like(over), where=step > 0)
    limits: Floats = (count - share) / sizes
    return limits


def funnel(groups: Mapping[str, tuple[int, int]]) -> Funnel | None:
    """The funnel of groups name -> (k, n) round the rate of all; None when there is nothing."""
    filled = {name: groups[name] for name in sorted(groups, key=by_name) if groups[name][1]}
    if not filled:
        return None
    target = sum(k for k, _ in filled.values()) / sum(n for _, n in filled.values())
    most = max(n for _, n in filled.values())
    sizes = _sizes(most)
    return Funnel(
        target,
        tuple(_point(name, k, n, target) for name, (k, n) in filled.items()),
        sizes,
        *(_pairs(sizes, target, level) for level in (INNER, OUTER)),
    )


def _sizes(most: int) -> tuple[int, ...]:
    """Where the limits are drawn: some sixty sizes, closer where they bend most."""
    top = max(most * 1.05, 2 * FEWEST_TO_TELL)
    grid = FEWEST_TO_TELL + (top - FEWEST_TO_TELL) * np.linspace(0, 1, 60) ** 2
    return tuple(sorted({round(size) for size in grid}))


@lru_cache(maxsize=KEPT)
def _pairs(sizes: tuple[int, ...], target: float, level: float) -> tuple[tuple[float, float], ...]:
    low, high = binomial_limits(list(sizes), target, level)
    return tuple(zip(low.tolist(), high.tolist(), strict=True))


@lru_cache(maxsize=KEPT)
def _point(name: str, k: int, n: int, target: float) -> FunnelPoint:
    if n < FEWEST_TO_TELL:
        return FunnelPoint(name, k, n, k / n, TOO_FEW)
    # By the chance itself: the drawn lines run between whole counts and would alarm too soon.
    chance = min(bdtr(k, n, target), bdtrc(k - 1, n, target))
    lies = INSIDE
    for level, words in ((INNER, BEYOND_INNER), (OUTER, BEYOND_OUTER)):
        if chance <= (1 - level) / 2:
            lies = words
    return FunnelPoint(name, k, n, k / n, lies)
