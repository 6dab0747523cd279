"""Groups in the order of their names, never of their rates.

With forty coats a year per cutter most differences are luck, and a league table would name people
for it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from fittings.rates.means import Mean, mean_from_sums
from fittings.rates.proportions import Proportion, proportion

Figure = TypeVar("Figure", Proportion, Mean)


@dataclass(frozen=True, slots=True)
class Row(Generic[Figure]):
    """One group of a table: its name and its figure."""

    name: str
    figure: Figure


def rows(groups: Mapping[str, tuple[int, int]]) -> list[Row[Proportion]]:
    """One Row for each group name -> (k, n), by name: nobody is ranked by a rate."""
    return [Row(name, proportion(*groups[name])) for name in sorted(groups, key=by_name)]


def mean_rows(groups: Mapping[str, tuple[int, int, int]]) -> list[Row[Mean]]:
    """The same for means: group name -> the three sums of mean_from_sums."""
    return [Row(name, mean_from_sums(*groups[name])) for name in sorted(groups, key=by_name)]


def by_name(name: str) -> tuple[str, str]:
    """What groups are sorted by; names that differ in their capitals alone keep one order."""
    return name.casefold(), name
