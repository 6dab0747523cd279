"""A few garments' needs at one place put together: robust, the newest weighing most. Pure.

The location is Huber's M-estimator (P. J. Huber, "Robust estimation of a location parameter",
Ann. Math. Statist. 35, 1964, 73-101) with weights and a scale that is known beforehand, solved
exactly. The spread mixes what was seen with what is expected of a fitter's chalk, as if
`PRIOR_GARMENTS` garments had shown that before (scaled inverse chi-squared prior; the interval is
Student's).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from scipy.special import stdtrit

from garments.seams import EIGHTH

# A fitter chalks and pins to the eighth: common practice, no source.
NOISE: Final = EIGHTH.nm
# Beyond one eighth from the rest a garment pulls no harder, however far off it is. With weights
# from 0.6 to 1 one garment then moves two that agree by 1/8 in at the most.
BEND: Final = EIGHTH.nm
HALF_LIFE: Final = 5.0  # years; figures change slowly: common practice, no source
# Over a half, so that no single garment outvotes two, however old those are.
LEAST_WEIGHT: Final = 0.6
PRIOR_GARMENTS: Final = 4  # how firmly NOISE is believed: common practice, no source
LEVEL: Final = 0.95


@dataclass(frozen=True, slots=True)
class Estimate:
    """Where the values lie and between what limits, all in nanometres."""

    value: float
    low: float
    high: float


def weight(years: float, trust: float = 1.0) -> float:
    """What a garment of so many years ago counts, from 0.6 to 1. `trust` is of its judgement."""
    return max(LEAST_WEIGHT, trust * float(0.5 ** (max(years, 0.0) / HALF_LIFE)))


def huber(values: Sequence[float], weights: Sequence[float], bend: float = BEND) -> float:
    """The weighted Huber location: where the pulls, each at most `bend`, are in balance.

    Where a whole stretch is in balance, its middle. ValueError without a value.
    """
    if not values:
        raise ValueError("There is nothing to put together.")
    # Between these points the pull is a straight line that never rises.
    knots = sorted({value + way * bend for value in values for way in (-1, 1)})
    pulls = [_pull(knot, values, weights, bend) for knot in knots]
    slack = 1e-9 * bend * sum(weights)
    level = [knot for knot, pull in zip(knots, pulls, strict=True) if abs(pull) <= slack]
    if level:
        return (level[0] + level[-1]) / 2
    right = next(i for i, pull in enumerate(pulls) if pull < 0)
    left = right - 1
    share = pulls[left] / (pulls[left] - pulls[right])
    return knots[left] + share * (knots[right] - knots[left])


def _pull(at: float, values: Sequence[float], weights: Sequence[float], bend: float) -> float:
    return sum(
        w * max(-bend, min(bend, value - at)) for value, w in zip(values, weights, strict=True)
    )


def estimate(values: Sequence[float], weights: Sequence[float]) -> Estimate:
    """The need at one place from each garment's, with the limits it lies in 95 times in 100."""
    value = huber(values, weights)
    total = sum(weights)
    # Kish's effective number: garments that weigh less tell less.
    effective = total**2 / sum(w * w for w in weights)
    seen = sum(w * (x - value) ** 2 for x, w in zip(values, weights, strict=True))
    freedom = PRIOR_GARMENTS + len(values) - 1
    spread = sqrt((PRIOR_GARMENTS * NOISE**2 + seen) / freedom)
    half = float(stdtrit(freedom, (1 + LEVEL) / 2)) * spread / sqrt(effective)
    return Estimate(value, value - half, value + half)
