"""What the pages of the catalogue show, as plain values: no template asks a question."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from django.http import Http404
from django.urls import reverse

from customers.people import name_of
from fittings import catalogue
from fittings.catalogue import (
    SHIPPED,
    Catalogue,
    CatalogueError,
    Cause,
    Fault,
    Link,
    Remedy,
    Row,
    changes,
)
from fittings.housebook import queries, words
from fittings.models import CatalogueEntry

NAMED: Final = re.compile(r"[a-z0-9.-]{1,400}")
KINDS: Final = ("coat", "waistcoat", "trousers")


@dataclass(frozen=True)
class Line:
    """A row in a list: whose it is in sign and words, and whether it is offered."""

    url: str
    title: str
    note: str
    sign: str
    whose: str
    tone: str
    retired: bool


@dataclass(frozen=True)
class Value:
    """One column of a row: the shipped value stands beside the house's where they differ."""

    name: str
    now: str
    shipped: str

    @property
    def differs(self) -> bool:
        return bool(self.shipped) and self.shipped != self.now


@dataclass(frozen=True)
class Version:
    """One entry of a row's history, and what it changed against the one before."""

    number: int
    entry: CatalogueEntry
    by: str
    what: str
    changed: Sequence[tuple[str, str, str]]


@dataclass(frozen=True)
class Place:
    """A row of the catalogue as the house has it; ``shipped`` is None for one of its own.

    ``unfit`` says why the program goes by what the house said of it no more.
    """

    book: Catalogue
    table: str
    key: str
    row: Row
    shipped: Row | None
    entries: Sequence[CatalogueEntry]
    unfit: str = ""

    @property
    def newest(self) -> CatalogueEntry | None:
        return self.entries[0] if self.entries else None

    @property
    def ours(self) -> CatalogueEntry | None:
        """What the house says of it now; None where it is as shipped."""
        return None if self.newest is None or self.newest.void else self.newest

    @property
    def retired(self) -> bool:
        return bool(self.ours and self.ours.retired)

    @property
    def offered(self) -> bool:
        return (self.table, self.key) not in self.book.retired_names

    @property
    def title(self) -> str:
        return words.title_of(self.book, self.row)

    @property
    def kind(self) -> str:
        return kind_of(self.book, self.row)

    @property
    def url(self) -> str:
        return reverse("housebook:row_detail", args=[self.table, self.key])


def find_place(table: str, key: str) -> Place:
    """404 for what the catalogue never had."""
    if not NAMED.fullmatch(key):
        raise Http404("No row has such a key.")
    house, shipped = queries.house_book(), catalogue.load().row_by_key.get((table, key))
    entries = queries.entries_of(table, key)
    unfit = next((said for entry, said in house.left_out if entry in entries), "")
    now = house.catalogue.row_by_key.get((table, key))
    # What was said of the row, not what is left of it while rows about it are retired.
    ours = _row_of(entries[0]) if entries and not entries[0].void and not unfit else None
    row = ours or shipped or now or (_row_of(entries[0]) if entries else None)
    if row is None:
        raise Http404("The catalogue has no such row.")
    row = replace(row, origin=now.origin if now else SHIPPED)
    return Place(house.catalogue, table, key, row, shipped, entries, unfit)


def kind_of(book: Catalogue, row: Row) -> str:
    if isinstance(row, Cause):
        return row.kinds[0]
    if isinstance(row, Link):
        fault = book.row_by_key.get((changes.FAULT, row.fault))
        return fault.kind if isinstance(fault, Fault) else KINDS[0]
    return row.kind


def line_of(book: Catalogue, row: Row, *, title: str = "", note: str = "") -> Line:
    table, key = changes.Change(row).name
    sign, whose, tone = words.SIGNS[row.origin]
    return Line(
        url=reverse("housebook:row_detail", args=[table, key]),
        title=title or words.title_of(book, row),
        note=note,
        sign=sign,
        whose=whose,
        tone=tone,
        retired=(table, key) in book.retired_names,
    )


def around(place: Place) -> dict[str, list[Line]]:
    """The links and remedies about a row, retired ones last."""
    book, row = place.book, place.row
    links = (*book.links, *(each for each in book.retired if isinstance(each, Link)))
    remedies = (*book.remedies, *(each for each in book.retired if isinstance(each, Remedy)))
    if isinstance(row, Fault):
        mine = [each for each in links if each.fault == row.key]
        named = [each for each in remedies if row.key in each.faults]
        return {
            "What may be behind it": [_link_line(book, each, by_cause=True) for each in mine],
            "Done for just this fault": [_remedy_line(book, each) for each in named],
        }
    if isinstance(row, Cause):
        mine = [each for each in links if each.cause == row.key]
        done = [each for each in remedies if each.cause == row.key]
        return {
            "What it shows as": [_link_line(book, each, by_cause=False) for each in mine],
            "What is done for it": [_remedy_line(book, each) for each in done],
        }
    joined: list[tuple[str, str]] = [(changes.CAUSE, row.cause)]
    joined += [(changes.FAULT, key) for key in faults_named(row)]
    found = (book.row_by_key.get(name) for name in joined)
    return {"What it joins": [line_of(book, each) for each in found if each is not None]}


def faults_named(row: Link | Remedy) -> tuple[str, ...]:
    return (row.fault,) if isinstance(row, Link) else row.faults


def _link_line(book: Catalogue, row: Link, *, by_cause: bool) -> Line:
    title = book.cause_name(row.cause) if by_cause else book.fault_label(row.fault)
    side = {"L": ", left only", "R": ", right only"}.get(row.side, "")
    return line_of(
        book, row, title=title, note=words.STRENGTH_WORDS.get(row.strength, row.strength) + side
    )


def _remedy_line(book: Catalogue, row: Remedy) -> Line:
    return line_of(
        book, row, title=f"{words.work_words(row)} ({row.kind})", note=words.rule_words(row)
    )


def values_beside(place: Place) -> list[Value]:
    """The row column by column, the shipped value beside the house's where the house has one."""
    now = words.values_of(place.book, place.row)
    before = words.values_of(place.book, place.shipped) if place.shipped else {}
    if place.row.origin == SHIPPED:
        before = {}
    return [Value(name, said, before.get(name, "")) for name, said in now.items()]


def history(place: Place) -> list[Version]:
    """Every version of a row, newest first, with what it changed against the one before it."""
    found: list[Version] = []
    before = place.shipped
    for number, entry in enumerate(reversed(place.entries), start=1):
        now = place.shipped if entry.void else _row_of(entry)
        found.append(
            Version(
                number=number,
                entry=entry,
                by=name_of(entry.by),
                what=_what(entry, before),
                changed=_changes(place.book, before, now),
            )
        )
        before = now
    return found[::-1]


def _row_of(entry: CatalogueEntry) -> Row | None:
    try:
        return queries.change_of(entry).row
    except CatalogueError:
        return None  # the program has other columns than when it was kept


def _what(entry: CatalogueEntry, before: Row | None) -> str:
    if entry.void:
        return "put back as shipped"
    if entry.retired:
        return "retired"
    return "changed" if before else "added"


def _changes(
    book: Catalogue, before: Row | None, now: Row | None
) -> Sequence[tuple[str, str, str]]:
    if before is None or now is None:
        return ()
    old, new = words.values_of(book, before), words.values_of(book, now)
    return [(name, old[name], new[name]) for name in new if old[name] != new[name]]


def listed(book: Catalogue, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The faults of a kind by zone and its causes, as asked for."""
    kind, zone = asked.get("kind") or KINDS[0], asked.get("zone", "")
    retired = [row for row in book.retired if isinstance(row, Fault | Cause)]
    faults = [row for row in (*book.faults, *retired) if isinstance(row, Fault)]
    causes = [row for row in (*book.causes, *retired) if isinstance(row, Cause)]
    zones = [
        (each, _lines(book, asked, [f for f in faults if (f.kind, f.zone) == (kind, each.key)]))
        for each in book.zones_of(kind)
        if zone in ("", each.key)
    ]
    behind = [] if zone else [row for row in causes if kind in row.kinds]
    return {
        "kind": kind,
        "zones": [each for each in zones if each[1]],
        "causes": _lines(book, asked, behind),
    }


def _lines(book: Catalogue, asked: Mapping[str, Any], rows: Iterable[Row]) -> list[Line]:
    wanted = str(asked.get("q", "")).casefold().split()
    found = []
    for row in rows:
        line = line_of(book, row, note=row.sign if isinstance(row, Fault) else _note(row))
        said = f"{line.title} {line.note}".casefold()
        if all(word in said for word in wanted) and _asked_for(line, str(asked.get("only", ""))):
            found.append(line)
    return found


def _note(row: Row) -> str:
    return row.words if isinstance(row, Cause) else ""


def _asked_for(line: Line, only: str) -> bool:
    if only == "retired":
        return line.retired
    return only != "house" or line.whose != words.SIGNS[SHIPPED][1]
