"""How measures are laid out: by group and point in the order of taking, left and right apart.

Pure: the names of the fields, and the rows of the tables of one set and of two.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Final, Generic, TypeVar

from customers.change import Change, compare
from customers.lengths import Length
from customers.points import POINTS, Point

Key = tuple[str, str]
Measures = Mapping[Key, Length]
Cell = TypeVar("Cell")

SIDES: Final = {"L": "left", "R": "right", "": ""}
OTHER_UNIT: Final = {"in": "cm", "cm": "in"}
KEYS: Final = tuple((point.key, side) for point in POINTS for side in point.sides)
SECOND: Final = "-again"


def field_name(key: Key, reading: int = 1) -> str:
    """The name of the form field of a reading: ``wrist-L``, ``wrist-L-again``."""
    point, side = key
    return (f"{point}-{side}" if side else point) + (SECOND if reading == 2 else "")  # noqa: PLR2004


@dataclass(frozen=True, slots=True)
class Line(Generic[Cell]):
    """One point and what stands in its places: one cell, or left and right."""

    point: Point
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Group(Generic[Cell]):
    name: str
    lines: tuple[Line[Cell], ...]

    @property
    def garments(self) -> list[str]:
        """The kinds that need any of its points."""
        return sorted({kind for line in self.lines for kind in line.point.garments})


def lay_out(
    cell: Callable[[Point, Key], Cell], shown: Callable[[Point], bool] = lambda _: True
) -> list[Group[Cell]]:
    """The points that are shown, in groups from top to bottom, each with its cells."""

    def lines() -> Iterator[Line[Cell]]:
        for point in filter(shown, POINTS):
            yield Line(point, tuple(cell(point, (point.key, side)) for side in point.sides))

    grouped = groupby(lines(), key=lambda line: line.point.group)
    return [Group(name, tuple(within)) for name, within in grouped]


@dataclass(frozen=True, slots=True)
class Taken:
    """One measure as it was taken: in the set's unit, small in the other, and read again."""

    side: str
    text: str
    other: str
    again: str


def lay_out_set(measures: Measures, second: Measures, unit: str) -> list[Group[Taken]]:
    """The rows of one set; points nobody took are left out."""

    def cell(_: Point, key: Key) -> Taken:
        length, again = measures.get(key), second.get(key)
        other = _text(length, OTHER_UNIT[unit])
        return Taken(SIDES[key[1]], _text(length, unit), other, _text(again, unit))

    return lay_out(cell, _any_of(measures))


@dataclass(frozen=True, slots=True)
class Compared:
    """One measure in two sets, and what the second is of the first: changed, or only read anew."""

    side: str
    one: str
    other: str
    change: Change | None

    @property
    def words(self) -> str:
        return self.change.words if self.change else ""

    @property
    def changed(self) -> bool:
        return self.change is not None and self.change.changed


def lay_out_two(one: Measures, other: Measures, unit: str) -> list[Group[Compared]]:
    """The rows of two sets side by side; what is missing from one is an empty text."""
    changes = compare(one, other, unit=unit)

    def cell(_: Point, key: Key) -> Compared:
        first, second = (_text(taken.get(key), unit) for taken in (one, other))
        return Compared(SIDES[key[1]], first, second, changes.get(key))

    return lay_out(cell, _any_of({**one, **other}))


def _text(length: Length | None, unit: str) -> str:
    return "" if length is None else length.text(unit)


def _any_of(measures: Measures) -> Callable[[Point], bool]:
    taken = {point for point, _ in measures}
    return lambda point: point.key in taken
