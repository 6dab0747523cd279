"""Counting garments and alterations for the review, each once, from the ledger.

What a garment's leaving, its first fitting and an alteration's first judgement say does not depend
on what the owner asks, so it is kept (``fittings.models.counts``) and a page only adds it up. Where
anything was entered since, the garments it may touch are counted anew, as a whole, before the page
is answered: nothing is added up twice, and what was struck is gone. What is counted is defined in
``measures``; what depends on today (whose watch is over) is left to the page.
"""

import json
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.db import connection, transaction

from customers.models import House
from fittings.review.marking import (
    IN_THE_LEDGER,
    Counted,
    Marks,
    begin_epoch,
    in_the_ledger,
    mark_months,
    name_of,
    read_marks,
)
from fittings.review.measures import WATCH
from fittings.review.sql import (
    DAY_SLACK,
    FIRST_FITTER,
    FIRST_MAKER,
    Fetched,
    Piece,
    day_of,
    days_between,
    fetch,
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
# What hangs on an entry, by its table: counts, and moments that the ledger itself is asked for.
# What is not named here, or hangs on a garment's own columns, is counted whole. The counts of
# garments go with those of their faults and stages: ``marking`` reads the months from them.
TOUCHES: dict[str | None, frozenset[str]] = {
    "stage": frozenset({COUNTS}),
    STAGES: frozenset({COUNTS, STANDS, "altered"}),
    "garments_remake": frozenset({COUNTS, "recut"}),
    "garments_carryanswer": frozenset({COUNTS}),
    "garments_alteration": frozenset({ALTERATIONS, "altered"}),
    "garments_answer": frozenset({COUNTS, ALTERATIONS}),
    "fittings_fitting_garments": frozenset({COUNTS, ALTERATIONS, "look"}),
    OBSERVATIONS: frozenset({COUNTS, SEEN, FAULTS, "struck"}),
    "fittings_judgement": frozenset({ALTERATIONS}),
    "fittings_causetaken": frozenset({"look"}),
    "fittings_observation_alterations": frozenset({"answered"}),
}
# What tells a row of before from one of now, as ``marking.Counted`` reads it.
RETURNED = {
    COUNTS: f"garment_id, left_at, looked_at, {GROUP_COLUMNS}, delivered, again, back, back_days, "
    "promised, late, looks, answered, faults",
    ALTERATIONS: f"judged_at, alteration_id, {GROUP_COLUMNS}, operation, cured",
    SEEN: "seen_at, fitting_id, garment_id, kind, zone, fault, before_at, cutter_id, "
    "cut_version_id",
    FAULTS: "garment_id, fault, seen_at",
    STANDS: "garment_id, stage, days",
}
EVERYTHING = frozenset({*RETURNED, *IN_THE_LEDGER})

# Beyond so many garments at once it is quicker to name no month than to name them all.
MOST_NAMED = 300


def fetch_counted(piece: Piece) -> Fetched:
    """The rows of a statement over the counts, which are brought up to the ledger first."""
    mark_of_counts()
    return fetch(piece)


_held: ContextVar[Marks | None] = ContextVar("held", default=None)


def mark_of_counts() -> str:
    """The name of the state of everything counted and shown, brought up to the ledger first.

    Whatever changes a page of the review changes it too, in every process and on every database.
    """
    if held := _held.get():
        return held.mark
    state = "SELECT mark, EXISTS (SELECT 1 FROM fittings_recount) FROM fittings_countmark"
    ((mark, news),) = fetch(Piece(state))
    return count_anew() if news else name_of(mark)


_newest: dict[str, Marks] = {}


def marks_now() -> Marks:
    """The marks of now; read again only when that of everything has changed."""
    if held := _held.get():
        return held
    known = _newest.get(mark_of_counts())
    if known is None:
        known = read_marks()
        _newest.clear()
        _newest[known.mark] = known
    return known


@contextmanager
def one_state() -> Iterator[None]:
    """Within it the counts are brought up to the ledger once, and told as they then are."""
    token = _held.set(marks_now())
    try:
        yield
    finally:
        _held.reset(token)


@transaction.atomic
def count_anew() -> str:
    """Count whatever was entered since the last time; the mark of then.

    Sixteen statements at most.
    """
    House.take_turns()  # two who count take turns
    touched, named, hanging = _touched()
    scope = _one_of("garment_id", touched)
    gone: dict[str, Fetched] = {}
    made: dict[str, Fetched] = {}
    makers = {
        COUNTS: _garments(touched),
        ALTERATIONS: _alterations(scope),
        SEEN: _seen(touched),
        FAULTS: _faults(scope),
        STANDS: _stands(scope),
    }
    tables = [table for table in makers if table in hanging]
    for table in tables:
        gone[table] = _written(Piece(f"DELETE FROM {table} WHERE ") + scope, table, named=named)
    for table in tables:
        made[table] = _written(makers[table], table, named=named)
    mark = uuid.uuid4().hex
    if named:
        ledger = in_the_ledger(hanging, lambda column: _one_of(column, touched))
        mark_months(_counted(gone), _counted(made), ledger, mark)
    else:
        begin_epoch(mark)
    return mark


def _written(piece: Piece, table: str, *, named: bool) -> Fetched:
    """What a statement wrote, or nothing where nobody asks which months it touched."""
    if named:
        return fetch(piece + f" RETURNING {RETURNED[table]}")
    run(piece)
    return []


def _counted(rows: dict[str, Fetched]) -> Counted:
    return Counted(*(rows.get(table, []) for table in RETURNED))


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


def _touched() -> tuple[str, bool, frozenset[str]]:
    """The garments of the entries since, as a JSON list; what hangs on those entries, done with.

    An earlier garment makes a later one of the customer and kind one that could carry. Only the
    rows deleted here are answered for: others may be committed at this very moment. False when
    their months do not say which months changed: a garment or a name is another, a fitting was
    held on another day, or there are very many.
    """
    rows = fetch(
        Piece(
            "DELETE FROM fittings_recount "
            "RETURNING garment_id, alteration_id, revision_id, fitting_id, entered"
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
    moved = any(row[3] is not None or row[:4] == (None,) * 4 for row in rows)
    named = not moved and len(found) <= MOST_NAMED
    entered = {row[4] for row in rows}
    hanging = frozenset().union(*(TOUCHES.get(each, EVERYTHING) for each in entered))
    return json.dumps([garment for (garment,) in found]), named, hanging


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
  CASE WHEN base.promised IS NULL THEN 0 ELSE 1 END, CASE WHEN """
        + day_of("s.at")
        + f""" > base.promised THEN 1 ELSE 0 END, ({looks}), f.started_at, """
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
    g.promised_when_delivered AS promised, g.customer_id, g.serial,
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
