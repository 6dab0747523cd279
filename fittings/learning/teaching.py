"""From cases to figures: what each case says of its remedies, its cause and the cause's links.

Remedies are counted. A cause and its links are learnt as the expectation step of the noisy-OR
model would have it (A. P. Dempster, N. M. Laird and D. B. Rubin, J. R. Stat. Soc. B 39 (1977)
1-38), taken once from the catalogue's values: the sum over cases does not depend on their order,
so a case can be taken out again and leaves no trace.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import prod
from statistics import fmean

from fittings.learning.cases import Book, Case
from fittings.learning.figures import Chance, Figure, Frequency, Learnt, Record, Row
from fittings.learning.weights import (
    CAUSE_WORTH,
    CURED,
    DAY_CAP,
    LINK_WORTH,
    REMEDY_EXPECTED,
    REMEDY_WORTH,
    SAME,
    SUCCESS,
    TRUE_CAUSE,
    UNLINKED,
    WORSE,
)


@dataclass(slots=True)
class Heap:
    """What the cases of one day say of one figure, in cases: how much ``hit`` out of ``among``."""

    hit: float = 0.0
    among: float = 0.0
    cases: int = 0

    def add(self, hit: float, among: float) -> None:
        self.hit += hit
        self.among += among
        self.cases += 1

    def capped(self) -> tuple[float, float]:
        """The same in proportion, but no more than one day may weigh."""
        most = max(self.hit, self.among)
        share = min(1.0, DAY_CAP / most) if most else 0.0
        return self.hit * share, self.among * share


Days = defaultdict[int, Heap]


class Shelf:
    """A book with its links by fault and by cause, for many cases."""

    def __init__(self, book: Book) -> None:
        self.priors, self.links, self.leaks = book.priors, book.links, book.leaks
        self.causes: dict[str, list[str]] = defaultdict(list)
        self.shows: dict[str, dict[str, float]] = defaultdict(dict)
        for (cause, fault), strength in book.links.items():
            self.causes[fault].append(cause)
            self.shows[cause][fault] = strength


def learn(cases: Iterable[Case], books: Mapping[str, Book]) -> Learnt:
    """What the house knows by its own cases; ``books`` is the catalogue by kind of garment.

    A case of a kind, or of a cause, that the books do not have teaches nothing of causes.
    """
    shelves = {kind: Shelf(book) for kind, book in books.items()}
    heaps: dict[Row, Days] = defaultdict(lambda: defaultdict(Heap))
    records: dict[Row, list[int]] = defaultdict(lambda: [0, 0])
    count = 0
    for case in cases:
        count += 1
        _teach_remedies(case, heaps, records)
        book = shelves.get(case.kind)
        if book is not None and case.work and case.cause in book.priors:
            _teach_cause(case, book, heaps)
    return Learnt(
        figures={row: _figure(row, days, shelves) for row, days in heaps.items()},
        records={row: Record(*counts) for row, counts in records.items()},
        cases=count,
    )


def suspects(case: Case, book: Shelf) -> dict[str, float]:
    """{cause: probability} as the books alone would have it, were one cause behind the answered.

    Only causes linked to an answered fault come into question, and the one that was taken.
    """
    answered = case.answered
    clean = case.clean - answered
    named = {cause for fault in answered for cause in book.causes[fault]} | {case.cause}
    weights = {}
    for cause in named:
        shows = book.shows[cause]
        seen = prod(shows.get(fault, UNLINKED) for fault in answered)
        spared = prod(1 - strength for fault, strength in shows.items() if fault in clean)
        weights[cause] = book.priors[cause] * seen * spared
    whole = sum(weights.values())
    return {cause: weight / whole for cause, weight in weights.items()}


def sureness(case: Case, expected: float) -> float:
    """How surely the cause taken was the true one, 0 to 1.

    Several alterations of one cause speak together, by their mean. A cure never makes a cause
    less likely than ``expected``, a failure never more.
    """
    verdicts = {work.verdict for work in case.work}
    sure = fmean(TRUE_CAUSE[work.verdict] for work in case.work)
    if verdicts == {CURED}:
        return max(sure, expected)
    if verdicts <= {SAME, WORSE}:
        return min(sure, expected)
    return sure


def _teach_remedies(case: Case, heaps: dict[Row, Days], records: dict[Row, list[int]]) -> None:
    for work in case.work:
        success = SUCCESS[work.verdict]
        for fault in work.faults:
            row = Row(case.cause, fault, work.operation)
            heaps[row][case.day].add(success, 1)
            records[row][0] += work.verdict == CURED
            records[row][1] += 1


def _teach_cause(case: Case, book: Shelf, heaps: dict[Row, Days]) -> None:
    """The cause as often as it was found, against as often as the books would have expected it."""
    expected = suspects(case, book)
    own = expected[case.cause]
    sure = sureness(case, own)
    others = (1 - sure) / (1 - own) if own < 1 else 0.0
    for cause, share in expected.items():
        found = sure if cause == case.cause else share * others
        heaps[Row(cause, kind=case.kind)][case.day].add(found, share)
    for fault, fired in _fired(case, book):
        heaps[Row(case.cause, fault)][case.day].add(sure * fired, sure)


def _fired(case: Case, book: Shelf) -> Iterator[tuple[str, float]]:
    """Each fault the cause is linked to and that was looked for: how surely the cause showed so.

    A fault seen may be another taken cause's, or nobody's: the credit is shared by the noisy-OR.
    """
    for fault, strength in book.shows[case.cause].items():
        if fault in case.seen:
            others = prod(1 - book.links.get((other, fault), 0.0) for other in case.beside)
            silent = (1 - strength) * (1 - book.leaks.get(fault, 0.0)) * others
            yield fault, strength / (1 - silent)
        elif fault in case.clean:
            yield fault, 0.0


def _figure(row: Row, days: Days, books: Mapping[str, Shelf]) -> Figure:
    capped = [day.capped() for day in days.values()]
    hit, among = sum(part for part, _ in capped), sum(part for _, part in capped)
    cases = sum(day.cases for day in days.values())
    if row.what == "prior":
        book = books[row.kind].priors[row.cause]
        return Frequency(book, cases, worth=CAUSE_WORTH, found=hit, expected=among)
    book, worth = REMEDY_EXPECTED, REMEDY_WORTH
    if row.what == "link":
        link = row.cause, row.fault
        book, worth = next(b.links[link] for b in books.values() if link in b.links), LINK_WORTH
    return Chance(book, cases, worth=worth, good=hit, bad=among - hit)
