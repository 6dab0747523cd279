"""What the record says of the days asked about: one statement for each kind of day that counts.

Three days count: the day a garment first left the work, the day of its first fitting, and the day
an alteration was first judged. ``counting`` keeps what each garment and alteration counts for; a
statement here adds up those of the days asked about. What is counted is defined in ``measures``.
"""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connection

from fittings.review.asking import TIMES, Asked, By, Group, months_on
from fittings.review.counting import (
    ALTERATIONS,
    COUNTS,
    FAULTS,
    OBSERVATIONS,
    SEEN,
    STANDS,
    fetch_counted,
)
from fittings.review.measures import WATCH, Measure
from fittings.review.sql import (
    Piece,
    as_day,
    days_between,
    in_days,
    moment,
    month_of,
    of_garments,
    stands,
    whole,
)

Key = tuple[Group, datetime.date]
Monthly = dict[Key, tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Left:
    """Garments that left the work, by group and month: counts of what became of them.

    ``watching`` are those in their first ``WATCH``; ``looks`` and ``squares`` are the fittings
    until the first delivery, and the sum of their squares.
    """

    ripe: int
    again: int
    watching: int
    ripe_delivered: int
    back: int
    promised: int
    late: int
    delivered: int
    looks: int
    squares: int

    def of(self, measure: str) -> tuple[int, int]:
        """Numerator and denominator of one of the rates counted here."""
        return {
            "remakes": (self.again, self.ripe),
            "returns": (self.back, self.ripe_delivered),
            "late": (self.late, self.promised),
        }[measure]


def left_the_work(
    asked: Asked, now: datetime.datetime, *, by_month: bool = True
) -> dict[Key, Left]:
    """What became of the garments that first left the work in the days asked about."""
    ripe, unripe = (
        Piece(f"CASE WHEN left_at {sign} %s THEN 1 ELSE 0 END", (moment(now - WATCH),))
        for sign in ("<=", ">")
    )
    rows = fetch_counted(
        _grouped(asked, "left_on", by_month=by_month)
        + "SUM("
        + ripe
        + "), SUM(again * "
        + ripe
        + "), SUM(delivered * "
        + unripe
        + "), SUM(delivered * "
        + ripe
        + "), SUM(delivered * back * "
        + ripe
        + """), SUM(delivered * promised), SUM(delivered * promised * late), SUM(delivered),
  SUM(delivered * looks), SUM(delivered * looks * looks)
FROM """
        + left_in(asked)
        + " GROUP BY 1, 2"
    )
    return {_key(asked, *row[:2]): Left(*(int(value) for value in row[2:])) for row in rows}


def first_looks(
    asked: Asked, *, by_month: bool = True
) -> dict[tuple[Group, datetime.date, str, int], int]:
    """(group, month, what the memory was answered, faults seen) -> garments first tried on.

    The answer is empty for a customer's first garment of the kind: nothing could be carried.
    """
    rows = fetch_counted(
        _grouped(asked, "looked_on", by_month=by_month)
        + "answered, faults, COUNT(*) FROM "
        + looked_in(asked)
        + " GROUP BY 1, 2, answered, faults"
    )
    return {
        (*_key(asked, group, month), answered, faults): garments
        for group, month, answered, faults, garments in rows
    }


def first_judgements(asked: Asked, *, by_month: bool = True) -> Monthly:
    """(group, month) -> (alterations the first look after called cured, alterations judged)."""
    rows = fetch_counted(
        _grouped(asked, "judged_on", by_month=by_month)
        + "SUM(cured), COUNT(*) FROM "
        + judged_in(asked)
        + " GROUP BY 1, 2"
    )
    return {_key(asked, group, month): (int(cured), judged) for group, month, cured, judged in rows}


def left_in(asked: Asked) -> Piece:
    """Garments that first left the work in the days; by fault, once for each seen until then."""
    return _counts(asked, "left_at", _seen_until("left_at"))


def looked_in(asked: Asked) -> Piece:
    """Garments first tried on in the days; by fault, once for each seen until then."""
    return _counts(asked, "looked_at", _seen_until("looked_at"))


def judged_in(asked: Asked) -> Piece:
    """Alterations first judged in the days; by fault, once for each that they answered."""
    answered = f""" JOIN (
  SELECT DISTINCT oa.alteration_id, o.fault FROM {ALTERATIONS} b
  JOIN fittings_observation_alterations oa ON oa.alteration_id = b.alteration_id
  JOIN {OBSERVATIONS} o ON o.id = oa.observation_id AND o.fault <> ''
    AND {stands("o", OBSERVATIONS)}
  JOIN fittings_fitting f ON f.id = o.fitting_id AND f.started_at <= b.judged_at
  WHERE """
    return _counts(
        asked,
        "judged_at",
        answered + in_days(asked, "b.judged_at") + ") seen ON seen.alteration_id = c.alteration_id",
        ALTERATIONS,
    )


def seen_in(asked: Asked) -> Piece:
    """``c``, a row for each fault at a zone of a garment at a fitting held in the days."""
    return f"{SEEN} c WHERE " + in_days(asked, "c.seen_at") + of_garments(asked, "c")


def stood_in(asked: Asked) -> Piece:
    """``c``, a row for each stage stood at by a garment that first left the work in the days."""
    return f"{STANDS} c WHERE " + in_days(asked, "c.left_at") + of_garments(asked, "c")


def _counts(asked: Asked, at: str, faults: Piece | str, table: str = COUNTS) -> Piece:
    """``c``, the counts whose moment lies in the days; ``faults`` joins ``seen`` where needed."""
    joined = Piece("") + faults if asked.by is By.FAULT else Piece("")
    return f"{table} c" + joined + " WHERE " + in_days(asked, f"c.{at}") + of_garments(asked, "c")


def _seen_until(at: str) -> str:
    return f" JOIN {FAULTS} seen ON seen.garment_id = c.garment_id AND seen.seen_at <= c.{at}"


GROUPS = {
    By.CUTTER: "c.cutter_id",
    By.FITTER: "c.fitter_id",
    By.MAKER: "c.maker_id",
    By.CUT: "c.cut_version_id",
    By.KIND: "c.kind",
    By.CLOTH: "c.cloth_pattern",
    By.FAULT: "seen.fault",
}


def _grouped(asked: Asked, day: str, *, by_month: bool) -> str:
    """``SELECT group, month,``; a month is its own group, and a quarter's follows from it.

    Where nobody asks for months all stand in the first one: ten years of them were rows by the
    thousand.
    """
    group = GROUPS.get(asked.by, "NULL")
    month = month_of(f"c.{day}") if by_month or asked.by in TIMES else f"'{asked.since}'"
    return f"SELECT {group}, {month}, "


def _key(asked: Asked, group: Any, month: Any) -> Key:
    """A group with the month it stands in."""
    first = as_day(month)
    if asked.by is By.QUARTER:
        return months_on(first, -((first.month - 1) % 3)), first
    return (first if asked.by is By.MONTH else group), first


def out_so_long(asked: Asked, now: datetime.datetime) -> list[tuple[int, bool, int]]:
    """Rows of (days, came back on that day or only watched to it, garments) since delivery.

    What was delivered after ``now``, later on the same day, has been out for none.
    """
    until = whole(days_between("c.left_at", _now(now).text))
    rows = fetch_counted(
        Piece(f"SELECT COALESCE(back_days, {until}), ", _now(now).values)
        + "CASE WHEN back_days IS NULL THEN 0 ELSE 1 END, COUNT(*) FROM "
        + left_in(asked)
        + " AND delivered = 1 GROUP BY 1, 2 ORDER BY 1, 2"
    )
    return [(max(int(days), 0), bool(back), garments) for days, back, garments in rows]


def _now(now: datetime.datetime) -> Piece:
    """A moment that the database takes for one, whatever it would take a bare value for."""
    return Piece("%s" if connection.vendor == "sqlite" else "%s::timestamptz", (moment(now),))


@dataclass(frozen=True, slots=True)
class Counted:
    """Where the garments of a measure are, when each counts, which count, and which are hits."""

    rows: Callable[[Asked], Piece]
    at: str
    among: str
    hit: str


RIPE = "left_at <= %s"
COUNTED = {
    "remakes": Counted(left_in, "left_at", RIPE, "again = 1"),
    "returns": Counted(left_in, "left_at", f"delivered = 1 AND {RIPE}", "back = 1"),
    "late": Counted(left_in, "left_at", "promised = 1 AND delivered = 1", "late = 1"),
    "cures": Counted(judged_in, "judged_at", "1 = 1", "cured = 1"),
    "first-fault": Counted(looked_in, "looked_at", "1 = 1", "faults > 0"),
}


def monthly(measure: Measure, asked: Asked, now: datetime.datetime) -> Monthly:
    """(group, month) -> (numerator, denominator) of one rate."""
    if measure.key == "cures":
        return first_judgements(asked)
    if measure.key == "first-fault":
        return first_faults(first_looks(asked))
    return {key: left.of(measure.key) for key, left in left_the_work(asked, now).items()}


def first_faults(looks: Mapping[tuple[Group, datetime.date, str, int], int]) -> Monthly:
    """Of garments looked at for the first time: (with a fault, all), by group and month."""
    found: Monthly = {}
    for (group, month, _, faults), garments in looks.items():
        hit, among = found.get((group, month), (0, 0))
        found[group, month] = (hit + garments * bool(faults), among + garments)
    return found


def garments_behind(
    measure: str, asked: Asked, now: datetime.datetime, *, group: Any = ...
) -> list[tuple[int, bool]]:
    """(garment, whether it is among the hits) of a measure, newest first; perhaps of one group."""
    counted = COUNTED[measure]
    only = Piece("") if group is ... else _only(asked.by, group)
    among = Piece(counted.among, (moment(now - WATCH),) if RIPE in counted.among else ())
    rows = fetch_counted(
        f"SELECT c.garment_id, MAX(CASE WHEN {counted.hit} THEN 1 ELSE 0 END), "
        f"MAX(c.{counted.at}) FROM "
        + counted.rows(asked)
        + " AND "
        + among
        + only
        + " GROUP BY c.garment_id ORDER BY 3 DESC, 1"
    )
    return [(garment, bool(hit)) for garment, hit, _ in rows]


def _only(by: By, group: Any) -> Piece:
    if by in TIMES:
        raise ValueError("a month is asked for by its days")
    if group is None:
        return Piece(f" AND {GROUPS[by]} IS NULL")
    return Piece(f" AND {GROUPS[by]} = %s", (group,))
