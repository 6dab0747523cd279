"""The mean of whole counts with its interval.

Student, "The probable error of a mean", Biometrika 6 (1908) 1-25.
"""

from dataclasses import dataclass
from math import sqrt

from scipy.special import stdtrit

from fittings.rates.proportions import FEWEST_TO_TELL, LEVEL, TOO_FEW, check_count, check_level


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


def mean_from_sums(count: int, total: int, squares: int, level: float = LEVEL) -> Mean:
    """The mean from the three sums a database can give: of 1, of the value, of its square.

    The values are whole counts, such as the fittings each garment took. Their sums are whole too,
    so the spread is taken exactly and cannot come out negative by rounding. Raises ValueError for
    sums that no whole counts have, and as proportion does.
    """
    for name, value in (("count", count), ("total", total), ("squares", squares)):
        check_count(name, value)
    check_level(level)
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
