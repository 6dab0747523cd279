"""On which days the house is closed, and why, from what it has entered. Pure."""

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

DAY = datetime.timedelta(days=1)
WEEK = 7
ONCE, WEEKLY, YEARLY = "", "weekly", "yearly"
WEEKDAYS = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")

Week = Mapping[int, tuple[datetime.time, datetime.time]]
Named = Callable[[datetime.date], str]


@dataclass(frozen=True)
class Closing:
    """Days from ``first`` to ``last``, both counted, that may come back every week or year.

    Nothing after ``until`` is closed by it. One that began on 29 February begins on the 28th in a
    year without it.
    """

    first: datetime.date
    last: datetime.date
    reason: str = ""
    repeats: str = ONCE
    until: datetime.date | None = None

    def covers(self, day: datetime.date) -> bool:
        if day < self.first or (self.until is not None and day > self.until):
            return False
        if self.repeats == WEEKLY:
            return (day - self.first).days % WEEK <= self._more
        if self.repeats == YEARLY:
            starts = (self._start_in(day.year), self._start_in(day.year - 1))
            return any(start <= day <= _later(start, self._more) for start in starts)
        return day <= self.last

    @property
    def _more(self) -> int:
        """How many days follow its first."""
        return (self.last - self.first).days

    def _start_in(self, year: int) -> datetime.date:
        year = max(year, self.first.year)
        try:
            return self.first.replace(year=year)
        except ValueError:
            return datetime.date(year, 2, 28)


def _later(day: datetime.date, days: int) -> datetime.date:
    return day + min(days, (datetime.date.max - day).days) * DAY


def _nothing(_day: datetime.date) -> str:
    return ""


@dataclass(frozen=True)
class OpenDays:
    """Everything that closes a day: the week's hours, what was entered, the holidays kept.

    ``week`` maps each weekday that has hours (Monday 0) to opening and closing; ``holiday`` names
    the public holiday of a day on which the house does not work, else is empty.
    """

    week: Week
    closings: Sequence[Closing] = ()
    holiday: Named = _nothing

    def why_closed(self, day: datetime.date) -> str:
        """In plain words; empty when the house is open that day."""
        if shut := self.why_shut(day):
            return shut
        return "" if day.weekday() in self.week else f"closed on {WEEKDAYS[day.weekday()]}"

    def why_shut(self, day: datetime.date) -> str:
        """The holiday or what was entered of that very day, whatever weekday it is."""
        if name := self.holiday(day):
            return name
        return next((row.reason for row in self.closings if row.covers(day)), "")

    def closed_within(self, first: datetime.date, last: datetime.date) -> Iterator[datetime.date]:
        """The days entered as closed, whatever weekday or holiday they fall on."""
        for number in range((last - first).days + 1):
            day = first + number * DAY
            if any(row.covers(day) for row in self.closings):
                yield day
