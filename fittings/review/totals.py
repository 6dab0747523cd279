"""What ``facts`` says by group and month, added up by group, by month or altogether."""

import datetime
from collections.abc import Iterable, Mapping

from fittings.review.asking import Asked, Counts, Sums
from fittings.review.facts import Key, Left


def by_group(found: Mapping[Key, tuple[int, int]]) -> Counts:
    """The months of each group added up; groups with nothing to count left out."""
    counts: Counts = {}
    for (group, _), (hits, among) in found.items():
        if among:
            k, n = counts.get(group, (0, 0))
            counts[group] = (k + hits, n + among)
    return counts


def by_month(found: Mapping[Key, tuple[int, int]]) -> dict[datetime.date, tuple[int, int]]:
    """The groups of each month added up."""
    sums: dict[datetime.date, tuple[int, int]] = {}
    for (_, month), (hits, among) in found.items():
        k, n = sums.get(month, (0, 0))
        sums[month] = (k + hits, n + among)
    return sums


def named_months(found: Mapping[Key, tuple[int, int]], asked: Asked) -> list[tuple[str, int, int]]:
    """(month, numerator, denominator) of every month asked about, by its name."""
    sums = by_month(found)
    return [(f"{month:%Y-%m}", *sums.get(month, (0, 0))) for month in asked.months]


def added(pairs: Iterable[tuple[int, int]]) -> tuple[int, int]:
    """All numerators and all denominators."""
    hits, among = 0, 0
    for k, n in pairs:
        hits, among = hits + k, among + n
    return hits, among


def looks(found: Mapping[Key, Left]) -> Sums:
    """Group -> (garments, the fittings they took, the sum of the squares of those)."""
    sums: Sums = {}
    for (group, _), left in found.items():
        if left.delivered:
            count, total, squares = sums.get(group, (0, 0, 0))
            sums[group] = (
                count + left.delivered,
                total + left.looks,
                squares + left.squares,
            )
    return sums


def watching(found: Mapping[Key, Left]) -> int:
    """How many delivered garments are still in their watch."""
    return sum(left.watching for left in found.values())
