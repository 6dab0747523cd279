"""Counting garments and alterations for the review, each once, from the ledger.

What a garment's leaving, its first fitting and an alteration's first judgement say does not depend
on what the owner asks, so it is kept (``fittings.models.counts``) and a page only adds it up. Where
anything was entered since, the garments it may touch are counted anew, as a whole, before the page
is answered: nothing is added up twice, and what was struck is gone. What is counted is defined in
``measures``; what depends on today (whose watch is over) is left to the page.
"""

import datetime
import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from customers.models import House
from fittings.models import CountMark, MonthMark
from fittings.review.measures import WATCH
from fittings.review.sql import (
    DAY_SLACK,
    FIRST_FITTER,
    FIRST_MAKER,
    Piece,
    as_day,
    day_of,
    days_between,
    fetch,
    moment_of,
    run,
    stands,
    whole,
)
from garments.models import Garment

STAGES = "garments_stageentry"
OBSERVATIONS = "fittings_observation"
COUNTS, ALTERATIONS, SEEN, FAULTS, STANDS = (
    "fittings_garmentcount",
    "fittings_alterationcount",
    "fittings_seencount",
    "fittings_faultcount",
    "fittings_stagecount",
)
GROUP_COLUMNS = "kind, cutter_id, cut_version_id, cloth_pattern, fitter_id, maker_id"


# What a count hangs on: the moments a garment left the work, was first looked at and is seen, an
# alteration was first judged and was decided, and a piece was cut again.
KINDS = ("left", "looked", "seen", "judged", "altered", "recut")
# Beyond so many garments at once it is quicker to name no month than to name them all.
MOST_NAMED = 300


@dataclass(frozen=True, slots=True)
class Marks:
    """The mark of everything, of the epoch, and of the months touched since, by kind."""

    mark: str
    epoch: str
    months: dict[tuple[str, datetime.date], str]

    def get(self, of: tuple[str, datetime.date]) -> str:
        """The name of the state of a kind in a month; a month not touched goes by the epoch's."""
        return self.months.get(of, self.epoch)


def fetch_counted(piece: Piece) -> list[tuple[Any, ...]]:
    """The rows of a statement over the counts, which are brought up to the ledger first."""
    mark_of_counts()
    return fetch(piece)


def mark_of_counts() -> str:
    """The name of the state of everything counted and shown, brought up to the ledger first.

    Whatever changes a page of the review changes it too, in every process and on every database.
    """
    state = "SELECT mark, EXISTS (SELECT 1 FROM fittings_recount) FROM fittings_countmark"
    ((mark, news),) = fetch(Piece(state))
    if news:
        count_anew()
        ((mark, _),) = fetch(Piece(state))
    return str(mark)


_newest: dict[str, Marks] = {}


def marks_now() -> Marks:
    """The marks of now; read again only when that of everything has changed."""
    known = _newest.get(mark_of_counts())
    return known or _read_marks()


def _read_marks() -> Marks:
    """All of them in one statement: an epoch read apart from its months could name an older one."""
    rows = fetch(
        Piece(
            "SELECT c.mark, c.epoch, m.kind, m.month, m.mark FROM fittings_countmark c "
            "LEFT JOIN fittings_monthmark m ON 1 = 1"
        )
    )
    months = {(kind, as_day(month)): mark for _, _, kind, month, mark in rows if kind}
    marks = Marks(str(rows[0][0]), str(rows[0][1]), months)
    _newest.clear()
    _newest[marks.mark] = marks
    return marks


@transaction.atomic
def count_anew() -> None:
    """Count whatever was entered since the last time. Seventeen statements, whatever that is."""
    House.take_turns()  # two who count take turns
    touched, named = _touched()
    scope = _one_of("garment_id", touched)
    before = fetch(_counted_moments(scope)) if named else []
    for table in (COUNTS, ALTERATIONS, SEEN, FAULTS, STANDS):
        run(Piece(f"DELETE FROM {table} WHERE ") + scope)
    run(_garments(touched))
    run(_alterations(scope))
    run(_seen(touched))
    run(_faults(scope))
    run(_stands(scope))
    new = {"mark": uuid.uuid4()}
    if named:
        _mark_months([*before, *fetch(_moments(scope))], str(new["mark"]))
    else:
        new["epoch"] = uuid.uuid4()
        MonthMark.objects.all().delete()
    CountMark.objects.update(**new)


def _counted_moments(scope: Piece) -> Piece:
    """(kind, moment) of the counts of the garments."""
    asked = (
        (COUNTS, "left", "left_at"),
        (COUNTS, "looked", "looked_at"),
        (SEEN, "seen", "seen_at"),
        (ALTERATIONS, "judged", "judged_at"),
    )
    pieces = [f"SELECT '{kind}', {at} FROM {table} WHERE " + scope for table, kind, at in asked]
    return _all_of(pieces)


def _moments(scope: Piece) -> Piece:
    """The same, and of what is read from the ledger itself, which loses no row."""
    asked = (
        "SELECT 'altered', at FROM garments_alteration WHERE ",
        """SELECT 'seen', f.started_at FROM fittings_fitting_garments j
JOIN fittings_fitting f ON f.id = j.fitting_id WHERE j.""",
        """SELECT 'seen', f.started_at FROM fittings_causetaken c
JOIN fittings_fitting f ON f.id = c.fitting_id WHERE c.""",
    )
    recut = Piece(scope.text.replace("garment_id", "replaces_id", 1), scope.values)
    pieces = [piece + scope for piece in asked]
    pieces.append("SELECT 'recut', at FROM garments_remake WHERE " + recut)
    return _all_of([_counted_moments(scope), *pieces])


def _all_of(pieces: Iterable[Piece]) -> Piece:
    first, *others = pieces
    for piece in others:
        first = first + " UNION " + piece
    return first


def _mark_months(moments: Iterable[tuple[str, Any]], mark: str) -> None:
    """Name the state of every kind and month of the house that the moments lie in anew."""
    touched = {
        (kind, timezone.localdate(moment_of(at)).replace(day=1)) for kind, at in moments if at
    }
    MonthMark.objects.bulk_create(
        [MonthMark(kind=kind, month=month, mark=mark) for kind, month in touched],
        update_conflicts=True,
        unique_fields=["kind", "month"],
        update_fields=["mark"],
    )


def count_everything() -> int:
    """Count every garment anew, as after a change of the house's time zone; how many there are."""
    with transaction.atomic():
        run(Piece("INSERT INTO fittings_recount (garment_id) SELECT id FROM garments_garment"))
        count_anew()
    return Garment.objects.count()


def _one_of(column: str, garments: str) -> Piece:
    """A condition that names any number of garments by one value, a JSON list."""
    if connection.vendor == "sqlite":
        return Piece(f"{column} IN (SELECT value FROM json_each(%s))", (garments,))
    return Piece(
        f"{column} IN (SELECT value::bigint FROM json_array_elements_text(%s))", (garments,)
    )


def _touched() -> tuple[str, bool]:
    """The garments of the entries since, as a JSON list, and those entries done with.

    An earlier garment makes a later one of the customer and kind one that could carry. Only the
    rows deleted here are answered for: others may be committed at this very moment. False when
    their months do not say which months changed: a garment or a name is another, a fitting was
    held on another day, or there are very many.
    """
    rows = fetch(
        Piece(
            "DELETE FROM fittings_recount "
            "RETURNING garment_id, alteration_id, revision_id, fitting_id"
        )
    )
    named_by = [sorted({str(row[at]) for row in rows if row[at] is not None}) for at in range(4)]
    values = tuple(json.dumps(keys) for keys in named_by)
    text, uuid = ("value", "value") if connection.vendor == "sqlite" else _POSTGRES_VALUES
    each = "json_each(%s)" if connection.vendor == "sqlite" else "json_array_elements_text(%s)"
    found = fetch(
        Piece(
            f"""SELECT DISTINCT alike.id FROM (
  SELECT CAST({text} AS BIGINT) AS id FROM {each}
  UNION SELECT garment_id FROM garments_alteration WHERE id IN (SELECT {uuid} FROM {each})
  UNION SELECT t.garment_id FROM garments_ticketrevision r JOIN garments_ticket t
    ON t.id = r.ticket_id WHERE r.id IN (SELECT {uuid} FROM {each})
  UNION SELECT garment_id FROM fittings_fitting_garments
    WHERE fitting_id IN (SELECT {uuid} FROM {each})
) named JOIN garments_garment g ON g.id = named.id
JOIN garments_garment alike ON alike.customer_id = g.customer_id AND alike.kind = g.kind""",
            values,
        )
    )
    moved = any(row[3] is not None or row == (None,) * 4 for row in rows)
    named = not moved and len(found) <= MOST_NAMED
    return json.dumps([garment for (garment,) in found]), named


_POSTGRES_VALUES = ("value", "value::uuid")


def _garments(touched: str) -> Piece:
    """A row for each garment: whose it is, its leaving and its first fitting."""
    within = f"<= {WATCH.days + DAY_SLACK}"
    again = f"""SELECT 1 FROM garments_remake r WHERE r.replaces_id = base.garment_id
    AND {stands("r", "garments_remake")} AND {days_between("s.at", "r.at")} {within}"""
    back_at = f"""(SELECT MIN(r.at) FROM {STAGES} r WHERE r.garment_id = base.garment_id
    AND r.stage || '' = 'returned' AND r.at >= s.at AND {stands("r", STAGES)})"""
    looks = """SELECT COUNT(*) FROM fittings_fitting_garments j
    JOIN fittings_fitting h ON h.id = j.fitting_id
    WHERE j.garment_id = base.garment_id AND h.purpose <> 'measure' AND h.started_at <= s.at"""
    taken = f"""SELECT 1 FROM garments_carryanswer c WHERE c.garment_id = base.garment_id
    AND {stands("c", "garments_carryanswer")}"""
    faults = f"""SELECT COUNT(*) FROM {OBSERVATIONS} o WHERE o.fitting_id = f.id
    AND o.garment_id = base.garment_id AND o.fault <> '' AND {stands("o", OBSERVATIONS)}"""
    back_days = days_between("s.at", back_at)
    return (
        f"INSERT INTO {COUNTS} (garment_id, {GROUP_COLUMNS}, left_at, left_on, delivered, again, "
        "back, back_days, promised, late, looks, looked_at, looked_on, answered, faults)\n"
        + _base(touched)
        + f"""
SELECT base.garment_id, base.kind, base.cutter_id, base.cut_version_id, base.cloth_pattern,
  {FIRST_FITTER.format(base="base")}, {FIRST_MAKER.format(base="base")}, s.at, """
        + day_of("s.at")
        + f""", CASE WHEN s.stage = 'delivered' THEN 1 ELSE 0 END,
  CASE WHEN EXISTS ({again}) THEN 1 ELSE 0 END,
  CASE WHEN {back_days} {within} THEN 1 ELSE 0 END, {whole(back_days)},
  CASE WHEN base.promised_on IS NULL THEN 0 ELSE 1 END, CASE WHEN """
        + day_of("s.at")
        + f""" > base.promised_on THEN 1 ELSE 0 END, ({looks}), f.started_at, """
        + day_of("f.started_at")
        + f""", CASE WHEN EXISTS ({taken} AND c.accepted) THEN 'carried'
    WHEN EXISTS ({taken}) THEN 'left out'
    WHEN EXISTS (SELECT 1 FROM garments_garment b WHERE b.customer_id = base.customer_id
      AND b.kind = base.kind AND b.serial < base.serial AND b.stage <> 'ordered')
    THEN 'nothing answered' ELSE '' END, ({faults})
FROM base LEFT JOIN {STAGES} s ON s.id = base.gone
  LEFT JOIN fittings_fitting f ON f.id = base.look"""
    )


def _base(touched: str) -> Piece:
    """The garments with the entry by which each first left the work, and its first fitting."""
    return (
        f"""WITH base AS MATERIALIZED (
  SELECT g.id AS garment_id, g.kind, g.cutter_id, g.cut_version_id, g.cloth_pattern,
    g.promised_on, g.customer_id, g.serial,
    (SELECT s.id FROM {STAGES} s WHERE s.garment_id = g.id
      AND s.stage || '' IN ('delivered', 'remade') AND {stands("s", STAGES)}
      ORDER BY s.at, s.id LIMIT 1) AS gone,
    (SELECT f.id FROM fittings_fitting_garments j JOIN fittings_fitting f ON f.id = j.fitting_id
      WHERE j.garment_id = g.id AND f.purpose <> 'measure'
      ORDER BY f.started_at, f.id LIMIT 1) AS look
  FROM garments_garment g WHERE """
        + _one_of("g.id", touched)
        + ")"
    )


def _alterations(scope: Piece) -> Piece:
    """A row for each standing alteration that was judged, by its first standing judgement."""
    judgements = "fittings_judgement"
    return (
        f"""INSERT INTO {ALTERATIONS} (alteration_id, garment_id, {GROUP_COLUMNS}, operation,
  judged_at, judged_on, cured)
WITH first AS MATERIALIZED (
  SELECT a.id, a.garment_id, a.operation, (
    SELECT j.id FROM {judgements} j JOIN fittings_fitting f ON f.id = j.fitting_id
    WHERE j.alteration_id = a.id AND {stands("j", judgements)}
    ORDER BY f.started_at, j.at, j.id LIMIT 1) AS judgement
  FROM garments_alteration a WHERE """
        + scope
        + f""" AND {stands("a", "garments_alteration")}
)
SELECT first.id, first.garment_id, {", ".join(f"c.{name}" for name in GROUP_COLUMNS.split(", "))},
  first.operation, f.started_at, """
        + day_of("f.started_at")
        + f""", CASE WHEN j.verdict = 'cured' THEN 1 ELSE 0 END
FROM first JOIN {judgements} j ON j.id = first.judgement
JOIN fittings_fitting f ON f.id = j.fitting_id JOIN {COUNTS} c ON c.garment_id = first.garment_id"""
    )


def _seen(touched: str) -> Piece:
    """A row for each fault at each zone of a garment at a fitting, struck ones left out."""
    return (
        f"""INSERT INTO {SEEN} (fitting_id, garment_id, kind, zone, fault, seen_at, before_at,
  cutter_id, cut_version_id)
SELECT fitting_id, garment_id, kind, zone, fault, seen_at,
  LAG(seen_at) OVER (PARTITION BY garment_id, zone, fault ORDER BY seen_at, fitting_id),
  cutter_id, cut_version_id
FROM (
  SELECT DISTINCT o.fitting_id, o.garment_id, g.kind, o.zone, o.fault, f.started_at AS seen_at,
    g.cutter_id, g.cut_version_id
  FROM {OBSERVATIONS} o JOIN fittings_fitting f ON f.id = o.fitting_id
  JOIN garments_garment g ON g.id = o.garment_id
  WHERE o.fault <> '' AND {stands("o", OBSERVATIONS)} AND """
        + _one_of("o.garment_id", touched)
        + ") looks"
    )


def _faults(scope: Piece) -> Piece:
    """A row for each fault ever seen on a garment."""
    return (
        f"INSERT INTO {FAULTS} (garment_id, fault, seen_at) "
        f"SELECT garment_id, fault, MIN(seen_at) FROM {SEEN} WHERE "
        + scope
        + " GROUP BY garment_id, fault"
    )


def _stands(scope: Piece) -> Piece:
    """A row for each stage a garment stood at until it left the work: from entry to entry."""
    return (
        f"""INSERT INTO {STANDS} (garment_id, kind, cutter_id, cut_version_id, left_at, stage, days)
SELECT garment_id, kind, cutter_id, cut_version_id, left_at, stage, {days_between("at", "until")}
FROM (
  SELECT c.garment_id, c.kind, c.cutter_id, c.cut_version_id, c.left_at, s.stage, s.at,
    LEAD(s.at) OVER (PARTITION BY s.garment_id ORDER BY s.at, s.id) AS until
  FROM {COUNTS} c JOIN {STAGES} s ON s.garment_id = c.garment_id AND s.at <= c.left_at
  WHERE {stands("s", STAGES)} AND c."""
        + scope
        + ") spans WHERE until IS NOT NULL"
    )
