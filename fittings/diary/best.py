"""Which of the free times are offered first. Pure.

The rule: earlier weeks before later ones, counted from the day asked for; within a week the fitter
who fitted this customer last; then times that leave no hole shorter than half an hour beside them,
which nobody could be booked into; then the earlier time. Of times that lie less than two hours
apart on one day only the first is offered, so that three are a choice. House rule.
"""

import datetime
from collections.abc import Iterable, Sequence
from typing import NamedTuple
from zoneinfo import ZoneInfo

from fittings.diary.slots import Span

MOST = 3
APART = datetime.timedelta(hours=2)
HOLE = datetime.timedelta(minutes=30)


class Free(NamedTuple):
    """A time at which a fitter (by key) is free, and whether it leaves a hole beside it.

    ``place`` is the room (by key) of a trip; nought is the house.
    """

    starts: datetime.datetime
    fitter: int
    hole: bool = False
    place: int = 0


def leaves_hole(span: Span, busy: Iterable[Span], opening: Span) -> bool:
    """Whether less than half an hour is left between ``span`` and what is next to it.

    ``busy`` does not meet ``span``; the opening hours end a day as a booking does.
    """
    ended, begins = opening.starts, opening.ends
    for other in busy:
        if other.ends <= span.starts:
            ended = max(ended, other.ends)
        elif other.starts >= span.ends:
            begins = min(begins, other.starts)
    nothing = datetime.timedelta()
    return any(nothing < gap < HOLE for gap in (span.starts - ended, begins - span.ends))


def choose(
    week: Iterable[Free],
    zone: ZoneInfo,
    *,
    known: int | None = None,
    before: Sequence[Free] = (),
    most: int = MOST,
) -> list[Free]:
    """``before``, chosen from earlier weeks, and the best of this ``week``, ``most`` together.

    ``known`` is the fitter who fitted the customer last.
    """
    chosen = list(before)
    for free in sorted(week, key=lambda free: (free.fitter != known, free.hole, free.starts)):
        if len(chosen) >= most:
            break
        if all(_apart(free.starts, other.starts, zone) for other in chosen):
            chosen.append(free)
    return chosen


def _apart(one: datetime.datetime, other: datetime.datetime, zone: ZoneInfo) -> bool:
    same_day = one.astimezone(zone).date() == other.astimezone(zone).date()
    return not same_day or abs(one - other) >= APART
