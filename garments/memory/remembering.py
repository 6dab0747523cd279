"""The garments put together: the changes the next pattern needs, each with how sure it is. Pure."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from customers.lengths import Length
from garments import seams
from garments.memory.estimating import estimate, weight
from garments.memory.families import operation_at
from garments.memory.needs import LeftOut, Past, Place, Told, all_places, needs_of

STEPS: Final = MappingProxyType({"in": ("in", Fraction(1, 8)), "cm": ("mm", Fraction(3))})
YEAR: Final = 365.25  # days
ENOUGH: Final = 3  # garments, to be sure of anything: common practice, no source
CLOSE: Final = Length.inches(Fraction(1, 4))  # either way; wider is not sure: no source


class Sure(StrEnum):
    """How sure a change is. The value is kept with the answer; the words are `SURE_WORDS`."""

    SURE = "sure"
    FAIRLY = "fairly"
    UNSURE = "unsure"


SURE_WORDS: Final = MappingProxyType(
    {Sure.SURE: "sure", Sure.FAIRLY: "fairly sure", Sure.UNSURE: "not sure"}
)


@dataclass(frozen=True, slots=True)
class Seen:
    """What one garment needed at a place, with a sign; `doubted` when no cure stands behind it."""

    garment: str
    amount: Length
    doubted: bool = False


@dataclass(frozen=True, slots=True)
class Need:
    """One change of the next pattern: `amount` on each side named, by what each garment needed.

    `low` to `high` is where the need lies 95 times in 100; below nothing is the other way.
    """

    kind: str
    operation: str
    seam: str
    side: str
    amount: Length
    low: Length
    high: Length
    seen: tuple[Seen, ...]
    sure: Sure

    @property
    def count(self) -> int:
        return len(self.seen)

    @property
    def words(self) -> str:
        return change_words(self.kind, self.operation, self.seam)

    def amount_words(self, unit: str) -> str:
        """``3/8 in each side``: never a number without how it is meant."""
        return told_amount(self.amount, self.operation, self.seam, self.side, unit)

    def because(self, unit: str) -> str:
        """``3 garments needed 1/4, 3/8 and 3/8 in; likely 1/8 to 1/2 in``."""
        if self.count == 1:
            return f"one garment alone needed {self._told(self.seen[0].amount, unit)}"
        amounts = [self._told(seen.amount, unit, bare=True) for seen in self.seen]
        needed = f"{', '.join(amounts[:-1])} and {amounts[-1]} {unit}"
        low, high = (self._told(length, unit, bare=True) for length in (self.low, self.high))
        return f"{self.count} garments needed {needed}; likely {low} to {high} {unit}"

    def sure_words(self, unit: str) -> str:
        """How sure, and why, in one sentence."""
        told = f"{SURE_WORDS[self.sure].capitalize()}: {self.because(unit)}"
        doubted = sum(seen.doubted for seen in self.seen)
        if not doubted:
            return told
        return f"{told}; {'' if self.count == 1 else f'{doubted} of them '}not judged cured"

    def _told(self, length: Length, unit: str, *, bare: bool = False) -> str:
        step = Fraction(1, 8) if unit == "in" else Fraction(1, 10)  # what a tape shows
        return length.to(unit, step) if bare else length.text(unit, step)


@dataclass(frozen=True, slots=True)
class Memory:
    """What the next pattern needs, in working order; what helped and changes no pattern; doubts.

    `garments` counts the past garments that were asked.
    """

    needs: tuple[Need, ...]
    left_out: tuple[LeftOut, ...]
    warnings: tuple[str, ...]
    garments: int


def remember(
    kind: str,
    garments: Iterable[Past],
    *,
    on: datetime.date,
    unit: str = "in",
    cut: str = "",
) -> Memory:
    """What the next garment of this kind needs in its pattern, cut on the day `on`.

    Amounts come in whole steps of `unit`: 1/8 in, or 3 mm for "cm". `cut` names the house cut the
    next one is made by: a garment made by another is told in a warning, and so is a figure that
    has changed since.
    UnknownKindError for a kind that does not exist.
    """
    order = {seam.key: number for number, seam in enumerate(seams.seams(kind))}
    past = sorted(garments, key=lambda garment: (garment.cut_on, garment.name))
    told = [needs_of(garment) for garment in past]
    found = [
        need
        for place in all_places(told)
        if (need := _need_at(kind, place, list(zip(past, told, strict=True)), on, unit))
    ]
    needs = sorted(_joined(found), key=lambda need: (order[need.seam], need.operation, need.side))
    counted = {seen.garment for need in needs for seen in need.seen}
    return Memory(
        needs=tuple(seams.working_order(needs)),
        left_out=tuple(row for one in told for row in one.left_out),
        warnings=tuple(_warnings([g for g in past if g.name in counted], cut)),
        garments=len(past),
    )


def _need_at(
    kind: str, place: Place, rows: Sequence[tuple[Past, Told]], on: datetime.date, unit: str
) -> Need | None:
    """The change at one place; None when it comes to nothing or cannot be made there."""
    seen, weights = [], []
    for garment, told in rows:
        if place in told.silent or not (garment.settled or place in told.needs):
            continue
        needed, trust = told.needs.get(place, (0, 1.0))
        seen.append(Seen(garment.name, Length(needed), doubted=trust < 1))
        weights.append(weight((on - garment.cut_on).days / YEAR, trust))
    if not seen:
        return None
    whole = estimate([row.amount.nm for row in seen], weights)
    amount = Length(round(whole.value)).rounded(*STEPS[unit])
    more = amount > Length()
    operation = operation_at(place.family, kind, place.seam, more=more)
    if not amount or not operation:
        return None
    # All is told in the direction of the change: the operation says which that is.
    sign = 1 if more else -1
    low, high = sorted(Length(round(sign * limit)) for limit in (whole.low, whole.high))
    return Need(
        kind=kind,
        operation=operation,
        seam=place.seam,
        side=place.side,
        amount=abs(amount),
        low=low,
        high=high,
        seen=tuple(replace(row, amount=row.amount * sign) for row in seen),
        sure=_sure(len(seen), low, high, unit),
    )


def _sure(count: int, low: Length, high: Length, unit: str) -> Sure:
    # As it is told: limits that read "0 to 1/2 in" may be nothing.
    if count == 1 or low.rounded(*STEPS[unit]) <= Length():
        return Sure.UNSURE
    return Sure.SURE if count >= ENOUGH and high - low <= CLOSE * 2 else Sure.FAIRLY


def _joined(needs: Iterable[Need]) -> Iterator[Need]:
    """Left and right that need the same become one line of both sides, by the less sure of them."""
    by_line: dict[tuple[str, str, Length], dict[str, Need]] = {}
    for need in needs:
        line = by_line.setdefault((need.operation, need.seam, need.amount), {})
        line[need.side] = need
    for line in by_line.values():
        if {"L", "R"} <= set(line):
            pair = (line.pop("L"), line.pop("R"))
            # No left before right here: what is mirrored must come out mirrored.
            yield replace(max(pair, key=_doubt), side="both")
        yield from line.values()


def _doubt(need: Need) -> tuple[Length, int, tuple[tuple[Length, str], ...]]:
    """What the less sure of two has more of, down to a tie that makes no difference."""
    doubted = sum(seen.doubted for seen in need.seen)
    return need.high - need.low, doubted, tuple((row.amount, row.garment) for row in need.seen)


def _warnings(counted: Sequence[Past], cut: str) -> Iterator[str]:
    for garment in counted:
        if garment.changed:
            points = _named([point.lower() for point in garment.changed])
            yield f"The figure has changed since {garment.name} was cut: {points}."
    others = [garment.name for garment in counted if cut and garment.cut not in ("", cut)]
    if others:
        was = "was" if len(others) == 1 else "were"
        yield f"{_named(others)} {was} made by another cut: its ease is part of what was altered."


def _named(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]


def change_words(kind: str, operation: str, seam: str) -> str:
    """``Let out side seam``; the bare keys where the tables no longer hold them."""
    try:
        return seams.work_name(kind, operation, seam)
    except seams.UnknownKeyError:
        return f"{operation} {seam}"


def told_amount(amount: Length, operation: str, seam: str, side: str, unit: str) -> str:
    """``3/8 in each side``, ``1/4 in, in all``; the side's key where the tables know it no more."""
    try:
        how = seams.operation(operation).amount_words(side, seam)
    except seams.UnknownKeyError:
        how = side
    comma = "," if how.startswith("in all") else ""
    return f"{amount.text(unit)}{comma} {how}".strip()
