"""Whether a kind of work comes out short or over: bias, spread and count. Pure.

The bias is the mean of what it came to beyond what was asked, with Student's t interval for a mean
("Student", The probable error of a mean, Biometrika 6, 1908); the spread is the standard deviation
of single cases (n - 1). The tape's own error is in the spread, twice, since every case is two
measures; it does not lean.
"""

import enum
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from scipy.special import stdtrit

from customers.lengths import Length
from garments.afterwork.cases import Case, Work

LEVEL = 0.95
FEWEST = 5  # cases; below it the interval is wider than the spread itself: the house's own limit


class Verdict(enum.Enum):
    """What the cases say. A lean is told only when the whole interval lies on one side."""

    TOO_FEW = "too few to tell"
    SHORT = "comes out short"
    OVER = "comes out over"
    NO_LEAN = "no lean to be seen"


@dataclass(frozen=True, slots=True)
class Lean:
    """How a kind of work comes out. Lengths at the seam, below nothing is short of what was asked.

    `spread`, `low` and `high` are None where fewer than two cases are there to tell them.
    `left_out` counts the cases too far off to be the work's own.
    """

    count: int
    bias: Length
    spread: Length | None = None
    low: Length | None = None
    high: Length | None = None
    left_out: int = 0

    @property
    def verdict(self) -> Verdict:
        if self.count < FEWEST or self.low is None or self.high is None:
            return Verdict.TOO_FEW
        if self.high < Length(0):
            return Verdict.SHORT
        return Verdict.OVER if self.low > Length(0) else Verdict.NO_LEAN


def lean_of(cases: Iterable[Case]) -> Lean:
    """Bias, spread and interval of some cases, the mistaken left out and counted."""
    rows = list(cases)
    offs = [case.off.nm for case in rows if not case.mistaken]
    left_out, count = len(rows) - len(offs), len(offs)
    if not count:
        return Lean(0, Length(0), left_out=left_out)
    mean = math.fsum(offs) / count
    bias = Length(round(mean))
    if count == 1:
        return Lean(1, bias, left_out=left_out)
    spread = math.sqrt(math.fsum((off - mean) ** 2 for off in offs) / (count - 1))
    reach = float(stdtrit(count - 1, (1 + LEVEL) / 2)) * spread / math.sqrt(count)
    return Lean(
        count,
        bias,
        Length(round(spread)),
        Length(round(mean - reach)),
        Length(round(mean + reach)),
        left_out,
    )


def leans_of(cases: Iterable[Case]) -> Mapping[Work, Lean]:
    """The lean of every work there is a case of: by kind, then as the cases come."""
    return _parted(cases, attrgetter("work"))


def leans_by_operation(cases: Iterable[Case]) -> Mapping[str, Lean]:
    """The lean of each operation over all its seams and kinds, for where one seam has too few."""
    return _parted(cases, attrgetter("work.operation"))


def _parted(cases: Iterable[Case], by: Callable[[Case], Any]) -> dict[Any, Lean]:
    parts: dict[Any, list[Case]] = defaultdict(list)
    for case in cases:
        parts[by(case)].append(case)
    return {part: lean_of(rows) for part, rows in sorted(parts.items())}
