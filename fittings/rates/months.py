"""Month by month: limits for each month's rate, and two stated rules that say "look here".

The chart for proportions of W. A. Shewhart, as NIST/SEMATECH e-Handbook 6.3.3.2 works it: the
middle and three standard deviations either way. Where fewer than five are expected in a month that
normal curve is no guide (the handbook says so too): there the exact binomial limits of the same
chance are drawn. The rule of eight on one side is that of the Western Electric handbook (1956);
where a month falls on either side by unequal chances, as with few returns it must, eight in a row
are no signal, and a run counts by its own chance, at most that of eight heads in a row.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from math import ceil, floor, sqrt
from statistics import NormalDist

from scipy.special import bdtr, bdtrc
from scipy.stats import binom

SIGMAS = 3
WITHIN = 2 * NormalDist().cdf(SIGMAS) - 1
FEWEST_EXPECTED = 5
EIGHT_HEADS = 0.5**8
KEPT = 5_000  # months whose chances are kept: most of a chart is the chart of yesterday
RULES = (
    "a month outside its limits, which luck alone does to about one month in 370",
    "months in a row on one side of the middle, a run that luck makes in 1 of 256 or less",
)


@dataclass(frozen=True, slots=True)
class Month:
    """One month's k of n with its limits; rate and limits are None in a month without any.

    ``outside`` and ``run`` say which of the two rules it meets.
    """

    name: str
    k: int
    n: int
    rate: float | None
    low: float | None
    high: float | None
    outside: bool = False
    run: bool = False


@dataclass(frozen=True, slots=True)
class MonthlyChart:
    """The middle (None without anything) and the months in the order given."""

    middle: float | None
    months: tuple[Month, ...]

    @property
    def signals(self) -> list[str]:
        """What the two rules say, in words."""
        beyond = [month.name for month in self.months if month.outside]
        said = [f"{', '.join(beyond)}: outside the limits."] if beyond else []
        return said + [
            f"{first} to {last}: {side} the middle in a row, longer than luck makes but seldom."
            for first, last, side in self._runs_told()
        ]

    def _runs_told(self) -> Iterator[tuple[str, str, str]]:
        """Each run by its first month, its last and its side; a month without any breaks none."""
        counted = [month for month in self.months if month.n]
        for (in_run, above), together in groupby(counted, self._place):
            if in_run:
                first, *_, last = [month.name for month in together]
                yield first, last, "above" if above else "below"

    def _place(self, month: Month) -> tuple[bool, bool]:
        return month.run, month.k > month.n * (self.middle or 0)


def monthly_chart(months: Iterable[tuple[str, int, int]]) -> MonthlyChart:
    """The chart of months (name, k, n) in order; a month without any neither counts nor breaks."""
    given = list(months)
    total = sum(n for _, _, n in given)
    middle = sum(k for _, k, _ in given) / total if total else None
    if middle is None:
        return MonthlyChart(None, tuple(Month(*month, None, None, None) for month in given))
    in_runs = _runs([(k, n) for _, k, n in given], middle)
    return MonthlyChart(
        middle,
        tuple(_month(*month, middle, place in in_runs) for place, month in enumerate(given)),
    )


@lru_cache(maxsize=KEPT)
def limits(n: int, middle: float) -> tuple[float, float]:
    """Low and high for a month of n: three standard deviations, or exact where few are expected."""
    if min(middle, 1 - middle) * n >= FEWEST_EXPECTED:
        half = SIGMAS * sqrt(middle * (1 - middle) / n)
        return max(0.0, middle - half), min(1.0, middle + half)
    # Whole counts, so that a month on its limit is inside: between them the chance is larger.
    tail = (1 - WITHIN) / 2
    low, high = binom.ppf([tail, 1 - tail], n, middle)
    return max(0.0, float(low)) / n, float(high) / n


def _month(name: str, k: int, n: int, middle: float, run: bool) -> Month:  # noqa: FBT001
    if not n:
        return Month(name, k, n, None, None, None)
    low, high = limits(n, middle)
    return Month(name, k, n, k / n, low, high, not low <= k / n <= high, run)


def _runs(months: list[tuple[int, int]], middle: float) -> set[int]:
    """Places of the months in runs on one side that luck hardly makes."""
    found: set[int] = set()
    run: list[int] = []
    side, chance = 0, 1.0
    for place, (k, n) in enumerate(months):
        if not n:
            continue
        here = (k > n * middle) - (k < n * middle)
        if here != side:
            run, side, chance = [], here, 1.0
        run.append(place)
        chance *= _chance_of_side(here, n, middle)
        if side and chance <= EIGHT_HEADS:
            found.update(run)
    return found


@lru_cache(maxsize=KEPT)
def _chance_of_side(side: int, n: int, middle: float) -> float:
    """How often a month of n falls on that side of the middle, when nothing has changed."""
    # SciPy's functions themselves: its distributions take ten times as long for one chance.
    if side > 0:
        return float(bdtrc(floor(n * middle), n, middle))
    # One less than the smallest whole number not below the middle: strictly under it.
    below = ceil(n * middle) - 1
    return float(bdtr(below, n, middle)) if below >= 0 else 0.0
