"""The review's own SQL, in pieces, for SQLite and PostgreSQL alike.

By hand, because the same few conditions over one ledger, put together anew by the ORM for each
figure, took most of the page's time, and because one statement answers many figures at once. Only
constants of this package and names of its own tables become text; values are always parameters.
"""

import datetime
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.utils import timezone

from fittings.review.asking import Asked

Fetched = list[tuple[Any, ...]]
DAY_SLACK = 1e-6  # days between two moments are fractions: this is less than a tenth of a second


@dataclass(frozen=True, slots=True)
class Piece:
    """Some SQL and the values of its placeholders, in their order."""

    text: str
    values: tuple[Any, ...] = ()

    def __add__(self, other: "Piece | str") -> "Piece":
        if isinstance(other, str):
            return Piece(self.text + other, self.values)
        return Piece(self.text + other.text, (*self.values, *other.values))

    def __radd__(self, other: str) -> "Piece":
        return Piece(other + self.text, self.values)


def fetch(piece: Piece) -> Fetched:
    with connection.cursor() as cursor:
        cursor.execute(piece.text, piece.values)
        rows: Fetched = cursor.fetchall()
    return rows


def run(piece: Piece) -> None:
    with connection.cursor() as cursor:
        cursor.execute(piece.text, piece.values)


def moment(at: datetime.datetime) -> Any:
    """A moment as the database keeps it."""
    return connection.ops.adapt_datetimefield_value(at)


def stands(alias: str, table: str) -> str:
    """As ``LedgerQuerySet.standing``: not void, and struck by nothing."""
    struck = f"SELECT 1 FROM {table} struck WHERE struck.strikes_id = {alias}.id"
    return f"NOT {alias}.void AND NOT EXISTS ({struck})"


def days_between(first: str, second: str) -> str:
    """Days and parts of one from the first moment to the second."""
    if connection.vendor == "sqlite":
        return f"(julianday({second}) - julianday({first}))"
    return f"(EXTRACT(EPOCH FROM ({second} - {first})) / 86400.0)"


def whole(number: str) -> str:
    """A positive number without its fraction."""
    if connection.vendor == "sqlite":
        return f"CAST({number} AS INTEGER)"
    return f"CAST(FLOOR({number}) AS INTEGER)"


def gathered(key: str) -> str:
    """The keys of a group in one text, parted by commas; keys hold none."""
    if connection.vendor == "sqlite":
        return f"GROUP_CONCAT({key})"
    return f"STRING_AGG({key}, ',')"


def day_of(at: str) -> Piece:
    """The house's day of a moment."""
    zone = timezone.get_current_timezone_name()
    return Piece(*connection.ops.datetime_cast_date_sql(at, (), zone))


def moment_of(value: Any) -> datetime.datetime:
    """A moment as the database gave it back; SQLite's are in UTC without saying so."""
    at: datetime.datetime
    at = datetime.datetime.fromisoformat(value) if isinstance(value, str) else value
    return at if at.tzinfo else at.replace(tzinfo=datetime.UTC)


def within(*spans: tuple[datetime.datetime, datetime.datetime]) -> Piece:
    """``WITH spans``: stretches of time by number, each from its first moment to before its last.

    A statement that takes its rows ``FROM spans CROSS JOIN`` a table and ``in_span`` asks for any
    number of stretches at once; SQLite walks a cross join in the order it is written.
    """
    rows = ", ".join(f"({number}, %s, %s)" for number in range(len(spans)))
    values = tuple(moment(at) for span in spans for at in span)
    return Piece(f"WITH spans (n, since, until) AS (VALUES {rows}) ", values)


def in_span(at: str) -> str:
    return f"{at} >= spans.since AND {at} < spans.until"


def of_garments(asked: Asked, garment: str) -> Piece:
    """`` AND ...`` for the cutter, cut and kind asked about."""
    wanted = {
        "cutter_id": asked.cutter and asked.cutter.pk,
        "cut_version_id": asked.cut and asked.cut.pk,
        "kind": asked.kind,
    }
    given = {column: value for column, value in wanted.items() if value}
    text = "".join(f" AND {garment}.{column} = %s" for column in given)
    return Piece(text, tuple(given.values()))


FIRST_FITTER = """(
  SELECT ff.fitter_id FROM fittings_fitting_garments fj
  JOIN fittings_fitting ff ON ff.id = fj.fitting_id
  WHERE fj.garment_id = {base}.garment_id AND ff.purpose <> 'measure'
  ORDER BY ff.started_at, ff.id LIMIT 1)"""

FIRST_MAKER = """(
  SELECT ma.by_id FROM garments_ticket mt
  JOIN garments_ticketrevision mr ON mr.ticket_id = mt.id
  JOIN garments_answer ma ON ma.revision_id = mr.id
  WHERE mt.garment_id = {base}.garment_id AND ma.kind IN ('taken', 'done')
  ORDER BY ma.at, ma.id LIMIT 1)"""
