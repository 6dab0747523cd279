"""Whether what was proposed came true as often as it said. Pure.

The score is G. W. Brier, "Verification of forecasts expressed in terms of probability", Monthly
Weather Review 78 (1950) 1-3, in its form for one event: the mean square of forecast minus outcome.
Its parts are A. H. Murphy, "A new vector partition of the probability score", J. Appl. Meteorol.
12 (1973) 595-600: score = reliability - resolution + uncertainty, exact where the forecasts of a
bin are alike.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from fittings.rates import Proportion, proportion

BINS = 10
# Common practice, no source: below this a diagram shows the luck of the draw, not the tool.
FEWEST_LOOKS = 20

Pair = tuple[float, bool]


@dataclass(frozen=True, slots=True)
class Bin:
    """Proposals of about one probability: their mean, and how many of them came true."""

    low: float
    high: float
    forecast: float
    came: Proportion


@dataclass(frozen=True, slots=True)
class Score:
    """The Brier score of ``count`` proposals, 0 best; ``reference`` always says the base rate."""

    brier: float
    reference: float
    base_rate: float
    count: int

    @property
    def skill(self) -> float | None:
        """How much of the reference's score is saved, 1 at best; None where all came out alike."""
        return 1 - self.brier / self.reference if self.reference else None


def brier(pairs: Sequence[Pair]) -> Score:
    """Score of (probability said, came true); ValueError without one, or outside 0 to 1."""
    if not pairs:
        raise ValueError("There is no score of nothing.")
    if any(not 0 <= said <= 1 for said, _ in pairs):
        raise ValueError("A probability lies between 0 and 1.")
    rate = fmean(came for _, came in pairs)
    return Score(
        brier=fmean((said - came) ** 2 for said, came in pairs),
        reference=rate * (1 - rate),
        base_rate=rate,
        count=len(pairs),
    )


def reliability(pairs: Iterable[Pair], bins: int = BINS) -> list[Bin]:
    """The proposals by tenths of what they said, empty tenths left out; 1 falls in the last."""
    sorted_in: dict[int, list[Pair]] = {}
    for said, came in pairs:
        sorted_in.setdefault(min(int(said * bins), bins - 1), []).append((said, came))
    return [
        Bin(
            low=number / bins,
            high=(number + 1) / bins,
            forecast=fmean(said for said, _ in found),
            came=proportion(sum(came for _, came in found), len(found)),
        )
        for number, found in sorted(sorted_in.items())
    ]


def difference(ours: Sequence[Pair], theirs: Sequence[Pair]) -> tuple[float, float, float]:
    """Mean Brier of ``ours`` minus ``theirs`` over the same events, with its 95 % interval.

    Normal, from the spread of the differences. ValueError unless they are as many, two or more.
    """
    apart = [
        (our - came) ** 2 - (their - came) ** 2
        for (our, came), (their, _) in zip(ours, theirs, strict=True)
    ]
    mean = fmean(apart)
    half = 1.96 * stdev(apart) / sqrt(len(apart))
    return mean, mean - half, mean + half
