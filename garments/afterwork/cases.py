"""What an alteration was to move and what it moved, from measures before and after. Pure.

A case is one alteration done between two measures of the same point, taken in the same way, with
nothing else in between that moves the point. The amount asked stands at the seam, so what the
measure moved is turned into what the seam must have moved: divided by how many times the point
moves with it (`garments.seams.moves`, both edges and both sides counted). Two lines of the same
operation at the same seam, left and right, are one case. Several points of one case tell about one
piece of work and are averaged into it: the count is of work, not of readings.
"""

import datetime
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from customers.lengths import Length
from garments import seams

# Further off than that at one seam it is another measure or other work, no lean of the bench:
# the house's own limit, no source. Such a case is counted and left out.
MISTAKEN = Length.inches(0.75)


@dataclass(frozen=True, slots=True)
class Reading:
    """One point of the garment measured; `where` is how, so that like is set against like."""

    point: str
    side: str
    where: str
    value: Length
    at: datetime.datetime


@dataclass(frozen=True, slots=True)
class Done:
    """One line the bench has done, and when it said so. `key` tells one from another."""

    key: Hashable
    operation: str
    seam: str
    side: str
    amount: Length
    at: datetime.datetime


@dataclass(frozen=True, slots=True, order=True)
class Work:
    """What is learnt about: an operation at a seam of a kind of garment."""

    kind: str
    operation: str
    seam: str


@dataclass(frozen=True, slots=True)
class Case:
    """One piece of work measured before and after. Lengths are at the seam, on each side done.

    `off` is what it came to beyond what was `asked`, below nothing when it came out short.
    `points` are those that tell it.
    """

    work: Work
    keys: frozenset[Hashable]
    asked: Length
    off: Length
    points: tuple[tuple[str, str], ...]
    at: datetime.datetime

    @property
    def came(self) -> Length:
        return self.asked + self.off

    @property
    def mistaken(self) -> bool:
        return abs(self.off) > MISTAKEN


@dataclass(frozen=True, slots=True)
class Found:
    """The cases of one garment, and how many pairs of measures told of more than one work."""

    cases: tuple[Case, ...]
    mixed: int


@dataclass(frozen=True, slots=True)
class _Told:
    """One pair of measures: who was at work, and how far off it came at the seam, in nm."""

    done: tuple[Done, ...]
    place: tuple[str, str]
    off: Fraction
    at: datetime.datetime


def cases_of(
    kind: str,
    readings: Iterable[Reading],
    done: Iterable[Done],
    cut_again: Iterable[datetime.datetime] = (),
) -> Found:
    """The cases of one garment of this `kind`.

    A pair of measures with a piece `cut_again` in between tells nothing; one with works of two
    kinds is counted as mixed. UnknownKeyError for an operation or seam the kind has not.
    """
    works, cuts = list(done), list(cut_again)
    series: dict[tuple[str, str, str], list[Reading]] = defaultdict(list)
    for row in readings:
        series[row.point, row.side, row.where].append(row)
    told: dict[frozenset[Hashable], list[_Told]] = defaultdict(list)
    mixed = 0
    for (point, side, _), rows in series.items():
        for before, after in pairwise(sorted(rows, key=lambda row: row.at)):
            if any(before.at < at <= after.at for at in cuts):
                continue
            here = _at_work(kind, works, (point, side), before, after)
            if len({(row.operation, row.seam) for row, _ in here}) > 1:
                mixed += 1
            elif here:
                pair = _tell(here, (point, side), before, after)
                told[frozenset(row.key for row in pair.done)].append(pair)
    cases = sorted(_cases(kind, told), key=lambda case: case.at)
    return Found(tuple(cases), mixed)


def _at_work(
    kind: str, works: Iterable[Done], place: tuple[str, str], before: Reading, after: Reading
) -> list[tuple[Done, Fraction]]:
    """What was done in between that moves the place, each with how many times its amount."""
    between = [row for row in works if before.at < row.at <= after.at]
    moved = [
        (row, seams.moves(kind, row.operation, row.seam, row.side).get(place, Fraction(0)))
        for row in between
    ]
    return [(row, times) for row, times in moved if times]


def _tell(
    here: list[tuple[Done, Fraction]], place: tuple[str, str], before: Reading, after: Reading
) -> _Told:
    predicted = sum((times * row.amount.nm for row, times in here), Fraction(0))
    moved = (after.value - before.value).nm
    times = sum((times for _, times in here), Fraction(0))
    return _Told(tuple(row for row, _ in here), place, (moved - predicted) / times, after.at)


def _cases(kind: str, told: dict[frozenset[Hashable], list[_Told]]) -> Iterator[Case]:
    for keys, pairs in told.items():
        first = pairs[0].done[0]
        amounts = [row.amount.nm for row in pairs[0].done]
        off = sum((pair.off for pair in pairs), Fraction(0)) / len(pairs)
        yield Case(
            work=Work(seams.read_as(kind), first.operation, first.seam),
            keys=keys,
            asked=Length(round(Fraction(sum(amounts), len(amounts)))),
            off=Length(round(off)),
            points=tuple(dict.fromkeys(pair.place for pair in pairs)),
            at=max(pair.at for pair in pairs),
        )
