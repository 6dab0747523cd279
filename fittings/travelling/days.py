"""On which days a trip takes place, from its first days and how they come back. Pure."""

import calendar
import datetime
from collections.abc import Iterator
from dataclasses import dataclass

DAY = datetime.timedelta(days=1)
WEEK = 7
MONTHS = 12
LAST_OF_MONTH = 5  # a fifth weekday is not in every month: it stands for the last one
ONCE, WEEKLY, MONTHLY = "", "weekly", "monthly"
ORDINALS = ("first", "second", "third", "fourth", "last")


@dataclass(frozen=True, order=True)
class Run:
    """One time that a trip takes place: from ``first`` to ``last``, both counted."""

    first: datetime.date
    last: datetime.date

    def __contains__(self, day: datetime.date) -> bool:
        return self.first <= day <= self.last


@dataclass(frozen=True)
class Pattern:
    """The runs of a trip: the days ``first`` to ``last``, once or coming back.

    Weekly: every ``every`` weeks. Monthly: on the same weekday of each month, a fifth one being
    the last. None begins after ``until``; those that begin on a day of ``off`` do not take place,
    nor does any from ``ends`` on.
    """

    first: datetime.date
    last: datetime.date
    repeats: str = ONCE
    every: int = 1
    until: datetime.date | None = None
    off: frozenset[datetime.date] = frozenset()
    ends: datetime.date | None = None

    def runs(self, since: datetime.date, to: datetime.date) -> Iterator[Run]:
        """Those that take place and meet the days from ``since`` to ``to``, in order."""
        more = self.last - self.first
        for first in self._starts(since - more):
            if first > to or not self._goes_on(first):
                return
            if first + more >= since and first not in self.off:
                yield Run(first, first + more)

    def run_on(self, day: datetime.date) -> Run | None:
        return next(self.runs(day, day), None)

    def next_run(self, day: datetime.date, within: datetime.timedelta) -> Run | None:
        """The first that is not over on ``day`` and begins ``within`` so long."""
        return next(self.runs(day, day + within), None)

    def _goes_on(self, first: datetime.date) -> bool:
        return (self.until is None or first <= self.until) and (
            self.ends is None or first < self.ends
        )

    def _starts(self, since: datetime.date) -> Iterator[datetime.date]:
        """The days on which runs begin; those long before ``since`` may be passed over."""
        if self.repeats == WEEKLY:
            step = self.every * WEEK * DAY
            first = self.first + max(0, (since - self.first) // step) * step
            while True:
                yield first
                first += step
        elif self.repeats == MONTHLY:
            number = self.first.year * MONTHS + self.first.month - 1
            number = max(number, since.year * MONTHS + since.month - 2)
            while True:
                yield self._in_month(*divmod(number, MONTHS))
                number += 1
        else:
            yield self.first

    def _in_month(self, year: int, month_before: int) -> datetime.date:
        month = datetime.date(year, month_before + 1, 1)
        first = month + (self.first.weekday() - month.weekday()) % WEEK * DAY
        wished = first + (self._nth - 1) * WEEK * DAY
        days = calendar.monthrange(year, month.month)[1]
        return wished if wished <= month + (days - 1) * DAY else wished - WEEK * DAY

    @property
    def _nth(self) -> int:
        return (self.first.day - 1) // WEEK + 1

    def __str__(self) -> str:
        """How the days come back, as it is spoken; nothing for once."""
        if self.repeats == WEEKLY:
            weeks = "week" if self.every == 1 else f"{self.every} weeks"
            return f"every {weeks}, {self.first:%A}"
        if self.repeats == MONTHLY:
            return f"every month, the {ORDINALS[self._nth - 1]} {self.first:%A}"
        return ""
