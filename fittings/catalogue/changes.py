"""The house's own rows laid over the shipped ones: added, changed, retired.

A row is told from others by what it joins, never by its place in a file, so that a change still
finds its row when the program ships more of them.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, Any, Final, TypeVar

from customers.lengths import Length
from fittings.catalogue import reading
from fittings.catalogue.rows import (
    CHANGED,
    HOUSE,
    STRENGTHS,
    Cause,
    Fault,
    Link,
    Remedy,
    Row,
    SpotTest,
)

if TYPE_CHECKING:
    from fittings.catalogue.book import Catalogue

FAULT, CAUSE, LINK, REMEDY = "fault", "cause", "link", "remedy"
READERS: Final[Mapping[str, Callable[[Mapping[str, Any]], Row]]] = {
    FAULT: partial(reading.build, Fault),
    CAUSE: partial(reading.build, Cause),
    LINK: partial(reading.build, Link),
    REMEDY: partial(reading.build, Remedy),
}
OWN: Final = "house-"  # begins the keys of the house's faults and causes, and of none shipped

Name = tuple[str, str]  # table and key
Kind = TypeVar("Kind", Fault, Cause, Link, Remedy)


class ChangeRefusedError(ValueError):
    """The catalogue would be wrong with the change; ``sentences`` say in what."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__(" ".join(f"{text}." for text in sentences))
        self.sentences = tuple(sentences)


@dataclass(frozen=True)
class Change:
    """What the house says of one row: its values, or that it is retired with these.

    ``first`` puts a remedy before the others of its cause.
    """

    row: Row
    retired: bool = False
    first: bool = False

    @property
    def name(self) -> Name:
        return _name(self.row)


def table_of(row: Row) -> str:
    return type(row).__name__.lower()


def key_of(row: Row) -> str:
    """What tells a row from the others of its table; fit for an address."""
    if isinstance(row, Link):
        return ".".join(part for part in (row.cause, row.fault, row.side) if part)
    if isinstance(row, Remedy):
        work = (row.cause, row.kind, row.operation, row.seam, row.side)
        return ".".join((*work, *sorted(row.faults))).rstrip(".")
    return row.key


def columns(row: Row) -> dict[str, Any]:
    """The row's columns as the data files write them: what ``read`` makes a row of again."""
    return {
        reading.FILED.get(field.name, field.name): _plain(getattr(row, field.name))
        for field in fields(row)
        if field.name != "origin" and getattr(row, field.name) is not None
    }


def read(table: str, data: Mapping[str, Any]) -> Row:
    """A row from the columns it was kept in. CatalogueError when they fit the table no more."""
    return READERS[table](data)


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(value)
    if isinstance(value, Length):
        return str(value)
    return str(value) if isinstance(value, Fraction) else value


def overlay(book: "Catalogue", edits: Iterable[Change]) -> "Catalogue":
    """The shipped catalogue with the changes laid over; of two changes of one row, the later holds.

    What hangs on a retired row goes with it and comes back with it: the links of a fault or cause,
    a cause in the kinds where no fault left can show it, a remedy for nothing that is left.
    """
    newest = {edit.name: edit for edit in edits}
    if not newest:
        return book
    faults, causes = _laid(book.faults, newest), _laid(book.causes, newest)
    links, remedies = _laid(book.links, newest), _laid(book.remedies, newest)
    out = {name for name, edit in newest.items() if edit.retired}
    left_faults = tuple(row for row in faults if not _goes(row, out))
    left_links = tuple(row for row in links if not _goes(row, out))
    left_causes = tuple(_left_causes(causes, faults, links, left_links, out))
    without = (_pairs(causes) - _pairs(left_causes)) | (_joins(links) - _joins(left_links))
    left_remedies = tuple(row for row in remedies if not _goes(row, out | without))
    before: tuple[Row, ...] = (*faults, *causes, *links, *remedies)
    left: tuple[Row, ...] = (*left_faults, *left_causes, *left_links, *left_remedies)
    kept = {_name(row) for row in left}
    return replace(
        book,
        faults=left_faults,
        causes=left_causes,
        links=_strongest_first(left_links),
        remedies=_usual_first(left_remedies, newest),
        tests=tuple(_left_tests(book.tests, {row.key for row in left_causes})),
        retired=tuple(row for row in before if _name(row) not in kept),
    )


def _left_tests(tests: Iterable[SpotTest], causes: AbstractSet[str]) -> Iterator[SpotTest]:
    """The tests on the spot, saying nothing of causes the house goes by no more."""
    for row in tests:
        yes = {key: step for key, step in row.yes.items() if key in causes}
        if yes:
            yield row if len(yes) == len(row.yes) else replace(row, yes=yes)


def _name(row: Row) -> Name:
    return table_of(row), key_of(row)


def _laid(rows: tuple[Kind, ...], newest: Mapping[Name, Change]) -> tuple[Kind, ...]:
    """The rows of one table with the house's values, its own after the shipped ones."""
    ours = {name: edit.row for name, edit in newest.items() if isinstance(edit.row, type(rows[0]))}
    laid: list[Kind] = []
    for row in rows:
        ours_now = ours.pop(_name(row), None)
        laid.append(row if ours_now is None else _changed(row, ours_now))
    laid.extend(replace(row, origin=HOUSE) for row in ours.values())
    return tuple(laid)


def _changed(shipped: Kind, ours: Kind) -> Kind:
    same = replace(ours, origin=shipped.origin)
    return shipped if same == shipped else replace(ours, origin=CHANGED)


def _goes(row: Row, out: AbstractSet[Name]) -> bool:
    """Whether a row is retired, or hangs on nothing but what is."""
    if _name(row) in out:
        return True
    if isinstance(row, Link):
        return (CAUSE, row.cause) in out or (FAULT, row.fault) in out
    if isinstance(row, Remedy):
        shown = {(row.cause, key) for key in row.faults}
        return (row.cause, row.kind) in out or (bool(shown) and shown <= out)
    return False


def _left_causes(
    causes: tuple[Cause, ...],
    faults: tuple[Fault, ...],
    links: tuple[Link, ...],
    left_links: tuple[Link, ...],
    out: AbstractSet[Name],
) -> Iterator[Cause]:
    """The causes not retired, each in the kinds where it has not lost its last link."""
    kind_of = {row.key: row.kind for row in faults}
    shown = {(row.cause, kind_of.get(row.fault)) for row in links}
    lost = shown - {(row.cause, kind_of.get(row.fault)) for row in left_links}
    for row in causes:
        kinds = tuple(kind for kind in row.kinds if (row.key, kind) not in lost)
        if kinds and _name(row) not in out:
            yield replace(row, kinds=kinds)


def _pairs(causes: tuple[Cause, ...]) -> AbstractSet[Name]:
    return {(row.key, kind) for row in causes for kind in row.kinds}


def _joins(links: tuple[Link, ...]) -> AbstractSet[Name]:
    return {(row.cause, row.fault) for row in links}


def _strongest_first(links: tuple[Link, ...]) -> tuple[Link, ...]:
    """Fault by fault as before, the likeliest cause first; of equals, the shipped one."""
    order: dict[str, int] = {}
    for row in links:
        order.setdefault(row.fault, len(order))
    return tuple(sorted(links, key=lambda row: (order[row.fault], -STRENGTHS.get(row.strength, 0))))


def _usual_first(remedies: tuple[Remedy, ...], newest: Mapping[Name, Change]) -> tuple[Remedy, ...]:
    first = {name for name, edit in newest.items() if edit.first}
    return tuple(sorted(remedies, key=lambda row: _name(row) not in first))
