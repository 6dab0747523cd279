"""What will become of every row as things stand: the choices carried through to the rows they bind.

A row of the same customer as an earlier one goes where that one goes. So leaving a customer out
leaves out all their rows, and a customer joined to another takes them along.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from fittings.bringing.services import NEW, OUT, SAME, Outcome
from fittings.models import Upload

Proposals = Mapping[int, list[dict[str, Any]]]


@dataclass(frozen=True)
class Fate:
    """Where a row's customer comes from.

    An existing ``customer``, or ``leader``, the row that makes them. Neither: left out, or waits.
    """

    customer: int | None = None
    leader: int | None = None
    out: bool = False
    waits: str = ""

    @property
    def goes_in(self) -> bool:
        return self.customer is not None or self.leader is not None


@dataclass
class Fates:
    """Every row's fate, and the counts the preview shows."""

    by_row: dict[int, Fate] = field(default_factory=dict)
    findings: int = 0
    doubts: int = 0
    counts: Counter[str] = field(default_factory=Counter)

    @property
    def waiting(self) -> int:
        return self.counts["wrong"] + self.counts["asks"]

    @property
    def going_in(self) -> int:
        return sum(1 for fate in self.by_row.values() if fate.goes_in)


class _Line(NamedTuple):
    """Of a kept row, what its fate follows from: no plan is read for it."""

    row: int
    outcome: str
    choice: str
    customer: int | None
    first: int | None
    measures: int
    ordered: bool
    doubts: int
    found: int


def fates_of(upload: Upload) -> Fates:
    """What becomes of all rows of ``upload``; two queries."""
    fates = Fates()
    named = upload.rows_read.filter(choice__startswith="same:")
    proposals = dict(named.values_list("row", "proposals"))
    for values in upload.rows_read.order_by("row").values_list(*_Line.__annotations__):
        line = _Line(*values)
        fate = _fate(line, fates.by_row, proposals)
        fates.by_row[line.row] = fate
        _count(fates, line, fate)
    return fates


def _fate(line: _Line, earlier: Mapping[int, Fate], proposals: Proposals) -> Fate:
    if line.choice == OUT:
        return Fate(out=True)
    if line.outcome == Outcome.JOINS:
        return Fate(customer=line.customer)
    if line.outcome == Outcome.AGAIN:
        return _as(earlier.get(line.first or 0))
    if line.outcome == Outcome.NEW or line.choice == NEW:
        return Fate(leader=line.row)
    return _chosen(line, earlier, proposals)


def _chosen(line: _Line, earlier: Mapping[int, Fate], proposals: Proposals) -> Fate:
    match = SAME.fullmatch(line.choice)
    if match is None:
        return Fate(waits=line.outcome)
    known = proposals[line.row][int(match[1])]["known"]
    return Fate(customer=known["pk"]) if known["pk"] else _as(earlier.get(known["row"]))


def _as(other: Fate | None) -> Fate:
    """The fate of the earlier row; while that one waits, this one has nothing to ask."""
    if other is None or other.out:
        return Fate(out=True)
    return Fate(customer=other.customer, leader=other.leader, waits="first" if other.waits else "")


def _count(fates: Fates, line: _Line, fate: Fate) -> None:
    counts = fates.counts
    if fate.out:
        counts["out"] += 1
        return
    fates.doubts += line.doubts
    fates.findings += line.found
    if fate.waits:
        counts[fate.waits] += 1
    if fate.goes_in:
        counts["new"] += fate.leader == line.row
        counts["joined"] += fate.customer is not None
        counts["sets"] += line.measures > 0
        counts["measures"] += line.measures
        counts["orders"] += line.ordered
