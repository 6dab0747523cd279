"""What the house's calendar says: hours, closed days and why, who is away, what must be moved."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.contrib.auth.models import User
from django.utils import timezone

from customers.models import House
from fittings.models import Absence, Closure, HolidayRule, OpeningHours
from fittings.opendays.closings import Closing, OpenDays, Week
from fittings.promise.calendar import FURTHEST, HouseCalendar, Period
from fittings.promise.errors import PromiseError
from fittings.promise.public_holidays import holiday_names


@dataclass(frozen=True)
class Entered:
    """Everything standing that says when the house is open."""

    house: House
    hours: Sequence[OpeningHours]
    closures: Sequence[Closure]
    rule: HolidayRule | None

    @cached_property
    def week(self) -> Week:
        """Opening and closing by weekday; a day without an entry keeps the house's one rule."""
        usual = (self.house.opens, self.house.closes)
        week = dict.fromkeys(range(7), usual)
        for row in self.hours:
            if row.opens is None or row.closes is None:
                del week[row.weekday]
            else:
                week[row.weekday] = (row.opens, row.closes)
        return week

    def named(self, day: datetime.date) -> str:
        """What the public holiday of ``day`` is called, whether the house works on it or not."""
        if self.rule is None:
            return ""
        try:
            names = holiday_names(self.rule.country, self.rule.subdivision, day.year)
        except PromiseError:  # a later release of the package may know a part no more
            return ""
        return names.get(day, "")

    def holiday(self, day: datetime.date) -> str:
        """The public holiday on which the house does not work, or nothing."""
        name = self.named(day)
        return "" if self.rule is None or name in self.rule.open_anyway else name

    @property
    def days(self) -> OpenDays:
        closings = [
            Closing(row.first, row.last, row.reason, row.repeats, row.until)
            for row in self.closures
        ]
        return OpenDays(self.week, closings, self.holiday)


def entered() -> Entered:
    """Four queries, however long the house has kept its calendar."""
    return Entered(
        House.get(),
        list(OpeningHours.objects.standing()),
        list(Closure.objects.standing()),
        standing_rule(),
    )


def standing_rule() -> HolidayRule | None:
    return HolidayRule.objects.standing().order_by("-at", "-id").first()


def house_calendar(
    first: datetime.date | None = None, last: datetime.date | None = None
) -> HouseCalendar:
    """The calendar promises are reckoned by, with the closed days from ``first`` to ``last``.

    From today, and three years on at most, where nothing else is asked. Four queries.
    """
    kept = entered()
    first = first or timezone.localdate()
    furthest = first + min(FURTHEST, datetime.date.max - first)
    last = min(last or furthest, furthest)
    days = [first + datetime.timedelta(days=n) for n in range((last - first).days + 1)]
    return HouseCalendar(
        hours=kept.week,
        zone=timezone.get_default_timezone(),
        closed=frozenset(kept.days.closed_within(first, last)),
        public_holidays=frozenset(day for day in days if kept.holiday(day)),
    )


def closed_because(day: datetime.date) -> str:
    """Why the house is closed on ``day``, in plain words; empty when it is open. Four queries."""
    return entered().days.why_closed(day)


def absences(first: datetime.date, last: datetime.date) -> list[tuple[User, Period]]:
    """Who is away on which of the days from ``first`` to ``last``, by first day. One query."""
    return [(row.person, Period(row.first, row.last)) for row in absent_within(first, last)]


def absent_within(first: datetime.date, last: datetime.date) -> Sequence[Absence]:
    rows = Absence.objects.standing().filter(first__lte=last, last__gte=first)
    return list(rows.select_related("person"))
