"""How well a measure repeats: the technical error of measurement, from points read twice.

With d the first reading less the second of each of N pairs, it is sqrt(sum d^2 / 2N), the error
of one reading (Anthropometry, Apparel Sizing and Design, p. 34). It says nothing of a slant that
both readings share. Its interval takes the readings as normal, so that sum d^2 over twice the
error's square follows chi-squared with N degrees of freedom (Wilson and Hilferty's approximation,
Proceedings of the National Academy of Sciences 17, 1931; from memory).
"""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import sqrt
from statistics import NormalDist
from typing import Final, TypeVar

from customers.change import kind_of
from customers.lengths import NM, Length

LEVEL: Final = 0.05
FEWEST: Final = 5  # pairs: below that the interval spans more than a factor of two either way
Group = TypeVar("Group", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Pair:
    """One point of one body read twice by one hand at one time."""

    point: str
    measurer: int
    taken_on: date
    first: Length
    second: Length


@dataclass(frozen=True, slots=True)
class Repeat:
    """The technical error of ``pairs`` pairs and its interval; all None where there are too few."""

    pairs: int
    error: Length | None = None
    low: Length | None = None
    high: Length | None = None

    @property
    def too_few(self) -> bool:
        return self.error is None

    def text(self, unit: str) -> str:
        """The error, and how many pairs it rests on."""
        if self.error is None:
            return f"{self.pairs}: too few to tell" if self.pairs else "none"
        return f"{_fine(self.error, unit)} ({self.pairs} pairs)"

    def range_text(self, unit: str) -> str:
        if self.low is None or self.high is None:
            return ""
        return f"{_fine(self.low, unit)} to {_fine(self.high, unit)}"


def technical_error(differences: Sequence[Length], level: float = LEVEL) -> Repeat:
    """The technical error of measurement of pairs that differ by so much, signs not minded."""
    pairs = len(differences)
    if pairs < FEWEST:
        return Repeat(pairs)
    squares = sum(d.nm**2 for d in differences)
    quantiles = [_chi_squared(share, pairs) for share in (1 - level / 2, level / 2)]
    low, high = (Length(round(sqrt(squares / 2 / quantile))) for quantile in quantiles)
    return Repeat(pairs, Length(round(sqrt(squares / (2 * pairs)))), low, high)


def by_group(pairs: Iterable[Pair], group: Callable[[Pair], Group]) -> dict[Group, Repeat]:
    """The technical error of each group of pairs: by measurer and point, by year, by both."""
    found: dict[Group, list[Length]] = {}
    for pair in pairs:
        found.setdefault(group(pair), []).append(pair.first - pair.second)
    return {name: technical_error(differences) for name, differences in found.items()}


def wanders(point: str, repeat: Repeat) -> bool | None:
    """Whether the tape wanders: even the interval's low end is above the published error.

    None where the pairs are too few, or the point is chosen and not measured.
    """
    kind = kind_of(point)
    if repeat.low is None or not kind.limit:
        return None
    return float(repeat.low.mm) > kind.spread


def _chi_squared(share: float, degrees: int) -> float:
    """The quantile of chi-squared; for five degrees and more within two in a hundred."""
    part = 2 / (9 * degrees)
    return float(degrees * (1 - part + NormalDist().inv_cdf(share) * sqrt(part)) ** 3)


def published(point: str, unit: str) -> str:
    """The error of one reading that the published limits come to; empty for what is chosen."""
    kind = kind_of(point)
    return _fine(Length(round(kind.spread * NM["mm"])), unit) if kind.limit else ""


def _fine(length: Length, unit: str) -> str:
    """To half a millimetre or 1/32 in: an error is smaller than what a tape shows."""
    return length.text(unit, Fraction(1, 32) if unit == "in" else Fraction(1, 20))
