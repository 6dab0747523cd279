"""The review's figures by group, read from ``facts``: each maps a group to whole counts."""

import datetime
from collections.abc import Iterable, Mapping

from fittings.review.asking import Asked, By, Counts, Group, Sums
from fittings.review.facts import Key, Left, first_judgements, left_the_work

__all__ = ["Asked", "By", "Counts", "Group", "Sums", "cures", "fittings", "remakes", "returns"]


def remakes(asked: Asked, now: datetime.datetime) -> Counts:
    """Group -> (garments cut again, garments that left the work and whose watch is over)."""
    return by_group({key: left.of("remakes") for key, left in left_the_work(asked, now).items()})


def returns(asked: Asked, now: datetime.datetime) -> Counts:
    """Group -> (garments back within the watch, garments whose watch is over)."""
    return by_group({key: left.of("returns") for key, left in left_the_work(asked, now).items()})


def still_watched(asked: Asked, now: datetime.datetime) -> int:
    """How many garments delivered in the days asked about may still come back in their watch."""
    return watching(left_the_work(asked, now))


def cures(asked: Asked) -> Counts:
    """Group -> (alterations that the first look after called cured, alterations looked at)."""
    return by_group(first_judgements(asked))


def fittings(asked: Asked, now: datetime.datetime) -> Sums:
    """Group -> (garments, the fittings they took, the sum of the squares of those)."""
    return looks(left_the_work(asked, now))


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


def added(pairs: Iterable[tuple[int, int]]) -> tuple[int, int]:
    """All numerators and all denominators."""
    hits, among = 0, 0
    for k, n in pairs:
        hits, among = hits + k, among + n
    return hits, among


def looks(found: Mapping[Key, Left]) -> Sums:
    """The sums of the fittings each garment took, the months of each group added up."""
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
