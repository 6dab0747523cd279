"""Times of the diary: the house's clock, quarters of an hour, and what is still free. Pure."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

QUARTER = datetime.timedelta(minutes=15)
DAY = datetime.timedelta(days=1)
UTC = datetime.UTC


class ClockError(ValueError):
    """A time that the house's clock never shows on that day, or shows twice."""


@dataclass(frozen=True)
class Span:
    """From ``starts`` up to, and not including, ``ends``; both aware."""

    starts: datetime.datetime
    ends: datetime.datetime

    def meets(self, other: "Span") -> bool:
        return self.starts < other.ends and other.starts < self.ends


def never(_day: datetime.date) -> str:
    return ""


@dataclass(frozen=True)
class Hours:
    """When the house is open, by its own clock.

    ``opens`` and ``closes`` hold for weekdays that ``week`` (Monday 0) does not name, and are the
    earliest and latest that a page has to show. ``why_closed`` says why a day is, or nothing;
    ``why_shut`` the same of closures and holidays alone, whatever weekday it is.
    """

    opens: datetime.time
    closes: datetime.time
    zone: ZoneInfo
    week: Mapping[int, tuple[datetime.time, datetime.time]] = field(default_factory=dict)
    why_closed: Callable[[datetime.date], str] = never
    why_shut: Callable[[datetime.date], str] = never
    says: str = "The house is open"

    def clock(self, day: datetime.date) -> tuple[datetime.time, datetime.time]:
        """When the house opens and closes on such a weekday, were it open."""
        return self.week.get(day.weekday(), (self.opens, self.closes))

    def on(self, day: datetime.date) -> Span:
        """The opening hours of ``day``, in UTC. Empty on a closed day, or when none make sense."""
        opens, closes = (
            datetime.datetime.combine(day, at, self.zone).astimezone(UTC) for at in self.clock(day)
        )
        return Span(opens, opens if self.why_closed(day) else max(opens, closes))

    def whole_day(self, day: datetime.date) -> Span:
        """From midnight to midnight by the house's clock: 23 or 25 hours when clocks change."""
        midnight, next_midnight = (
            datetime.datetime.combine(on, datetime.time.min, self.zone).astimezone(UTC)
            for on in (day, day + DAY)
        )
        return Span(midnight, next_midnight)

    def day_of(self, at: datetime.datetime) -> datetime.date:
        return at.astimezone(self.zone).date()


def moment(day: datetime.date, at: datetime.time, zone: ZoneInfo) -> datetime.datetime:
    """The one moment, in UTC, when the clock in ``zone`` shows ``at`` on ``day``.

    ClockError in the hour that is left out in spring and in the one that comes twice in autumn.
    """
    earlier = datetime.datetime.combine(day, at, zone)
    later = earlier.replace(fold=1)
    found = earlier.astimezone(UTC)
    if earlier.utcoffset() == later.utcoffset():
        return found
    if found.astimezone(zone).replace(tzinfo=None) != earlier.replace(tzinfo=None):
        raise ClockError(f"The clocks go forward that night: there is no {at:%H:%M}.")
    raise ClockError(f"The clocks go back that night: {at:%H:%M} comes twice. Take another time.")


def next_quarter(at: datetime.datetime) -> datetime.datetime:
    """``at``, or the first quarter of an hour after it. Every zone of today keeps to quarters."""
    past = datetime.timedelta(
        minutes=at.minute % 15, seconds=at.second, microseconds=at.microsecond
    )
    return at + (QUARTER - past if past else past)


def free_starts(
    fitter: Iterable[Span],
    rooms: Sequence[Iterable[Span]],
    *,
    within: Span,
    length: datetime.timedelta,
) -> Iterator[datetime.datetime]:
    """Every quarter hour ``within`` at which ``length`` fits for the fitter and one of the rooms.

    ``fitter`` and each of ``rooms`` are the spans already taken.
    """
    busy = [span for span in fitter if span.meets(within)]
    used = [[span for span in room if span.meets(within)] for room in rooms]
    start = next_quarter(within.starts)
    while start + length <= within.ends:
        wished = Span(start, start + length)
        if not _meets_any(wished, busy) and not all(_meets_any(wished, room) for room in used):
            yield start
        start += QUARTER


def _meets_any(wished: Span, taken: Iterable[Span]) -> bool:
    return any(wished.meets(span) for span in taken)


def next_free(
    fitter: Iterable[Span],
    rooms: Sequence[Iterable[Span]],
    *,
    since: datetime.datetime,
    days: int,
    hours: Hours,
    length: datetime.timedelta,
) -> Iterator[datetime.datetime]:
    """The free times from ``since`` on, over ``days`` days, that the clock shows only once."""
    busy, used = list(fitter), [list(room) for room in rooms]
    first = hours.day_of(since)
    for day in (first + number * DAY for number in range(days)):
        opening = hours.on(day)
        within = Span(max(opening.starts, since), opening.ends)
        for start in free_starts(busy, used, within=within, length=length):
            if _shown_once(start, hours.zone):
                yield start


def _shown_once(at: datetime.datetime, zone: ZoneInfo) -> bool:
    shown = at.astimezone(zone)
    return shown.utcoffset() == shown.replace(fold=1 - shown.fold).utcoffset()
