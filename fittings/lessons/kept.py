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

    What the catalogue has dropped since is dropped here too, but for a remedy: the house did it.
    """
    links = {link: q for book in books.values() for link, q in book.links.items()}
    figures: dict[Row, Figure] = {}
    records = {}
    for cause, fault, operation, kind, hit, among, cases, cured, judged in kept:
        row = Row(cause, fault, operation, kind)
        if row.what == "remedy":
            good = {"good": hit, "bad": among - hit, "worth": REMEDY_WORTH}
            figures[row] = Chance(REMEDY_EXPECTED, cases, **good)
            records[row] = Record(cured, judged)
        elif row.what == "link" and row[:2] in links:
            good = {"good": hit, "bad": among - hit, "worth": LINK_WORTH}
            figures[row] = Chance(links[cause, fault], cases, **good)
        elif row.what == "prior" and kind in books and cause in books[kind].priors:
            book = books[kind].priors[cause]
            figures[row] = Frequency(book, cases, worth=CAUSE_WORTH, found=hit, expected=among)
    return Learnt(figures, records).leaving_out(left_out)


def _counts(figure: Figure) -> tuple[float, float]:
    if isinstance(figure, Frequency):
        return round(figure.found, 6), round(figure.expected, 6)
    if isinstance(figure, Chance):
        return round(figure.good, 6), round(figure.good + figure.bad, 6)
    raise TypeError(f"No such figure can be kept: {figure!r}")


def _record(record: Record) -> tuple[int, int]:
    return record.cured, record.judged
