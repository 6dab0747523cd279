"""Which months an entry touched: each kind of moment in each month has a mark of its own.

A month is marked where a counted row of it is another than before, and where the ledger itself is
asked of what was entered: there for every moment of the garments touched, for the ledger does not
say which was new.
"""

import datetime
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

from django.utils import timezone

from fittings.review.sql import Piece, fetch, moment_of, run

Row = tuple[Any, ...]
Rows = Sequence[Row]
# What a count hangs on: when a garment left the work, was first looked at, had a fault seen and was
# looked at, when an alteration was first judged and was decided, and when a piece was cut again.
KINDS = ("left", "looked", "seen", "look", "judged", "altered", "recut")

HELD = "JOIN fittings_fitting f ON f.id = c.fitting_id"
# Only what was decided after a garment came back is asked for.
BACK = """JOIN garments_stageentry s
  ON s.garment_id = a.garment_id AND s.stage || '' = 'returned' AND s.at <= a.at"""
# What an alteration answers is another when that is struck out.
ANSWERED = """JOIN fittings_observation_alterations oa ON oa.alteration_id = c.alteration_id
  JOIN fittings_observation o ON o.id = oa.observation_id
  JOIN fittings_observation struck ON struck.strikes_id = o.id"""
# What may hang on an entry: rows of (kind, moment), and the column of their garment.
IN_THE_LEDGER = {
    "altered": [(f"'altered', a.at FROM garments_alteration a {BACK}", "a.garment_id")],
    "look": [
        (f"'look', f.started_at FROM fittings_fitting_garments c {HELD}", "c.garment_id"),
        (f"'look', f.started_at FROM fittings_causetaken c {HELD}", "c.garment_id"),
    ],
    "recut": [("'recut', at FROM garments_remake", "replaces_id")],
    "answered": [("'judged', judged_at FROM fittings_alterationcount", "garment_id")],
    "struck": [
        (f"'judged', c.judged_at FROM fittings_alterationcount c {ANSWERED}", "o.garment_id")
    ],
}


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

    Of a garment (garment, left, looked, ...), of an alteration (judged, ...), of what was seen
    (seen, ...), of its faults and of its stages (garment, ...).
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
    mark, epoch, _, _ = rows[0]
    return Marks(name_of(mark), name_of(epoch), {row[2]: row[3] for row in rows})


def name_of(mark: object) -> str:
    """A mark by one name, whether the database gave letters or a UUID back."""
    return str(mark).replace("-", "")


def mark_months(before: Counted, after: Counted, ledger: Piece | None, mark: str) -> None:
    """Name the state of every month anew that the counts touch, and what ``ledger`` answers."""
    garments = {row[0] for row in _changed(before.faults, after.faults)}
    garments |= {row[0] for row in _changed(before.stages, after.stages)}
    left = _changed(before.garments, after.garments)
    left += [row for row in after.garments if row[0] in garments]
    moments = {
        "left": [row[1] for row in left],
        "looked": [row[2] for row in left],
        "seen": [row[0] for row in _changed(before.seen, after.seen)],
        "judged": [row[0] for row in _changed(before.alterations, after.alterations)],
    }
    for kind, at in fetch(ledger) if ledger else []:
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


def in_the_ledger(hanging: Collection[str], of: Callable[[str], Piece]) -> Piece | None:
    """(kind, moment) of what is read from the ledger itself and ``hanging``; None for nothing.

    ``of`` makes the condition that a column names one of the garments touched.
    """
    parts = [part for name, found in IN_THE_LEDGER.items() if name in hanging for part in found]
    if not parts:
        return None
    first, *others = (Piece(f"SELECT {rows} WHERE ") + of(garment) for rows, garment in parts)
    return reduce(lambda piece, other: piece + " UNION " + other, others, first)


def _months(moments: Iterable[Any]) -> set[datetime.date]:
    return {timezone.localdate(moment_of(at)).replace(day=1) for at in {*moments} if at}
