"""Which months an entry touched: each kind of moment in each month has a mark of its own.

A month is marked where a counted row of it is another than before, and where the ledger itself is
asked: there for every moment of the garments touched, for the ledger does not say what was new.
"""

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from fittings.review.sql import Piece, fetch, moment_of, run

Row = tuple[Any, ...]
Rows = Sequence[Row]
# What a count hangs on: when a garment left the work, was first looked at, had a fault seen and was
# looked at, when an alteration was first judged and was decided, and when a piece was cut again.
KINDS = ("left", "looked", "seen", "look", "judged", "altered", "recut")


@dataclass(frozen=True, slots=True)
class Marks:
    """The mark of everything, of the epoch, and of the months touched since, by kind."""

    mark: str
    epoch: str
    months: dict[str, str]

    def get(self, kind: str, month: str) -> str:
        """The name of the state of a kind in a month; a month not touched goes by the epoch's."""
        return self.months.get(f"{kind} {month}", self.epoch)


@dataclass(frozen=True, slots=True)
class Counted:
    """The rows of one count, of the garments touched.

    Of a garment (garment, left, looked, ...), of an alteration (judged,), of what was seen (seen,
    ...), of its faults and of its stages (garment, ...).
    """

    garments: Rows
    alterations: Rows
    seen: Rows
    faults: Rows
    stages: Rows


def read_marks() -> Marks:
    """All of them in one statement: an epoch read apart from its months could name an older one."""
    rows = fetch(
        Piece(
            "SELECT c.mark, c.epoch, m.kind || ' ' || m.month, m.mark FROM fittings_countmark c "
            "LEFT JOIN fittings_monthmark m ON 1 = 1"
        )
    )
    return Marks(str(rows[0][0]), str(rows[0][1]), {row[2]: row[3] for row in rows})


def mark_months(before: Counted, after: Counted, scope: Piece, mark: str) -> None:
    """Name the state of every month anew that the counts of the garments in ``scope`` touch."""
    garments = {row[0] for row in _changed(before.faults, after.faults)}
    garments |= {row[0] for row in _changed(before.stages, after.stages)}
    left = _changed(before.garments, after.garments)
    left += [row for row in after.garments if row[0] in garments]
    moments = {
        "left": [row[1] for row in left],
        "looked": [row[2] for row in left],
        "seen": [row[0] for row in _changed(before.seen, after.seen)],
        "judged": [row[0] for row in (*before.alterations, *after.alterations)],
    }
    for kind, at in fetch(_in_the_ledger(scope)):
        moments.setdefault(kind, []).append(at)
    touched = {(kind, month) for kind, at in moments.items() for month in _months(at)}
    if touched:
        rows = ", ".join(["(%s, %s, %s)"] * len(touched))
        values = tuple(value for kind, month in touched for value in (kind, str(month), mark))
        insert = f"INSERT INTO fittings_monthmark (kind, month, mark) VALUES {rows} "
        keep = "ON CONFLICT (kind, month) DO UPDATE SET mark = excluded.mark"
        run(Piece(insert + keep, values))
    run(Piece("UPDATE fittings_countmark SET mark = %s", (mark,)))


def begin_epoch(mark: str) -> None:
    """Name the state of all months anew."""
    run(Piece("DELETE FROM fittings_monthmark"))
    run(Piece("UPDATE fittings_countmark SET mark = %s, epoch = %s", (mark, mark)))


def _changed(before: Rows, after: Rows) -> list[Row]:
    """The rows that are there no more, or newly, one of several alike too."""
    old, new = Counter(before), Counter(after)
    return [*(old - new), *(new - old)]


def _in_the_ledger(scope: Piece) -> Piece:
    """(kind, moment) of what is read from the ledger itself, which loses no row."""
    held = "JOIN fittings_fitting f ON f.id = c.fitting_id WHERE c."
    recut = Piece(scope.text.replace("garment_id", "replaces_id", 1), scope.values)
    return (
        "SELECT 'altered', at FROM garments_alteration WHERE "
        + scope
        + f" UNION SELECT 'look', f.started_at FROM fittings_fitting_garments c {held}"
        + scope
        + f" UNION SELECT 'look', f.started_at FROM fittings_causetaken c {held}"
        + scope
        + " UNION SELECT 'recut', at FROM garments_remake WHERE "
        + recut
    )


def _months(moments: Iterable[Any]) -> set[datetime.date]:
    return {timezone.localdate(moment_of(at)).replace(day=1) for at in {*moments} if at}
