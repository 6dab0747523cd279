"""What the review adds up, kept in the process month by month until that month's mark changes.

An entry touches few garments and so few months: only those are asked for again, all of a question's
in one statement. A part is kept under the mark that was read before it was asked for, so it may be
newer than its mark, never older; marks are names by chance (``models.CountMark``), so what another
process counted, or a backup brought back, is told by them alone. Sums are whole numbers: what is
taken off and added again leaves nothing behind.
"""

import datetime
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from threading import Lock
from typing import Any

from fittings.clock import midnight
from fittings.review.asking import months_on
from fittings.review.counting import marks_now
from fittings.review.sql import Fetched, Piece, fetch, within

Sums = dict[tuple[Any, ...], tuple[int, ...]]
# Lines of parts kept in a process, a few hundred bytes each: every page at its usual question
# makes some 60,000 of them in a busy house.
MOST_LINES = 250_000


@dataclass(frozen=True, slots=True)
class Span:
    """A month as far as it is asked about, from ``since`` to before ``until``.

    ``over``: all of it lies before the moment at which the months were parted.
    """

    name: str
    month: datetime.date
    since: datetime.datetime
    until: datetime.datetime
    over: bool


@dataclass(frozen=True, slots=True)
class Question:
    """A statement over ``spans``: rows of a span's number, so many ``keys``, and whole numbers.

    ``kind`` is that of the moments that decide (``marking.KINDS``); ``read`` makes sums of rows
    that are none yet.
    """

    kind: str
    piece: Piece
    keys: int = 1
    read: Callable[[Fetched], Sums] | None = None

    def sums(self, rows: Fetched) -> Sums:
        if self.read:
            return self.read(rows)
        first = self.keys + 1
        return {row[1:first]: tuple(int(number) for number in row[first:]) for row in rows}


@dataclass(eq=False, slots=True)
class Part:
    """The sums of one span, and the mark under which they were asked for."""

    mark: str
    sums: Sums


@dataclass(slots=True)
class Known:
    """What is kept of one question: parts by span, and totals of parts by first and last span."""

    parts: dict[str, Part] = field(default_factory=dict)
    totals: dict[tuple[str, str], tuple[list[Part], Sums]] = field(default_factory=dict)

    @property
    def lines(self) -> int:
        return sum(len(part.sums) for part in self.parts.values())

    def total(self, of: tuple[str, str], parts: list[Part]) -> Sums:
        """The parts added up: the last total, less and plus those that changed since."""
        before, total = self.totals.get(of, ([], {}))
        if len(before) != len(parts):
            before, total = [Part("", {})] * len(parts), {}
        changed = [pair for pair in zip(before, parts, strict=True) if pair[0] is not pair[1]]
        if changed:
            total = dict(total)
            for old, new in changed:
                _add(total, old.sums, -1)
                _add(total, new.sums, 1)
            total = {key: numbers for key, numbers in total.items() if any(numbers)}
            self.totals[of] = (parts, total)
        return total


_known: OrderedDict[Piece, Known] = OrderedDict()
_turns = Lock()


@lru_cache(maxsize=500)
def spans_of(
    since: datetime.date, until: datetime.date, parted_at: datetime.datetime | None = None
) -> tuple[Span, ...]:
    """The months of the days; the one in which ``parted_at`` lies is two.

    That very moment belongs to what is over.
    """
    after = parted_at and parted_at + datetime.timedelta(microseconds=1)
    spans, month = [], since.replace(day=1)
    while month <= until:
        begins = midnight(max(month, since))
        ends = midnight(min(months_on(month), until + datetime.timedelta(days=1)))
        cuts = [begins, after, ends] if after and begins < after < ends else [begins, ends]
        spans += [
            Span(f"{first} {last}", month, first, last, after is None or last <= after)
            for first, last in pairwise(cuts)
        ]
        month = months_on(month)
    return tuple(spans)


def by_span(question: Question, spans: Sequence[Span]) -> list[Sums]:
    """The sums of each span: those kept, and in one statement those that changed."""
    return [part.sums for part in _parts(question, _of(question), spans)]


def added_up(question: Question, spans: Sequence[Span]) -> Sums:
    """The sums of all spans together."""
    return added_up_apart(question, spans)[True]


def added_up_apart(question: Question, spans: Sequence[Span]) -> dict[bool, Sums]:
    """The sums of the spans that are over, and of the others."""
    known = _of(question)
    parts = list(zip(spans, _parts(question, known, spans), strict=True))
    found: dict[bool, Sums] = {}
    for over in (True, False):
        some = [(span.name, part) for span, part in parts if span.over is over]
        names = [name for name, _ in some]
        of = (names[0], names[-1]) if names else ("", "")
        found[over] = known.total(of, [part for _, part in some])
    return found


def forget() -> None:
    """Keep nothing, as when the process starts."""
    _known.clear()


def _add(total: Sums, sums: Sums, sign: int) -> None:
    for key, numbers in sums.items():
        there = total.get(key)
        if there is None:
            there = (0,) * len(numbers)
        total[key] = tuple(a + sign * b for a, b in zip(there, numbers, strict=True))


def _of(question: Question) -> Known:
    with _turns:
        known = _known.setdefault(question.piece, Known())
        _known.move_to_end(question.piece)
    return known


def _parts(question: Question, known: Known, spans: Sequence[Span]) -> list[Part]:
    marks = marks_now()
    named = [marks.get(question.kind, span.month.isoformat()) for span in spans]
    parts = [known.parts.get(span.name) for span in spans]
    stale = [
        place
        for place, (part, mark) in enumerate(zip(parts, named, strict=True))
        if part is None or part.mark != mark
    ]
    if stale:
        asked = within(*((spans[place].since, spans[place].until) for place in stale))
        rows: list[Fetched] = [[] for _ in stale]
        for row in fetch(asked + question.piece):
            rows[row[0]].append(row)
        for place, found in zip(stale, rows, strict=True):
            parts[place] = Part(named[place], question.sums(found))
        _keep(known, {spans[place].name: part for place in stale if (part := parts[place])})
    return [part for part in parts if part is not None]


def _keep(known: Known, parts: dict[str, Part]) -> None:
    """Keep new parts, and let the questions longest not asked go; threads take turns."""
    with _turns:
        known.parts.update(parts)
        while len(_known) > 1 and sum(each.lines for each in _known.values()) > MOST_LINES:
            _known.popitem(last=False)
