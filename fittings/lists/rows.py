"""One row of a list becomes a plan of what it would bring, or findings of what is wrong with it.

Each finding names the row, the column as the file heads it, what was found, and what would be
right. A row is one customer, with one set of measures, one open order, both, or neither; the same
customer may have more rows. What the ledger's own fields refuse (a name too long, a telephone that
is no number) is found by those fields, not here a second time.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from customers.lengths import Length, LengthError, parse
from customers.numbers import tidy
from customers.points import Point
from customers.searching import fold
from fittings.lists import words
from fittings.lists.columns import MEANINGS, Column, measure_of
from fittings.lists.days import DayError, read_day
from fittings.lists.files import LONGEST_CELL

LONGEST_SHOWN: Final = 80  # characters of what was found
MOST_NAMED: Final = 8  # names of the house told beside what none of them is
STEP: Final = 1  # a span is told in whole inches, centimetres or millimetres
PERSON_FIELDS: Final = ("title", "given_name", "family_name", "phone", "email", "notes")
ORDER_FIELDS: Final = (
    "kind",
    "cut",
    "cloth",
    "cloth_pattern",
    "cutter",
    "ordered_on",
    "promised_on",
    "stage",
    "order_notes",
)
SET_FIELDS: Final = ("taken_by", "set_note")


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong. ``kind`` groups like with like; ``says`` tells what would be right."""

    row: int
    column: str
    found: str
    kind: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    title: str = ""
    given_name: str = ""
    family_name: str = ""
    phone: str = ""
    email: str = ""
    unit: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenSet:
    """A set of measures; ``taken_by`` is a person's key, None for whoever brings the list in."""

    taken_on: datetime.date
    taken_by: int | None
    unit: str
    note: str
    measures: Mapping[tuple[str, str], Length]


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An open order; ``cut`` and ``cutter`` are keys of the house's own rows."""

    kind: str
    cut: int
    cloth: str
    cloth_pattern: str
    cutter: int
    ordered_on: datetime.date
    promised_on: datetime.date | None
    stage: str
    notes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a row would bring. ``doubts`` are questions that keep nothing from being written."""

    row: int
    number: str = ""
    reference: str = ""
    person: Person = field(default_factory=Person)
    taken: TakenSet | None = None
    order: Order | None = None
    doubts: tuple[str, ...] = ()

    @property
    def notes(self) -> str:
        """What is kept about the customer: the list's reference stays readable there."""
        reference = f"Reference in the list: {self.reference}" if self.reference else ""
        return "\n".join(filter(None, (self.person.notes, reference)))


class Named(NamedTuple):
    """A cut or a person of the house: its name as the house writes it, and its key."""

    name: str
    pk: int


Names = Mapping[str, Named]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What a row is read by: the house's cuts and people by folded name, days, and the answers.

    ``unit`` is that of measures which say none, ``day_order`` which of day and month comes first,
    ``taken_on`` the day of measures without one, ``cutter`` that of orders without one.
    """

    today: datetime.date
    oldest: datetime.date
    furthest: datetime.date
    cuts: Mapping[str, Names]
    people: Names
    cutters: Names
    unit: str
    day_order: str = ""
    taken_on: datetime.date | None = None
    cutter: int | None = None


class _Row:
    """The cells of one row by meaning, and the findings as they come up."""

    def __init__(self, row: int, cells: Sequence[str], columns: Sequence[Column]) -> None:
        self.row = row
        self.findings: list[Finding] = []
        self.heading = {column.means: column.heading for column in columns if column.means}
        self.cells = {
            column.means: cell
            for column, cell in zip(columns, cells, strict=False)
            if column.means and cell
        }
        self.units = {column.means: column.unit for column in columns if column.means}
        if any(cells[len(columns) :]):
            self.find(
                "",
                "cells",
                f"The row has {len(cells)} cells, the heading {len(columns)}: put a cell that holds"
                " the sign between cells in quotation marks.",
                found=next(cell for cell in cells[len(columns) :] if cell),
            )
        for means, cell in list(self.cells.items()):
            if len(cell) > LONGEST_CELL:
                self.find(means, "long", f"A cell has at most {LONGEST_CELL} characters.")
                del self.cells[means]

    def get(self, means: str) -> str:
        return self.cells.get(means, "")

    def find(self, means: str, kind: str, says: str, found: str | None = None) -> None:
        """Note that the cell of ``means`` is wrong; a column the file lacks has our name."""
        own = MEANINGS[means].name if means in MEANINGS else "the whole row"
        shown = self.get(means) if found is None else found
        heading = self.heading.get(means, own)
        self.findings.append(Finding(self.row, heading, shown[:LONGEST_SHOWN], kind, says))

    def day(self, means: str, facts: Facts) -> datetime.date | None:
        text = self.get(means)
        if not text:
            return None
        try:
            day = read_day(text, facts.day_order)
        except DayError as error:
            self.find(means, "day", str(error))
            return None
        if day < facts.oldest:
            self.find(means, "old day", "That is more than a hundred years ago: look at the year.")
            return None
        return day

    def past_day(self, means: str, facts: Facts) -> datetime.date | None:
        day = self.day(means, facts)
        if day and day > facts.today:
            self.find(means, "future day", "That day has not come yet: look at the year.")
            return None
        return day


def read_row(
    row: int, cells: Sequence[str], columns: Sequence[Column], facts: Facts
) -> tuple[Plan, list[Finding]]:
    """The plan of one row, and what is wrong with it; a plan with findings is not to be written."""
    read = _Row(row, cells, columns)
    taken, doubts = _taken(read, facts)
    plan = Plan(
        row=row,
        number=_number(read),
        reference=read.get("reference"),
        person=_person(read),
        taken=taken,
        order=_order(read, facts),
        doubts=doubts,
    )
    return plan, read.findings


def _number(read: _Row) -> str:
    text = read.get("number")
    try:
        return tidy(text) if text else ""
    except ValueError as error:
        read.find("number", "number", f"{error} One of ours looks like C1042-P.")
        return ""


def _person(read: _Row) -> Person:
    values = {name: read.get(name) for name in PERSON_FIELDS}
    if whole := read.get("name"):
        given, family = _parted(whole)
        values["given_name"] = values["given_name"] or given
        values["family_name"] = values["family_name"] or family
    if not values["family_name"] and not read.get("number"):
        read.find("family_name", "no name", "A customer has at least a family name.")
    reads_in = words.meant(words.UNITS, read.get("reads_in"))
    if read.get("reads_in") and reads_in not in {"in", "cm"}:
        read.find("reads_in", "unit", "Write in or cm.")
    return Person(unit=reads_in if reads_in in {"in", "cm"} else "", **values)


def _parted(whole: str) -> tuple[str, str]:
    """Given and family name: before and after the comma turned round, else by the last space."""
    if "," in whole:
        family, given = whole.split(",", 1)
        return given.strip(), family.strip()
    given, _, family = whole.rpartition(" ")
    return given.strip(), family


def _taken(read: _Row, facts: Facts) -> tuple[TakenSet | None, tuple[str, ...]]:
    unit = words.meant(words.UNITS, read.get("unit"))
    if read.get("unit") and not unit:
        read.find("unit", "unit", "Write in, cm or mm.")
    measures, doubts, written = _measures(read, unit or facts.unit)
    day, before = read.past_day("taken_on", facts), len(read.findings)
    taken_by = _one_of(read, "taken_by", facts.people, "nobody of the house", "measurer")
    if not written:
        if name := next(filter(read.get, SET_FIELDS), ""):
            read.find(name, "no measures", "The row has no measure to go with it.")
        return None, ()
    if not read.get("taken_on"):
        day = _day_of_all(read, facts)
    if day is None or not measures or len(read.findings) > before:
        return None, ()
    own = "in" if next(iter(written.values())) == "in" else "cm"
    return (
        TakenSet(
            taken_on=day, taken_by=taken_by, unit=own, note=read.get("set_note"), measures=measures
        ),
        tuple(doubts),
    )


def _day_of_all(read: _Row, facts: Facts) -> datetime.date | None:
    """The day said for every row without one; a finding where none was said."""
    if facts.taken_on is None:
        where = "" if "taken_on" in read.heading else ": say which column has it, or a day"
        read.find("taken_on", "no day", f"Measures need the day they were taken on{where}.")
    return facts.taken_on


def _measures(
    read: _Row, unit: str
) -> tuple[dict[tuple[str, str], Length], list[str], dict[str, str]]:
    """Lengths by point and side, doubts in words, and by column the unit each was read in."""
    measures: dict[tuple[str, str], Length] = {}
    doubts: list[str] = []
    written: dict[str, str] = {}
    for means, text in read.cells.items():
        place = measure_of(means)
        if place is None:
            continue
        point, sides = place
        written[means] = read.units[means] or unit
        try:
            length = parse(text, written[means])
        except LengthError as error:
            read.find(means, "length", str(error))
            continue
        if length <= Length():
            read.find(means, "nothing", "A measure is more than nothing: leave the cell empty.")
            continue
        for side in sides:
            if measures.get((point.key, side), length) != length:
                read.find(means, "twice", "Another column of this row gives another figure for it.")
            measures[point.key, side] = length
        doubts += _doubt(point, length, written[means])
    return measures, doubts, written


def _doubt(point: Point, length: Length, unit: str) -> list[str]:
    if point.low <= length <= point.high:
        return []
    span = f"{point.low.to(unit, STEP)} to {point.high.text(unit, STEP)}"
    return [f"{point.name} {length.text(unit)}: most are {span}. Is the unit right?"]


def _order(read: _Row, facts: Facts) -> Order | None:
    given = [name for name in ORDER_FIELDS if read.get(name)]
    if not given:
        return None
    before = len(read.findings)
    kind = words.meant(words.KINDS, read.get("kind"))
    if not kind:
        missing = "" if read.get("kind") else f" “{read.heading[given[0]]}” belongs to an order."
        read.find("kind", "kind", f"Write {words.offered(words.KINDS)}.{missing}")
    cut = _cut(read, kind, facts) if kind else None
    if not read.get("cloth"):
        read.find("cloth", "no cloth", "An order needs its cloth, such as: grey worsted, 11 oz.")
    ordered_on = read.past_day("ordered_on", facts) or facts.today
    values = {
        "cloth_pattern": _word(read, "cloth_pattern", words.PATTERNS, "plain"),
        "stage": _word(read, "stage", words.STAGES, "ordered"),
    }
    cutter = _cutter(read, facts)
    promised_on = _promise(read, ordered_on, facts)
    if cut is None or cutter is None or len(read.findings) > before:
        return None
    return Order(
        kind=kind,
        cut=cut,
        cloth=read.get("cloth"),
        cutter=cutter,
        ordered_on=ordered_on,
        promised_on=promised_on,
        notes=read.get("order_notes"),
        **values,
    )


def _promise(read: _Row, ordered_on: datetime.date, facts: Facts) -> datetime.date | None:
    """A promise may lie behind us: the order is late, and that must be seen."""
    day = read.day("promised_on", facts)
    if day and day < ordered_on:
        read.find("promised_on", "promise", "Nothing is promised for a day before it was ordered.")
    elif day and day > facts.furthest:
        read.find("promised_on", "promise", "That is more than five years away: look at the year.")
    return day


def _cut(read: _Row, kind: str, facts: Facts) -> int | None:
    """The cut named, or the only one there is for the kind."""
    cuts = facts.cuts.get(kind, {})
    text = read.get("cut")
    if not text and len(cuts) == 1:
        return next(iter(cuts.values())).pk
    if fold(text) in cuts:
        return cuts[fold(text)].pk
    what = f"There is no cut of that name for {kind}" if text else "An order needs its cut"
    read.find("cut", "cut", f"{what}: {_names(cuts)}.")
    return None


def _one_of(read: _Row, means: str, people: Names, nobody: str, what: str) -> int | None:
    if not (text := read.get(means)):
        return None
    found = people.get(fold(text))
    if found is None:
        read.find(means, what, f"That is {nobody}: {_names(people)}.")
        return None
    return found.pk


def _cutter(read: _Row, facts: Facts) -> int | None:
    """Who cut it: the row's own, or the one said for every row without; a finding for neither."""
    if read.get("cutter"):
        return _one_of(read, "cutter", facts.cutters, "no cutter of the house", "cutter")
    if facts.cutter is None:
        read.find("cutter", "no cutter", f"An order needs its cutter: {_names(facts.cutters)}.")
    return facts.cutter


def _word(read: _Row, means: str, table: Mapping[str, tuple[str, ...]], usual: str) -> str:
    text = read.get(means)
    key = words.meant(table, text) if text else usual
    if not key:
        read.find(means, means, f"Write {words.offered(table)}.")
    return key


def _names(known: Names) -> str:
    """The names that may be written."""
    names = sorted(row.name for row in known.values())[:MOST_NAMED]
    return f"write {' or '.join(names)}" if names else "there is none yet; enter one first"
