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

from bisect import insort
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import accumulate

from fittings.promise.calendar import FURTHEST
from fittings.promise.errors import PromiseError

# How many makers sit at the bench on a day, and the minutes of each; 0 and 0 when nobody does.
Hands = Callable[[int], tuple[int, int]]

# Sums of minutes over makers are thirds and the like; far under a minute.
_SLIP = 1e-6


@dataclass(frozen=True, slots=True)
class Work:
    """Minutes at a bench that cannot begin before ``may_begin`` and are surely done by ``done``."""

    minutes: int
    may_begin: int
    done: int


def done_by(minutes: int, begins: int, first: Sequence[Work], hands: Hands) -> int:
    """The first day by which ``minutes`` that may begin on ``begins`` are surely done.

    ``first`` is the work of the same bench that goes before it. One maker at a time works on it.
    PromiseError when the bench does not get to it within three years.
    """
    best = begins + FURTHEST.days
    found: Room | None = None
    before = sorted(
        (work.may_begin, work.minutes, work.done) for work in first if work.done > begins
    )
    for since in sorted({begins, *(done for _, _, done in before)}):
        if since >= best:
            break
        if found:
            there = [each for day, each, done in before if done > since >= day]
            if found.most_sure(since, best, there) + _SLIP < minutes:
                continue
        ahead = [(day, each) for day, each, done in before if done > since]
        for day, sure in _sure_minutes(since, ahead, hands, best):
            if sure + _SLIP >= minutes:
                best, found = day + 1, found or Room(begins, day + 1, hands)
                break
    if not found:
        raise PromiseError("The benches do not get to this within three years.")
    return best


class Room:
    """The bench's minutes from ``begins`` up to ``end``, summed up once for one piece of work."""

    def __init__(self, begins: int, end: int, hands: Hands) -> None:
        self._begins = begins
        days = [hands(day) for day in range(begins, end)]
        self._passed = list(accumulate((each for _, each in days), initial=0))
        self._room = {
            seated: list(
                accumulate((n * each if n == seated else 0 for n, each in days), initial=0)
            )
            for seated in {n for n, _ in days if n}
        }

    def most_sure(self, since: int, until: int, there: Sequence[int]) -> float:
        """What no day from ``since`` and before ``until`` can exceed as its sure minutes.

        ``there`` are the minutes of what goes first and may be done on the first day. What comes
        later can but hold up more, and with the same work ahead the sure minutes never fall from
        one day to the next.
        """
        start, end = since - self._begins, until - self._begins
        passed = self._passed[end] - self._passed[start]
        room = {n: sums[end] - sums[start] for n, sums in self._room.items()}
        room = {n: minutes for n, minutes in room.items() if minutes}
        if not room:
            return passed
        return passed - _held_up(sorted(there), sum(there), room)


def soonest_by(minutes: int, begins: int, first: Sequence[Work], benches: Sequence[Hands]) -> int:
    """As done_by, on whichever of the ``benches`` it is surely done first.

    PromiseError when none of them gets to it.
    """
    return _best(min, (partial(done_by, minutes, begins, first, hands) for hands in benches))


def alone_by(minutes: int, begins: int, benches: Sequence[Hands]) -> int:
    """As soonest_by with nothing else on the bench."""
    return soonest_by(minutes, begins, (), benches)


def last_begin(minutes: int, done: int, benches: Sequence[Hands]) -> int:
    """As begin_by, on whichever of the ``benches`` it can begin last."""
    return _best(max, (partial(begin_by, minutes, done, hands) for hands in benches))


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


def _sure_minutes(
    since: int, ahead: Sequence[tuple[int, int]], hands: Hands, until: int
) -> Iterator[tuple[int, float]]:
    """Each day from ``since`` with the minutes that surely went into the work by its evening.

    ``ahead`` are the earliest days and the minutes of what goes first, by day.
    """
    rivals = sorted(minutes for day, minutes in ahead if day <= since)
    passed, nearest, total = 0, len(rivals), sum(rivals)
    room: dict[int, int] = {}
    for day in range(since, until):
        while nearest < len(ahead) and ahead[nearest][0] <= day:
            insort(rivals, ahead[nearest][1])
            total += ahead[nearest][1]
            nearest += 1
        makers, each = hands(day)
        if makers:
            passed += each
            room[makers] = room.get(makers, 0) + makers * each
            yield day, passed - _held_up(rivals, total, room)


def _held_up(rivals: Sequence[int], total: int, room: Mapping[int, int]) -> float:
    """The most minutes one piece of work can wait: all makers must be busy for it to wait at all.

    ``rivals`` are the minutes of each piece that goes first, shortest first, ``total`` their sum,
    kept beside them because long queues would be summed again each day; ``room`` sums the bench
    minutes of the days by how many makers sat there. Days with the fewest makers are the easiest to
    fill, so they are filled first. With n makers, whenever all are busy one of them has
    a piece that is not among the n - 1 longest.
    """
    short = len(rivals) - (min(room) - 1)
    if short <= 0:
        return 0.0
    left = total
    held = 0.0
    for makers in sorted(room):
        filled = min(left, room[makers])
        held += filled / makers
        left -= filled
    return min(held, total - sum(rivals[short:]))
