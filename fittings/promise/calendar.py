"""The house's working calendar: opening hours by weekday, closed days and public holidays. Pure.

``shift`` counts open days as numpy.busday_offset does: the day is first rolled to an open one.
"""

import datetime
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from zoneinfo import ZoneInfo

from fittings.diary.slots import Hours, Span
from fittings.promise.errors import PromiseError
from fittings.spoken import date_text

DAY = datetime.timedelta(days=1)
SUNDAY = 6

# Nobody promises a garment further off; past it a wrong year was typed. Common practice, no source.
FURTHEST = datetime.timedelta(days=3 * 366)


@dataclass(frozen=True)
class HouseCalendar:
    """Open on a day that has hours and is neither closed nor a public holiday.

    ``hours`` maps the weekday (Monday 0) to opening and closing by the clock in ``zone``.
    """

    hours: Mapping[int, tuple[datetime.time, datetime.time]]
    zone: ZoneInfo
    closed: frozenset[datetime.date] = frozenset()
    public_holidays: frozenset[datetime.date] = frozenset()

    def __post_init__(self) -> None:
        if not self.hours:
            raise PromiseError("The house is open on no day of the week.")
        for weekday, (opens, closes) in self.hours.items():
            if weekday not in range(SUNDAY + 1):
                raise PromiseError(f"There is no weekday {weekday}: Monday is 0, Sunday is 6.")
            if closes <= opens:
                raise PromiseError(f"The house closes at {closes:%H:%M}, before it opens.")

    def is_open(self, day: datetime.date) -> bool:
        return (
            day.weekday() in self.hours
            and day not in self.closed
            and day not in self.public_holidays
        )

    def opening(self, day: datetime.date) -> Span | None:
        """The opening hours of ``day`` as two moments in UTC; None when closed."""
        if not self.is_open(day):
            return None
        opens, closes = self.hours[day.weekday()]
        return Hours(opens, closes, self.zone).on(day)

    def minutes(self, day: datetime.date) -> int:
        """How long the house is open: true minutes, also across a change of the clocks."""
        span = self.opening(day)
        return (span.ends - span.starts) // datetime.timedelta(minutes=1) if span else 0

    def next_open(self, day: datetime.date) -> datetime.date:
        """``day`` itself, or the first open day after it."""
        return self._roll(day, DAY)

    def previous_open(self, day: datetime.date) -> datetime.date:
        """``day`` itself, or the last open day before it."""
        return self._roll(day, -DAY)

    def shift(self, day: datetime.date, count: int) -> datetime.date:
        """``count`` open days on, or back when negative; a closed day is rolled that way first."""
        step = DAY if count >= 0 else -DAY
        found = self._roll(day, step)
        for _ in range(abs(count)):
            found = self._roll(_step(found, step), step)
        return found

    def count(self, first: datetime.date, end: datetime.date) -> int:
        """Open days from ``first`` up to, not including, ``end``; negative when it is before."""
        if end < first:
            return -self.count(end, first)
        span = (end - first).days
        usual = sum((span + (first.weekday() - weekday - 1) % 7) // 7 for weekday in self.hours)
        closed = self._closed_days
        return usual - (bisect_left(closed, end) - bisect_left(closed, first))

    @cached_property
    def _closed_days(self) -> list[datetime.date]:
        """In order, the days without opening on weekdays that have hours."""
        days = self.closed | self.public_holidays
        return sorted(day for day in days if day.weekday() in self.hours)

    def _roll(self, day: datetime.date, step: datetime.timedelta) -> datetime.date:
        found = day
        while not self.is_open(found):
            found = _step(found, step)
            if abs(found - day) > FURTHEST:
                raise PromiseError(f"The house is closed for three years around {date_text(day)}.")
        return found


@dataclass(frozen=True)
class Period:
    """Days from ``first`` to ``last``, both counted. PromiseError when it ends before it starts."""

    first: datetime.date
    last: datetime.date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise PromiseError(
                f"This ends on {date_text(self.last)}, before it starts on {date_text(self.first)}."
            )
        if self.last - self.first > FURTHEST:
            raise PromiseError("This lasts longer than three years: look at the year.")

    def __contains__(self, day: datetime.date) -> bool:
        return self.first <= day <= self.last

    def __iter__(self) -> Iterator[datetime.date]:
        return (self.first + n * DAY for n in range((self.last - self.first).days + 1))


def days_of(periods: Iterable[Period]) -> frozenset[datetime.date]:
    return frozenset(day for period in periods for day in period)


def _step(day: datetime.date, step: datetime.timedelta) -> datetime.date:
    try:
        return day + step
    except OverflowError:
        raise PromiseError(f"{date_text(day)} is beyond any calendar: look at the year.") from None
