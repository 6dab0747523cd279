"""The garments behind a row of a table that is no rate: a fault, a zone, a stage, a day.

Each statement gives (garment, figure, moment) with the figure of the table's own row, so that the
garments add up to it.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from django.core.paginator import Page

from fittings.catalogue import Cause
from fittings.housebook.queries import house_catalogue
from fittings.review.asking import Asked
from fittings.review.counting import SEEN
from fittings.review.facts import (
    decided_in,
    judged_in,
    left_in,
    recut_in,
    seen_in,
    stood_in,
    taken_in,
)
from fittings.review.labels import fault_name
from fittings.review.paging import fetch_page
from fittings.review.sql import Piece
from garments import seams
from garments.models import Garment, Kind, Stage

OWN_WORDS: Final = "own-words"  # the key of causes without one
KEY = re.compile(r"[a-z0-9-]{1,60}")
DIGITS = re.compile(r"[0-9]{1,6}")


@dataclass(frozen=True, slots=True)
class RowBehind:
    """The row by name; a page of its garments with their figures in words, and how many in all."""

    title: str
    page: Page[Any]
    shown: list[tuple[Garment, str]]
    all: int
    whole: float


def garments_of_row(
    sheet: str, asked: Asked, row: str, other: str = "", number: str | None = None
) -> RowBehind | None:
    """What stands behind the row that the address names; None where nothing does."""
    kind = ROWS[sheet]
    if not kind.key.fullmatch(row) or not KEY.fullmatch(other or "-"):
        return None
    paged = fetch_page(kind.piece(asked, row, other), asked, number)
    if not paged.all:
        return None
    return RowBehind(
        kind.title(asked, row, other),
        paged.page,
        [(garment, kind.says(figure)) for garment, figure in paged.rows],
        paged.all,
        paged.whole,
    )


def _fault(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, COUNT(*), MAX(c.seen_at) FROM "
        + seen_in(asked)
        + Piece(" AND c.fault = %s GROUP BY c.garment_id", (row,))
    )


def _zone(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, COUNT(*), MAX(c.seen_at) FROM "
        + seen_in(asked)
        + Piece(
            " AND c.zone = %s AND c.kind = %s GROUP BY c.garment_id", (row, asked.kind or Kind.COAT)
        )
    )


def _together(asked: Asked, row: str, other: str) -> Piece:
    beside = f"""SELECT 1 FROM {SEEN} d WHERE d.garment_id = c.garment_id
  AND d.fitting_id = c.fitting_id AND d.fault = %s"""
    return (
        "SELECT c.garment_id, COUNT(DISTINCT c.fitting_id), MAX(c.seen_at) FROM "
        + seen_in(asked)
        + Piece(f" AND c.fault = %s AND EXISTS ({beside}) GROUP BY c.garment_id", (row, other))
    )


def _cause(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, COUNT(*), MAX(f.started_at) FROM "
        + taken_in(asked)
        + Piece(" AND c.cause = %s GROUP BY c.garment_id", ("" if row == OWN_WORDS else row,))
    )


def _operation(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, SUM(c.cured), MAX(c.judged_at) FROM "
        + judged_in(asked)
        + Piece(" AND c.operation = %s GROUP BY c.garment_id", (row,))
    )


def _looks(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, c.looks, c.left_at FROM "
        + left_in(asked)
        + Piece(" AND c.delivered = 1 AND c.looks = %s", (int(row),))
    )


def _stage(asked: Asked, row: str, _other: str) -> Piece:
    """Longest first: the third column is the days again."""
    return (
        "SELECT c.garment_id, SUM(c.days), SUM(c.days) FROM "
        + stood_in(asked)
        + Piece(" AND c.stage = %s GROUP BY c.garment_id", (row,))
    )


def _decided(asked: Asked, _row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, COUNT(*), MAX(c.at) FROM "
        + decided_in(asked)
        + " GROUP BY c.garment_id"
    )


def _recut(asked: Asked, _row: str, _other: str) -> Piece:
    return (
        "SELECT r.replaces_id, COUNT(*), MAX(r.at) FROM "
        + recut_in(asked)
        + " GROUP BY r.replaces_id"
    )


def _back_on(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, 1, c.left_at FROM "
        + left_in(asked)
        + Piece(" AND c.delivered = 1 AND c.back_days = %s", (int(row),))
    )


def _back_by(asked: Asked, row: str, _other: str) -> Piece:
    return (
        "SELECT c.garment_id, c.back_days, c.left_at FROM "
        + left_in(asked)
        + Piece(" AND c.delivered = 1 AND c.back_days <= %s", (int(row),))
    )


def _cause_name(_asked: Asked, row: str, _other: str) -> str:
    known = house_catalogue().row_by_key.get(("cause", row))
    return known.name if isinstance(known, Cause) else "in the fitter's own words"


def _zone_name(asked: Asked, row: str, _other: str) -> str:
    kind = asked.kind or Kind.COAT
    return f"{Kind(kind).label}, {house_catalogue().zone_name(kind, row).lower()}"


def _times(what: str) -> Callable[[float], str]:
    return lambda times: f"{what} once" if times == 1 else f"{what} {times} times"


@dataclass(frozen=True, slots=True)
class Row:
    """How the rows of one table are read: statement, name, words for the figure, form of a key."""

    piece: Callable[[Asked, str, str], Piece]
    title: Callable[[Asked, str, str], str]
    says: Callable[[float], str]
    key: re.Pattern[str] = KEY


ROWS: Final = {
    "faults": Row(_fault, lambda _, row, __: fault_name(row), _times("seen")),
    "zones": Row(_zone, _zone_name, _times("a fault seen")),
    "together": Row(
        _together,
        lambda _, row, other: f"{fault_name(row)}, and {fault_name(other)}",
        _times("together"),
    ),
    "causes": Row(_cause, _cause_name, _times("taken")),
    "cures": Row(_operation, lambda _, row, __: seams.operation(row).name, _times("cured")),
    "looks": Row(
        _looks, lambda _, row, __: f"Looks taken: {row}", lambda looks: f"looks: {looks}", DIGITS
    ),
    "weeks": Row(
        _stage,
        lambda _, row, __: f"Standing at: {Stage(row).label}",
        lambda days: f"{days:.1f} days",
    ),
    "costs": Row(_recut, lambda *_: "Cut again at the house's cost", _times("cut again")),
    "after-return": Row(
        _decided,
        lambda *_: "Altered after it came back",
        _times("altered"),
        re.compile("returns"),
    ),
    "curve": Row(
        _back_on,
        lambda _, row, __: f"Came back on day {row} after delivery",
        lambda _: "came back",
        DIGITS,
    ),
    "back-by": Row(
        _back_by,
        lambda _, row, __: f"Came back by day {row} after delivery",
        lambda day: f"came back on day {day}",
        DIGITS,
    ),
}
OF_CURVE = ("curve", "back-by")  # lines of its table, and marks of its drawing
