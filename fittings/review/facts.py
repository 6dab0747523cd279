"""What the record says of the days asked about: one statement for each kind of day that counts.

Three days count: the day a garment first left the work, the day of its first fitting, and the day
an alteration was first judged. ``counting`` keeps what each garment and alteration counts for; a
statement here adds up those of the days asked about. What is counted is defined in ``measures``.
"""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from operator import add, attrgetter
from typing import Any

from django.db import connection

from fittings.review.asking import TIMES, Asked, By, Group, months_on
from fittings.review.counting import (
    ALTERATIONS,
    COUNTS,
    FAULTS,
    OBSERVATIONS,
    SEEN,
    STAGES,
    STANDS,
)
from fittings.review.measures import Measure, watched_out
from fittings.review.sql import (
    Piece,
    days_between,
    in_span,
    moment,
    of_garments,
    stands,
    whole,
)
from fittings.review.sums import Question, Span, Sums, added_up, added_up_apart, by_span, spans_of

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

    def __add__(self, other: "Left") -> "Left":
        return Left(*map(add, NUMBERS_OF_LEFT(self), NUMBERS_OF_LEFT(other)))

    def of(self, measure: str) -> tuple[int, int]:
        """Numerator and denominator of one of the rates counted here."""
        return {
            "remakes": (self.again, self.ripe),
            "returns": (self.back, self.ripe_delivered),
            "late": (self.late, self.promised),
        }[measure]


NUMBERS_OF_LEFT = attrgetter(*(field.name for field in fields(Left)))


def left_the_work(
    asked: Asked, now: datetime.datetime, *, by_month: bool = True
) -> dict[Key, Left]:
    """What became of the garments that first left the work in the days asked about."""
    question = Question(
        "left",
        _grouped(asked)
        + """COUNT(*), SUM(again), SUM(delivered), SUM(delivered * back),
  SUM(delivered * promised), SUM(delivered * promised * late), SUM(delivered * looks),
  SUM(delivered * looks * looks) FROM """
        + left_in(asked)
        + " GROUP BY 1, 2",
    )
    spans = spans_of(asked.since, asked.until, watched_out(now))
    found: dict[Key, Left] = {}
    for month, over, sums in _by_time(question, asked, spans, by_month=by_month):
        for (group,), (left, again, delivered, back, *others, looks, squares) in sums.items():
            ripe = (left, again, 0, delivered, back) if over else (0, 0, delivered, 0, 0)
            promised, late = others
            here = Left(*ripe, promised, late, delivered, looks, squares)
            key = _key(asked, group, month)
            found[key] = found[key] + here if key in found else here
    return found


def first_faults(asked: Asked, *, by_month: bool = True) -> Monthly:
    """(group, month) -> (garments with a fault at their first fitting, garments first tried on).

    By fault it is that fault, among all that were tried on: among those that had it, it is all.
    """
    question = Question(
        "looked",
        _grouped(asked)
        + "SUM(CASE WHEN faults > 0 THEN 1 ELSE 0 END), COUNT(*) FROM "
        + looked_in(asked)
        + " GROUP BY 1, 2",
    )
    found = _rates(question, asked, by_month=by_month)
    if asked.by is not By.FAULT:
        return found
    among: dict[datetime.date, int] = {}
    for (_, month), (_, tried) in first_faults(
        replace(asked, by=By.KIND), by_month=by_month
    ).items():
        among[month] = among.get(month, 0) + tried
    return {
        (fault, month): (found.get((fault, month), (0, 0))[0], tried)
        for fault in {fault for fault, _ in found}
        for month, tried in among.items()
    }


def first_looks(asked: Asked) -> dict[str, tuple[int, int, int, int]]:
    """What the memory was answered -> counts of first fittings, whatever they are asked by.

    They are garments with a fault, garments, faults and the sum of the squares of those. A
    customer's first garment of the kind is left out: nothing could be carried.
    """
    asked = replace(asked, by=By.KIND)  # by fault a garment would count once for each of its own
    question = Question(
        "looked",
        "SELECT n, answered, SUM(CASE WHEN faults > 0 THEN 1 ELSE 0 END), COUNT(*), SUM(faults), "
        "SUM(faults * faults) FROM " + looked_in(asked) + " AND answered <> '' GROUP BY 1, 2",
    )
    found = added_up(question, spans_of(asked.since, asked.until))
    return {
        answered: (hit, count, faults, squares)
        for (answered,), (hit, count, faults, squares) in found.items()
    }


def first_judgements(asked: Asked, *, by_month: bool = True) -> Monthly:
    """(group, month) -> (alterations the first look after called cured, alterations judged)."""
    question = Question(
        "judged",
        _grouped(asked) + "SUM(cured), COUNT(*) FROM " + judged_in(asked) + " GROUP BY 1, 2",
    )
    return _rates(question, asked, by_month=by_month)


def _rates(question: Question, asked: Asked, *, by_month: bool) -> Monthly:
    spans = spans_of(asked.since, asked.until)
    return {
        _key(asked, group, month): (hit, among)
        for month, _, sums in _by_time(question, asked, spans, by_month=by_month)
        for (group,), (hit, among) in sums.items()
    }


def _by_time(
    question: Question, asked: Asked, spans: Sequence[Span], *, by_month: bool
) -> list[tuple[datetime.date, bool, Sums]]:
    """(month, whether the watch is over, sums); where nobody asks for months all in the first."""
    if by_month or asked.by in TIMES:
        found = zip(spans, by_span(question, spans), strict=True)
        return [(span.month, span.over, sums) for span, sums in found]
    return [(asked.since, over, sums) for over, sums in added_up_apart(question, spans).items()]


def left_in(asked: Asked) -> Piece:
    """Garments that first left the work in the days; by fault, once for each seen until then."""
    return _counts(asked, "left_at", _seen_until("left_at"))


def looked_in(asked: Asked) -> Piece:
    """Garments first tried on in the days; by fault, once for each seen until then."""
    return _counts(asked, "looked_at", _seen_until("looked_at"))


def judged_in(asked: Asked) -> Piece:
    """Alterations first judged in the days; by fault, once for each that they answered."""
    if asked.by is not By.FAULT:
        return _counts(asked, "judged_at", "", ALTERATIONS)
    # Joined so that SQLite walks them in this order: it would rather make an index of its own.
    return (
        f"""(SELECT DISTINCT spans.n, c.*, o.fault FROM spans CROSS JOIN {ALTERATIONS} c
  CROSS JOIN fittings_observation_alterations oa CROSS JOIN {OBSERVATIONS} o
  CROSS JOIN fittings_fitting f
  WHERE {in_span("c.judged_at")} AND oa.alteration_id = c.alteration_id
    AND o.id = oa.observation_id AND o.fault <> '' AND {stands("o", OBSERVATIONS)}
    AND f.id = o.fitting_id AND f.started_at <= c.judged_at"""
        + of_garments(asked, "c")
        + ") c WHERE 1 = 1"
    )


def seen_in(asked: Asked) -> Piece:
    """``c``, a row for each fault at a zone of a garment at a fitting held in the days."""
    return _rows(SEEN, "seen_at") + of_garments(asked, "c")


def stood_in(asked: Asked) -> Piece:
    """``c``, a row for each stage stood at by a garment that first left the work in the days."""
    return _rows(STANDS, "left_at") + of_garments(asked, "c")


def decided_in(asked: Asked) -> Piece:
    """``c``, a row for each alteration decided in the days after its garment came back."""
    # From the few that came back to what was decided after: each decision once, however often.
    return (
        f"""(SELECT DISTINCT spans.n, a.id, a.garment_id, a.at, a.operation, a.amount, a.side
  FROM {STAGES} s CROSS JOIN garments_alteration a CROSS JOIN garments_garment g CROSS JOIN spans
  WHERE s.stage = 'returned' AND {stands("s", STAGES)} AND a.garment_id = s.garment_id
    AND s.at <= a.at AND {stands("a", "garments_alteration")} AND g.id = a.garment_id AND """
        + in_span("a.at")
        + of_garments(asked, "g")
        + ") c"
    )


def taken_in(asked: Asked) -> Piece:
    """``c``, a row for each cause taken at a fitting ``f`` held in the days."""
    joined, wanted = joined_garments(asked, "c.garment_id")
    return (
        f"""spans CROSS JOIN fittings_fitting f
JOIN fittings_causetaken c ON c.fitting_id = f.id{joined}
WHERE {stands("c", "fittings_causetaken")} AND """
        + in_span("f.started_at")
        + wanted
    )


def recut_in(asked: Asked) -> Piece:
    """``r``, a row for each remake entered in the days, with the garment ``g`` it replaces."""
    return (
        f"""spans CROSS JOIN garments_remake r JOIN garments_garment g ON g.id = r.replaces_id
WHERE {stands("r", "garments_remake")} AND """
        + in_span("r.at")
        + of_garments(asked, "g")
    )


def joined_garments(asked: Asked, key: str) -> tuple[str, Piece]:
    """The garments as ``g``, joined only where the question is of some of them; and of which."""
    wanted = of_garments(asked, "g")
    return (f" JOIN garments_garment g ON g.id = {key}" if wanted.text else ""), wanted


def _counts(asked: Asked, at: str, faults: str, table: str = COUNTS) -> Piece:
    """``c``, the counts whose moment lies in the days; ``faults`` joins ``seen`` where needed."""
    return _rows(table, at, faults if asked.by is By.FAULT else "") + of_garments(asked, "c")


def _rows(table: str, at: str, joined: str = "") -> str:
    return f"spans CROSS JOIN {table} c{joined} WHERE {in_span(f'c.{at}')}"


def _seen_until(at: str) -> str:
    return f" JOIN {FAULTS} seen ON seen.garment_id = c.garment_id AND seen.seen_at <= c.{at}"


GROUPS = {
    By.CUTTER: "c.cutter_id",
    By.FITTER: "c.fitter_id",
    By.MAKER: "c.maker_id",
    By.CUT: "c.cut_version_id",
    By.KIND: "c.kind",
    By.CLOTH: "c.cloth_pattern",
    By.FAULT: "fault",
}


def _grouped(asked: Asked) -> str:
    """``SELECT span, group,``; a month is its own group, and a quarter's follows from it."""
    return f"SELECT n, {GROUPS.get(asked.by, 'NULL')}, "


def _key(asked: Asked, group: Any, month: datetime.date) -> Key:
    """A group with the month it stands in."""
    if asked.by is By.QUARTER:
        return months_on(month, -((month.month - 1) % 3)), month
    return (month if asked.by is By.MONTH else group), month


def out_so_long(asked: Asked, now: datetime.datetime) -> list[tuple[int, bool, int]]:
    """Rows of (days, came back on that day or only watched to it, garments) since delivery.

    What was delivered after ``now``, later on the same day, has been out for none.
    """
    until = whole(days_between("c.left_at", _now(now).text))
    question = Question(
        "left",
        Piece(f"SELECT spans.n, COALESCE(back_days, {until}), ", _now(now).values)
        + "CASE WHEN back_days IS NULL THEN 0 ELSE 1 END, COUNT(*) FROM "
        + left_in(asked)
        + " AND delivered = 1 GROUP BY 1, 2, 3",
        keys=2,
    )
    found = added_up(question, spans_of(asked.since, asked.until))
    return [(max(int(days), 0), bool(back), n) for (days, back), (n,) in sorted(found.items())]


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
        return first_faults(asked)
    return {key: left.of(measure.key) for key, left in left_the_work(asked, now).items()}


def garments_behind(
    measure: str, asked: Asked, now: datetime.datetime, *, group: Any = ...
) -> Piece:
    """Rows of (garment, 1 if it is among the hits, moment) of a measure; perhaps of one group."""
    counted = COUNTED[measure]
    only, hit = Piece("") if group is ... else _only(asked.by, group), Piece(counted.hit)
    if measure == "first-fault" and asked.by is By.FAULT and group is not ...:
        asked, only, hit = replace(asked, by=By.KIND), Piece(""), _seen_first(group)
    among = Piece(counted.among, (moment(watched_out(now)),) if RIPE in counted.among else ())
    return (
        "SELECT c.garment_id, MAX(CASE WHEN "
        + hit
        + f" THEN 1 ELSE 0 END), MAX(c.{counted.at}) FROM "
        + counted.rows(asked)
        + " AND "
        + among
        + only
        + " GROUP BY c.garment_id"
    )


def _seen_first(fault: Any) -> Piece:
    return Piece(
        f"""EXISTS (SELECT 1 FROM {FAULTS} seen WHERE seen.garment_id = c.garment_id
  AND seen.seen_at <= c.looked_at AND seen.fault = %s)""",
        (fault,),
    )


def _only(by: By, group: Any) -> Piece:
    if by in TIMES:
        raise ValueError("a month is asked for by its days")
    if group is None:
        return Piece(f" AND {GROUPS[by]} IS NULL")
    return Piece(f" AND {GROUPS[by]} = %s", (group,))
