"""One rate with its interval and the count behind it.

E. B. Wilson, "Probable inference, the law of succession, and statistical inference", J. Am. Stat.
Assoc. 22 (1927) 209-212, as method 3 of R. G. Newcombe, "Two-sided confidence intervals for the
single proportion", Stat. Med. 17 (1998) 857-872.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from statistics import NormalDist

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
        return f"{percent(self.rate)} %"

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


def proportion(k: int, n: int, level: float = LEVEL) -> Proportion:
    """Wilson score interval of k out of n, without continuity correction (Newcombe's method 3).

    Raises ValueError when k or n is not a whole number, is negative, k exceeds n, or level is not
    strictly between 0 and 1.
    """
    check_count("k", k)
    check_count("n", n)
    check_level(level)
    if k > n:
        raise ValueError(f"k cannot exceed n: {k} of {n}")
    return _wilson(k, n, level)


@lru_cache(maxsize=20_000)
def _wilson(k: int, n: int, level: float) -> Proportion:
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


def percent(rate: float) -> str:
    """Whole per cent, but some is never shown as none, nor nearly all as all."""
    shown = f"{rate * 100:.0f}"
    if shown == "0" and rate > 0:
        return "<1"
    if shown == "100" and rate < 1:
        return ">99"
    return shown


def check_count(name: str, value: object) -> None:
    """Raises ValueError unless ``value`` is a whole number, 0 or more."""
    # True is an int in Python; as a count it is a mistake of the caller.
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise ValueError(f"{name} must be a whole number, 0 or more, not {value!r}")


def check_level(level: float) -> None:
    """Raises ValueError unless ``level`` lies strictly between 0 and 1."""
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, not {level!r}")
