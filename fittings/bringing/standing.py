"""What will become of every row as things stand: the choices carried through to the rows they bind.

A row of the same customer as an earlier one goes where that one goes. So leaving a customer out
leaves out all their rows, and a customer joined to another takes them along.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from fittings.bringing.services import NEW, OUT, SAME, Outcome
from fittings.models import Upload, UploadRow


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


def fates_of(upload: Upload) -> Fates:
    """What becomes of all rows of ``upload``; one query."""
    fates = Fates()
    for row in upload.rows_read.order_by("row"):
        fate = _fate(row, fates.by_row)
        fates.by_row[row.row] = fate
        fates.findings += len(row.findings)
        _count(fates, row, fate)
    return fates


def _fate(row: UploadRow, earlier: Mapping[int, Fate]) -> Fate:
    if row.choice == OUT:
        return Fate(out=True)
    if row.outcome == Outcome.JOINS:
        return Fate(customer=row.customer)
    if row.outcome == Outcome.AGAIN:
        return _as(earlier.get(row.first or 0))
    if row.outcome == Outcome.NEW or row.choice == NEW:
        return Fate(leader=row.row)
    return _chosen(row, earlier)


def _chosen(row: UploadRow, earlier: Mapping[int, Fate]) -> Fate:
    match = SAME.fullmatch(row.choice)
    if match is None:
        return Fate(waits=row.outcome)
    known = row.proposals[int(match[1])]["known"]
    return Fate(customer=known["pk"]) if known["pk"] else _as(earlier.get(known["row"]))


def _as(other: Fate | None) -> Fate:
    """The fate of the earlier row; while that one waits, this one has nothing to ask."""
    if other is None or other.out:
        return Fate(out=True)
    return Fate(customer=other.customer, leader=other.leader, waits="first" if other.waits else "")


def _count(fates: Fates, row: UploadRow, fate: Fate) -> None:
    counts = fates.counts
    counts["out"] += fate.out
    if fate.waits:
        counts[fate.waits] += 1
    if fate.out:
        return
    plan = row.plan
    fates.doubts += len(plan["doubts"])
    if fate.goes_in:
        counts["new"] += fate.leader == row.row
        counts["joined"] += fate.customer is not None
        counts["sets"] += plan["taken"] is not None
        counts["measures"] += len(plan["taken"]["measures"]) if plan["taken"] else 0
        counts["orders"] += plan["order"] is not None
