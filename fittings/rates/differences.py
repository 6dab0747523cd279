"""Two groups, or two periods: the difference with its interval, and what may be said of it.

Method 10 of R. G. Newcombe, "Interval estimation for the difference between independent
proportions: comparison of eleven methods", Stat. Med. 17 (1998) 873-890. How many more it takes:
J. L. Fleiss, "Statistical Methods for Rates and Proportions" (1981), chapter 3, with its correction
for continuity, for groups of unlike size.
"""

from dataclasses import dataclass
from math import ceil, sqrt
from statistics import NormalDist

from fittings.rates.proportions import LEVEL, TOO_FEW, Proportion

# Four times in five is the usual sureness a trial is planned for (Fleiss, chapter 3).
SURENESS = 0.8
# A house that would have to cut more than this to know will not know. Common practice, no source.
MOST_MORE = 5000


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
        """``-12 points (likely -30 to +7)``, points of a hundred; or that there are too few.

        To a tenth where a range that leaves out nothing would else seem to end at nothing.
        """
        if self.too_few or self.value is None or self.low is None or self.high is None:
            return TOO_FEW
        parts = [part * 100 for part in (self.value, self.low, self.high)]
        tenth = 1 if self.real and 0 in map(round, parts[1:]) else None
        value, low, high = (f"{round(part, tenth):+}" for part in parts)
        return f"{value} points (likely {low} to {high})"


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


def compare(first: Proportion, second: Proportion, then: str = "before") -> str:
    """A plain sentence: both counts, the difference with its interval, and whether it says much.

    ``then`` names the second: "before", "the others".
    """
    apart = difference(first, second)
    counts = f"{first.k} of {first.n}, {then} {second.k} of {second.n}"
    if apart.too_few or apart.value is None:
        return f"{counts}: {TOO_FEW}."
    if apart.real:
        turn = "more" if apart.value > 0 else "less"
        return f"{counts}: {apart.words()}. That is {turn}, beyond what chance alone makes."
    more = more_to_tell(first, second)
    if more is None:
        wait = "So small a difference no number of garments the house makes would show."
    else:
        wait = f"If it is as large as it looks, about {more} more of each would tell."
    return f"{counts}: {apart.words()}. Chance alone makes as much. {wait}"


def more_to_tell(first: Proportion, second: Proportion) -> int | None:
    """How many more of each group would show the difference as it stands, four times in five.

    None when the rates are equal or it takes more than ``MOST_MORE``.
    """
    if first.rate is None or second.rate is None or first.rate == second.rate:
        return None
    more = garments_to_tell(first.rate, second.rate) - min(first.n, second.n)
    return max(more, 1) if more <= MOST_MORE else None


def garments_to_tell(
    rate: float,
    other: float,
    level: float = LEVEL,
    times_as_many: float = 1.0,
    sureness: float = SURENESS,
) -> int:
    """The size of a group that shows its rate against that of others with that sureness.

    The others are ``times_as_many``. Raises ValueError when the rates are equal or outside 0 to 1.
    """
    if not (0 <= rate <= 1 and 0 <= other <= 1) or rate == other:
        raise ValueError(f"two different rates from 0 to 1 are needed, not {rate} and {other}")
    alarm, power = NormalDist().inv_cdf((1 + level) / 2), NormalDist().inv_cdf(sureness)
    ratio, apart = times_as_many, abs(rate - other)
    middle = (rate + ratio * other) / (ratio + 1)
    spread = alarm * sqrt((ratio + 1) * middle * (1 - middle)) + power * sqrt(
        ratio * rate * (1 - rate) + other * (1 - other)
    )
    size = spread**2 / (ratio * apart**2)
    return ceil(size / 4 * (1 + sqrt(1 + 2 * (ratio + 1) / (size * ratio * apart))) ** 2)
