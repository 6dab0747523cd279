"""By which day a bench has surely done a piece of work, with the work that goes first. Pure.

The answer is a day it cannot come later than, not a forecast of one run of luck. A queue played
through day by day is no basis for a promise: with more hands, or with one garment fewer, a garment
can come out later there (R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM J. Appl.
Math. 17 (1969) 416-429). The bound here moves one way only. From any day on on which the work may
be done, it either is on a bench, or every bench holds work that goes first and was not done by that
day; so much of that work as there is can hold it up, and no more (the busy-period argument of fixed
priority scheduling: M. Joseph and P. Pandya, "Finding response times in a real-time system",
Comput. J. 29 (1986) 390-395; for several machines, as Graham).

Days are ordinals (datetime.date.toordinal); a piece of work is done by a day when it is finished on
the day before.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from heapq import nlargest

from fittings.promise.calendar import FURTHEST
from fittings.promise.errors import PromiseError

# How many makers sit at the bench on a day, and the minutes of each; 0 and 0 when nobody does.
Hands = Callable[[int], tuple[int, int]]

# Sums of minutes over makers are thirds and the like; far under a minute.
_SLIP = 1e-6

# Work that goes first: its earliest day, its minutes, and the day it is done by; in that order.
Ahead = tuple[int, int, int]

# Later than any day.
_NEVER = 1 << 62


@dataclass(frozen=True, slots=True)
class Work:
    """Minutes at a bench that cannot begin before ``may_begin`` and are surely done by ``done``."""

    minutes: int
    may_begin: int
    done: int


class Bench:
    """The minutes of a bench, summed up day by day as far as somebody has asked."""

    def __init__(self, hands: Hands) -> None:
        self.hands = hands
        self._restart(_NEVER)

    def _restart(self, first: int) -> None:
        self._first = first
        # Before each day: the minutes of one maker, of all makers, and by how many sat there.
        self._one, self._all = [0], [0]
        self._seated: dict[int, list[int]] = {}
        self._rises: list[int] = []
        self._latest = 0

    def one(self, since: int, end: int) -> int:
        """The minutes one maker sits there from ``since`` up to, not including, ``end``."""
        self._reach(since, end)
        return self._one[end - self._first] - self._one[since - self._first]

    def room(self, since: int, end: int) -> list[tuple[int, int]]:
        """The minutes of all makers in those days by how many sat there, fewest first."""
        self._reach(since, end)
        start, stop = since - self._first, end - self._first
        sums = ((makers, row[stop] - row[start]) for makers, row in self._seated.items())
        return [(makers, minutes) for makers, minutes in sums if minutes]

    def rises(self, since: int, end: int) -> set[int]:
        """The days after ``since`` and before ``end`` with more makers than sat there last."""
        self._reach(since, end)
        return set(self._rises[bisect_right(self._rises, since) : bisect_left(self._rises, end)])

    def one_has(self, since: int, minutes: float) -> int:
        """The first day before which one maker has sat there for ``minutes`` from ``since`` on.

        A day over three years on when that never comes.
        """
        self._reach(since, since)
        return self._end(self._one, since, minutes)

    def all_have(self, since: int, minutes: float) -> int:
        """As one_has, for the minutes of all makers together."""
        self._reach(since, since)
        return self._end(self._all, since, minutes)

    def _end(self, sums: list[int], since: int, minutes: float) -> int:
        enough = sums[since - self._first] + minutes - _SLIP
        furthest = since + FURTHEST.days
        while sums[-1] < enough and (known := self._known) <= furthest:
            self._reach(since, known + 64)
        if sums[-1] < enough:
            return furthest + 1
        return self._first + bisect_left(sums, enough, lo=since - self._first)

    @property
    def _known(self) -> int:
        return self._first + len(self._one) - 1

    def _reach(self, since: int, end: int) -> None:
        """Have the sums ready for the days from ``since`` and before ``end``."""
        if since < self._first:
            self._restart(since)
        for day in range(self._known, end):
            makers, each = self.hands(day)
            if makers:
                if makers > self._latest > 0:
                    self._rises.append(day)
                self._latest = makers
            if makers and makers not in self._seated:
                self._seated[makers] = [0] * len(self._one)
                self._seated = dict(sorted(self._seated.items()))
            for seated, sums in self._seated.items():
                sums.append(sums[-1] + (makers * each if seated == makers else 0))
            self._one.append(self._one[-1] + each)
            self._all.append(self._all[-1] + makers * each)


def done_by(minutes: int, begins: int, first: Sequence[Work], bench: Bench) -> int:
    """The first day by which ``minutes`` that may begin on ``begins`` are surely done.

    ``first`` is the work of the same bench that goes before it. One maker at a time works on it.
    PromiseError when the bench does not get to it within three years.
    """
    before = sorted(
        [(work.may_begin, work.minutes, work.done) for work in first if work.done > begins]
    )
    furthest = begins + FURTHEST.days
    best = min(_since(begins, minutes, before, bench, furthest + 1), furthest + 1)
    soonest = bench.one_has(begins, minutes)
    if best > soonest:
        best = _from_later(minutes, before, bench, (begins, soonest, best))
    if best > furthest:
        raise PromiseError("The benches do not get to this within three years.")
    return best


def _from_later(
    minutes: int, before: Sequence[Ahead], bench: Bench, bounds: tuple[int, int, int]
) -> int:
    """The first day of all that later beginnings tell, and of the best so far.

    ``bounds`` are the earliest beginning, the day nothing can be before, and that best. Only where
    work that goes first is done, or more makers come, can a later beginning tell more.
    """
    begins, soonest, best = bounds
    waiting, ahead = _Waiting(before), before
    for since in sorted({done for _, _, done in before} | bench.rises(begins, best)):
        if since >= best or best == soonest:
            break
        if not waiting.surely_past(minutes, since, best - 1, bench):
            ahead = [row for row in ahead if row[2] > since]
            best = min(best, _since(since, minutes, ahead, bench, best))
    return best


class _Waiting:
    """The minutes that go first and lie at the bench, for days asked about in rising order."""

    def __init__(self, before: Sequence[Ahead]) -> None:
        self._comes = iter([*((day, each) for day, each, _ in before), (_NEVER, 0)])
        self._goes = iter([*sorted((done, each) for _, each, done in before), (_NEVER, 0)])
        self._coming, self._going = next(self._comes), next(self._goes)
        self._minutes = 0
        self._each = [each for _, each, _ in before]
        self._longest: dict[int, int] = {}

    def surely_past(self, minutes: int, since: int, end: int, bench: Bench) -> bool:
        """Whether what lies there on ``since`` alone keeps the work from being done by ``end``.

        What comes later can but hold up more. The makers are counted as if as many sat there on
        every day as on the fullest: then the longest pieces hold up nothing.
        """
        while self._coming[0] <= since:
            self._minutes += self._coming[1]
            self._coming = next(self._comes)
        while self._going[0] <= since:
            self._minutes -= self._going[1]
            self._going = next(self._goes)
        room = bench.room(since, end)
        free = room[-1][0] - 1 if room else 0
        held_up = min(_filled(self._minutes, room), max(self._minutes - self._in_longest(free), 0))
        return bench.one(since, end) - held_up + _SLIP < minutes

    def _in_longest(self, count: int) -> int:
        if count not in self._longest:
            self._longest[count] = sum(nlargest(count, self._each))
        return self._longest[count]


def soonest_by(minutes: int, begins: int, first: Sequence[Work], benches: Sequence[Bench]) -> int:
    """As done_by, on whichever of the ``benches`` it is surely done first.

    PromiseError when none of them gets to it.
    """
    return _best(min, (partial(done_by, minutes, begins, first, bench) for bench in benches))


def alone_by(minutes: int, begins: int, benches: Sequence[Bench]) -> int:
    """As soonest_by with nothing else on the bench."""
    return soonest_by(minutes, begins, (), benches)


def last_begin(minutes: int, done: int, benches: Sequence[Bench]) -> int:
    """As begin_by, on whichever of the ``benches`` it can begin last."""
    return _best(max, (partial(begin_by, minutes, done, bench.hands) for bench in benches))


def _best(choose: Callable[[Sequence[int]], int], ways: Iterable[Callable[[], int]]) -> int:
    """The best day of those ways that come to one; the last refusal when none does."""
    found: list[int] = []
    refused = PromiseError("Nobody sits at this bench.")
    for way in ways:
        try:
            found.append(way())
        except PromiseError as error:
            refused = error
    if not found:
        raise refused
    return choose(found)


def begin_by(minutes: int, done: int, hands: Hands) -> int:
    """The last day to begin ``minutes`` so that, alone on the bench, they are done by ``done``."""
    left, day = minutes, done
    while left > 0:
        day -= 1
        left -= hands(day)[1]
        if done - day > FURTHEST.days:
            raise PromiseError("The benches have no such time within three years.")
    return day


def _since(since: int, minutes: int, ahead: Sequence[Ahead], bench: Bench, until: int) -> int:
    """The first day by which they are surely done if begun on ``since``; or any from ``until`` on.

    What holds the work up never shrinks from one day to the next, so each answer that leaves out
    what comes until then is too early or right, and is asked again with it (the response time's
    recurrence, Joseph and Pandya).
    """
    days, each = [row[0] for row in ahead], [row[1] for row in ahead]
    known = bisect_right(days, since)
    rivals = sorted(each[:known])
    total = sum(rivals)
    end, asked = bench.one_has(since, minutes), since
    while asked < end < until:
        asked = end
        if more := each[known : bisect_left(days, end, known)]:
            known += len(more)
            rivals = sorted(rivals + more)
            total += sum(more)
        room = bench.room(since, end)
        # With n makers, whenever all are busy one of them has a piece not among the n - 1 longest.
        short = total - sum(rivals[max(len(rivals) - room[0][0] + 1, 0) :])
        held_up = min(_filled(total, room), short)
        end = bench.one_has(since, minutes + held_up)
        if held_up < short:
            # Until all of that has been on the benches, or a maker is free, nothing goes into it.
            end = max(end, min(bench.all_have(since, total), bench.one_has(since, minutes + short)))
    return end


def _filled(total: int, room: Iterable[tuple[int, int]]) -> float:
    """How long all makers can be busy at once with ``total`` minutes of work.

    ``room`` are the minutes of the benches by how many makers sat there. Days with the fewest
    makers are the easiest to fill, so they come first.
    """
    left = total
    held = 0.0
    for makers, minutes in room:
        filled = min(left, minutes)
        held += filled / makers
        left -= filled
    return held
