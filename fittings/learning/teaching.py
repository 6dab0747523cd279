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


def learn(cases: Iterable[Case], books: Mapping[str, Book]) -> Learnt:
    """What the house knows by its own cases; ``books`` is the catalogue by kind of garment.

    A case of a kind, or of a cause, that the books do not have teaches nothing of causes.
    """
    heaps: dict[Row, Days] = defaultdict(lambda: defaultdict(Heap))
    records: dict[Row, list[int]] = defaultdict(lambda: [0, 0])
    count = 0
    for case in cases:
        count += 1
        _teach_remedies(case, heaps, records)
        book = books.get(case.kind)
        if book is not None and case.work and case.cause in book.priors:
            _teach_cause(case, book, heaps)
    return Learnt(
        figures={row: _figure(row, days, books) for row, days in heaps.items()},
        records={row: Record(*counts) for row, counts in records.items()},
        cases=count,
    )


def suspects(case: Case, book: Book) -> dict[str, float]:
    """{cause: probability} as the books alone would have it, were one cause behind the answered.

    Only causes linked to an answered fault come into question, and the one that was taken.
    """
    answered, clean = case.answered, case.clean
    named = {cause for cause, fault in book.links if fault in answered} | {case.cause}
    weights = {
        cause: book.priors[cause]
        * prod(_shows(cause, fault, book) for fault in answered)
        * prod(1 - book.links.get((cause, fault), 0.0) for fault in clean - answered)
        for cause in named
    }
    whole = sum(weights.values())
    return {cause: weight / whole for cause, weight in weights.items()}


def _shows(cause: str, fault: str, book: Book) -> float:
    return book.links.get((cause, fault), UNLINKED)


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


def _teach_cause(case: Case, book: Book, heaps: dict[Row, Days]) -> None:
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


def _fired(case: Case, book: Book) -> Iterator[tuple[str, float]]:
    """Each fault the cause is linked to and that was looked for: how surely the cause showed so.

    A fault seen may be another taken cause's, or nobody's: the credit is shared by the noisy-OR.
    """
    for (cause, fault), strength in book.links.items():
        if cause != case.cause:
            continue
        if fault in case.seen:
            others = prod(1 - book.links.get((other, fault), 0.0) for other in case.beside)
            silent = (1 - strength) * (1 - book.leaks.get(fault, 0.0)) * others
            yield fault, strength / (1 - silent)
        elif fault in case.clean:
            yield fault, 0.0


def _figure(row: Row, days: Days, books: Mapping[str, Book]) -> Figure:
    hit, among = (
        sum(column) for column in zip(*(day.capped() for day in days.values()), strict=True)
    )
    cases = sum(day.cases for day in days.values())
    if row.what == "prior":
        book = books[row.kind].priors[row.cause]
        return Frequency(book, cases, worth=CAUSE_WORTH, found=hit, expected=among)
    if row.what == "link":
        (book,) = {b.links[row[:2]] for b in books.values() if row[:2] in b.links}
        return Chance(book, cases, worth=LINK_WORTH, good=hit, bad=among - hit)
    return Chance(REMEDY_EXPECTED, cases, worth=REMEDY_WORTH, good=hit, bad=among - hit)
