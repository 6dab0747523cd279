"""What was learnt as plain values for one column of the database, and back."""

from collections.abc import Iterable, Mapping
from typing import Any

from fittings.learning import Book, Chance, Figure, Frequency, Learnt, Record, Row
from fittings.learning.weights import CAUSE_WORTH, LINK_WORTH, REMEDY_EXPECTED, REMEDY_WORTH

Kept = list[list[Any]]


def to_keep(learnt: Learnt) -> Kept:
    """A list for each figure: its row, what the house says, and a remedy's record."""
    return [
        [*row, *_counts(figure), figure.cases, *_record(learnt.records.get(row, Record()))]
        for row, figure in learnt.figures.items()
    ]


def from_kept(
    kept: Iterable[list[Any]], books: Mapping[str, Book], left_out: Iterable[Row] = ()
) -> Learnt:
    """The figures again, beside what the catalogue says now.

    What the catalogue has dropped since is dropped, but for a remedy: that the house has done.
    """
    figures: dict[Row, Figure] = {}
    records: dict[Row, Record] = {}
    for cause, fault, operation, kind, hit, among, cases, cured, judged in kept:
        row = Row(cause, fault, operation, kind)
        figure = figure_of(row, books, hit, among, cases)
        if figure is not None:
            figures[row] = figure
        if row.what == "remedy":
            records[row] = Record(cured, judged)
    return Learnt(figures, records).leaving_out(left_out)


def figure_of(
    row: Row, books: Mapping[str, Book], hit: float = 0.0, among: float = 0.0, cases: int = 0
) -> Figure | None:
    """The figure of a row, by itself the catalogue's alone; None when the catalogue has no such."""
    if row.what == "prior":
        book = books[row.kind].priors.get(row.cause) if row.kind in books else None
        if book is None:
            return None
        return Frequency(book, cases, worth=CAUSE_WORTH, found=hit, expected=among)
    book, worth = REMEDY_EXPECTED, REMEDY_WORTH
    if row.what == "link":
        worth = LINK_WORTH
        book = next((b.links[row[:2]] for b in books.values() if row[:2] in b.links), None)
    return None if book is None else Chance(book, cases, worth=worth, good=hit, bad=among - hit)


def _counts(figure: Figure) -> tuple[float, float]:
    if isinstance(figure, Frequency):
        return round(figure.found, 6), round(figure.expected, 6)
    if isinstance(figure, Chance):
        return round(figure.good, 6), round(figure.good + figure.bad, 6)
    raise TypeError(f"No such figure can be kept: {figure!r}")


def _record(record: Record) -> tuple[int, int]:
    return record.cured, record.judged
