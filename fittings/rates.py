"""Rates that do not lie: every figure carries its interval and the count behind it.

Pure: counts in, frozen dataclasses out. A rate is a number in 0..1; words() makes it per cent.
Groups come back in the order of their names, never of their rates: with forty coats a year per
cutter most differences are luck, and a league table would name people for it.

Sources: E. B. Wilson, "Probable inference, the law of succession, and statistical inference",
J. Am. Stat. Assoc. 22 (1927) 209-212, as method 3 of R. G. Newcombe, "Two-sided confidence
intervals for the single proportion", Stat. Med. 17 (1998) 857-872, and method 10 of his "Interval
estimation for the difference between independent proportions", ibid. 873-890; Student, "The
probable error of a mean", Biometrika 6 (1908) 1-25.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist
from typing import Generic, TypeVar

from scipy.special import stdtrit

# Common practice, no source: under five cases even a right interval is read as more than it says.
FEWEST_TO_TELL = 5

LEVEL = 0.95

TOO_FEW = "too few to tell"


@dataclass(frozen=True, slots=True)
class Proportion:
    """k of n with its Wilson interval; unpacks as (rate, low, high), all None when n is 0."""

    k: int
    n: int
    rate: float | None
    low: float | None
    high: float | None

    def __iter__(self) -> Iterator[float | None]:
        return iter((self.rate, self.low, self.high))

    @property
    def too_few(self) -> bool:
        return self.n < FEWEST_TO_TELL

    @property
    def shown(self) -> str:
        """The rate in whole per cent, or that there are too few to tell."""
        if self.too_few or self.rate is None:
            return TOO_FEW
        return f"{_percent(self.rate)} %"

    @property
    def likely(self) -> str:
        """The interval as "1-17 %" with an en dash; empty for a small group."""
        if self.too_few or self.low is None or self.high is None:
            return ""
        return f"{self.low * 100:.0f}–{self.high * 100:.0f} %"

    def words(self) -> str:
        """Counts alone for a small group, else "1 of 29 (3 %, likely 1-17 %)"."""
        if self.too_few:
            return f"{TOO_FEW}: {self.k} of {self.n}"
        return f"{self.k} of {self.n} ({self.shown}, likely {self.likely})"


@dataclass(frozen=True, slots=True)
class Mean:
    """The mean of whole counts, its sample standard deviation and Student t interval.

    count values sum to total. mean is None without a value; sd, low and high below two values.
    """

    count: int
    total: int
    mean: float | None
    sd: float | None
    low: float | None
    high: float | None

    @property
    def too_few(self) -> bool:
        return self.count < FEWEST_TO_TELL

    @property
    def shown(self) -> str:
        """The mean to one place, or that there are too few to tell."""
        return TOO_FEW if self.too_few else f"{self.mean:.1f}"

    @property
    def likely(self) -> str:
        """The interval; never one of no width, which would read as certainty."""
        if self.too_few:
            return ""
        return f"{self.low:.1f}–{self.high:.1f}" if self.sd else f"all {self.count} alike"

    def words(self) -> str:
        """The mean with its range and count, "2.6 (likely 1.5-3.7, 5 counted)"."""
        if self.too_few:
            return f"{TOO_FEW}: {self.count} counted"
        if not self.sd:
            return f"{self.shown} ({self.likely})"
        return f"{self.shown} (likely {self.likely}, {self.count} counted)"


@dataclass(frozen=True, slots=True)
class Difference:
    """The rate of one group less that of another, with its interval.

    All None when a group is empty; ``too_few`` when either is small.
    """

    value: float | None
    low: float | None
    high: float | None
    too_few: bool

    @property
    def real(self) -> bool:
        """Whether chance alone would hardly make it: the interval leaves out nothing."""
        if self.too_few or self.low is None or self.high is None:
            return False
        return self.low > 0 or self.high < 0

    def words(self) -> str:
        """``-12 points (likely -30 to 7)``, points of a hundred; or that there are too few."""
        if self.too_few or self.value is None or self.low is None or self.high is None:
            return TOO_FEW
        value, low, high = (round(part * 100) for part in (self.value, self.low, self.high))
        return f"{value:+d} points (likely {low:+d} to {high:+d})"


Figure = TypeVar("Figure", Proportion, Mean)


@dataclass(frozen=True, slots=True)
class Row(Generic[Figure]):
    """One group of a table: its name and its figure."""

    name: str
    figure: Figure


def proportion(k: int, n: int, level: float = LEVEL) -> Proportion:
    """Wilson score interval of k out of n, without continuity correction (Newcombe's method 3).

    Raises ValueError when k or n is not a whole number, is negative, k exceeds n, or level is not
    strictly between 0 and 1.
    """
    _check_count("k", k)
    _check_count("n", n)
    _check_level(level)
    if k > n:
        raise ValueError(f"k cannot exceed n: {k} of {n}")
    if n == 0:
        return Proportion(k, n, None, None, None)

    # The lower tail, because 1 - (1 - level) / 2 rounds to 1 at levels very near 1.
    z = -NormalDist().inv_cdf((1 - level) / 2)
    rate = k / n
    centre = (k + z * z / 2) / (n + z * z)
    half = z / (n + z * z) * sqrt(k * (n - k) / n + z * z / 4)
    # Rounding may put a limit on the wrong side of the rate, or of 0 and 1: at k = 0 it is 0.
    low = max(0.0, min(centre - half, rate))
    high = min(1.0, max(centre + half, rate))
    return Proportion(k, n, rate, low, high)


def difference(first: Proportion, second: Proportion) -> Difference:
    """The first rate less the second, by Newcombe's hybrid of the two Wilson intervals (method 10).

    Both must have been made at the same level.
    """
    too_few = first.too_few or second.too_few
    rate, low, high = first
    other, other_low, other_high = second
    if rate is None or low is None or high is None:
        return Difference(None, None, None, too_few)
    if other is None or other_low is None or other_high is None:
        return Difference(None, None, None, too_few)
    value = rate - other
    down = sqrt((rate - low) ** 2 + (other_high - other) ** 2)
    up = sqrt((high - rate) ** 2 + (other - other_low) ** 2)
    return Difference(value, value - down, value + up, too_few)


def rows(groups: Mapping[str, tuple[int, int]], level: float = LEVEL) -> list[Row[Proportion]]:
    """One Row for each group name -> (k, n), by name: nobody is ranked by a rate."""
    return [Row(name, proportion(*groups[name], level)) for name in sorted(groups, key=_by_name)]


def mean_rows(groups: Mapping[str, tuple[int, int, int]], level: float = LEVEL) -> list[Row[Mean]]:
    """The same for means: group name -> the three sums of mean_from_sums."""
    return [
        Row(name, mean_from_sums(*groups[name], level)) for name in sorted(groups, key=_by_name)
    ]


def mean_with_count(values: Iterable[int], level: float = LEVEL) -> Mean:
    """Mean of whole counts, such as the fittings each garment took; see mean_from_sums."""
    counted = list(values)
    for value in counted:
        _check_count("value", value)
    squares = sum(value * value for value in counted)
    return mean_from_sums(len(counted), sum(counted), squares, level)


def mean_from_sums(count: int, total: int, squares: int, level: float = LEVEL) -> Mean:
    """The same from the three sums a database can give: of 1, of the value, of its square.

    The sums are whole, so the spread is taken exactly and cannot come out negative by rounding.
    Raises ValueError for sums that no whole counts have, and as proportion does.
    """
    for name, value in (("count", count), ("total", total), ("squares", squares)):
        _check_count(name, value)
    _check_level(level)
    # n * sum(x^2) - sum(x)^2 = n * sum of squared distances from the mean.
    spread = count * squares - total * total
    if spread < 0 or (count == 0 and squares):
        raise ValueError(f"no counts have these sums: {count}, {total}, {squares}")
    if count == 0:
        return Mean(0, 0, None, None, None, None)
    mean = total / count
    if count == 1:
        return Mean(1, total, mean, None, None, None)
    sd = sqrt(spread / (count * (count - 1)))
    half = -float(stdtrit(count - 1, (1 - level) / 2)) * sd / sqrt(count)
    return Mean(count, total, mean, sd, mean - half, mean + half)


def _by_name(name: str) -> tuple[str, str]:
    return name.casefold(), name


def _percent(rate: float) -> str:
    """Whole per cent, but some is never shown as none, nor nearly all as all."""
    shown = f"{rate * 100:.0f}"
    if shown == "0" and rate > 0:
        return "<1"
    if shown == "100" and rate < 1:
        return ">99"
    return shown


def _check_count(name: str, value: object) -> None:
    # True is an int in Python; as a count it is a mistake of the caller.
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise ValueError(f"{name} must be a whole number, 0 or more, not {value!r}")


def _check_level(level: float) -> None:
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, not {level!r}")
