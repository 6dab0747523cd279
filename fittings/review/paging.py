"""A page of the garments behind a figure, counted and added up by the database."""

from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator

from fittings.review.asking import Asked
from fittings.review.counting import fetch_counted
from fittings.review.sql import Fetched, Piece, within
from garments.models import Garment

ON_A_PAGE = 50
MOST_PAGES = 1_000_000  # a number beyond any database's would be refused by it
DIGITS = 100


@dataclass(frozen=True, slots=True)
class Paged:
    """The garments of a page with their figures; how many there are, and the sum of all."""

    page: Page[Any]
    rows: list[tuple[Garment, Any]]
    all: int
    whole: float


def fetch_page(piece: Piece, asked: Asked, number: str | None) -> Paged:
    """A page of a statement's rows of (garment, figure, what they stand by: the greatest first).

    A page that there is none of is the nearest there is.
    """
    wanted = _number(number)
    rows = _fetch(piece, asked, wanted)
    if not rows and wanted > 1:
        rows = _fetch(piece, asked, 1)  # each row says how many there are
    _, _, count, whole = rows[0] if rows else (0, 0, 0, 0)
    page = Paginator(range(count), ON_A_PAGE).get_page(number)
    if rows and page.number not in {wanted, 1}:
        rows = _fetch(piece, asked, page.number)
    garments = Garment.objects.for_mentions().in_bulk([garment for garment, *_ in rows])
    shown = [(garments[pk], figure) for pk, figure, _, _ in rows if pk in garments]
    return Paged(page, shown, count, float(whole))


def _number(number: str | None) -> int:
    if not number or not number.isdecimal():
        return 1
    # Python itself refuses to read thousands of digits.
    return min(max(int(number), 1), MOST_PAGES) if len(number) <= DIGITS else MOST_PAGES


def _fetch(piece: Piece, asked: Asked, number: int) -> Fetched:
    return fetch_counted(
        within((asked.start, asked.end))
        + ", found (garment, figure, at) AS ("
        + piece
        + ") SELECT garment, figure, COUNT(*) OVER (), SUM(figure) OVER () FROM found "
        + Piece(
            "ORDER BY at DESC, garment LIMIT %s OFFSET %s", (ON_A_PAGE, (number - 1) * ON_A_PAGE)
        )
    )
