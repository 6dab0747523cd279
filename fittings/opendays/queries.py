"""What the house's calendar says: hours, closed days and why, who is away, what must be moved."""

import datetime
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

from django.contrib.auth.models import User
from django.db.models import Max, Q
from django.utils import timezone

from customers.models import House
from customers.people import name_of
from fittings.diary.slots import DAY, Span
from fittings.models import (
    Absence,
    Booking,
    BookingChange,
    Closure,
    HolidayRule,
    OpeningHours,
)
from fittings.models.calendar import WEEKDAYS
from fittings.opendays.closings import Closing, OpenDays, Week
from fittings.promise.calendar import FURTHEST, HouseCalendar, Period
from fittings.promise.errors import PromiseError
from fittings.promise.public_holidays import countries, holiday_names, parts_of
from fittings.spoken import date_text

GoesTo = Callable[[int, int, datetime.date], bool]
YEAR = 365  # days of holidays shown ahead
# What gives a booking its time: whoever did it knew the calendar of that moment.
SETTLES = (BookingChange.What.BOOKED, BookingChange.What.MOVED)


class Holidays(NamedTuple):
    """The public holidays of a place, and those of them by name on which the house works."""

    country: str = ""
    subdivision: str = ""
    worked: frozenset[str] = frozenset()

    def named(self, day: datetime.date) -> str:
        try:
            names = holiday_names(self.country, self.subdivision, day.year)
        except PromiseError:  # a later release of the package may know a part no more
            return ""
        return names.get(day, "")

    def kept(self, day: datetime.date) -> str:
        name = self.named(day)
        return "" if name in self.worked else name


@dataclass(frozen=True)
class Entered:
    """Everything standing that says when the house is open.

    Closures and holidays are asked for when they are first needed: a page that only has to know
    which day it is does without.
    """

    house: House
    hours: Sequence[OpeningHours]

    @cached_property
    def closures(self) -> Sequence[Closure]:
        return list(Closure.objects.standing())

    @cached_property
    def rule(self) -> HolidayRule | None:
        return standing_rule()

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

    @cached_property
    def holidays(self) -> Holidays:
        rule = self.rule
        if rule is None:
            return Holidays()
        return Holidays(rule.country, rule.subdivision, frozenset(rule.open_anyway))

    def named(self, day: datetime.date) -> str:
        """What the public holiday of ``day`` is called, whether the house works on it or not."""
        return self.holidays.named(day)

    def holiday(self, day: datetime.date) -> str:
        """The public holiday on which the house does not work, or nothing."""
        return self.holidays.kept(day)

    def why_closed(self, day: datetime.date) -> str:
        """In plain words; empty when the house is open that day."""
        return self.days.why_closed(day)

    def why_shut(self, day: datetime.date) -> str:
        """A holiday or closure of that very day; empty on a weekday that has no hours."""
        return self.days.why_shut(day)

    @cached_property
    def days(self) -> OpenDays:
        return OpenDays(self.week, [closing_of(row) for row in self.closures], self.holiday)


def closing_of(row: Closure) -> Closing:
    return Closing(row.first, row.last, row.reason, row.repeats, row.until)


def entered() -> Entered:
    """Two queries, and two more for closed days, however long the house has kept its calendar."""
    return Entered(House.get(), list(OpeningHours.objects.standing()))


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
    closed, holidays = _closed_days(tuple(kept.days.closings), kept.holidays, first, last)
    return HouseCalendar(kept.week, timezone.get_default_timezone(), closed, holidays)


@lru_cache(maxsize=20)
def _closed_days(
    closings: tuple[Closing, ...], kept: Holidays, first: datetime.date, last: datetime.date
) -> tuple[frozenset[datetime.date], frozenset[datetime.date]]:
    """Days entered as closed, and public holidays: of the same entries and days the very same."""
    days = [first + number * DAY for number in range((last - first).days + 1)]
    closed = OpenDays({}, closings).closed_within(first, last)
    return frozenset(closed), frozenset(day for day in days if kept.kept(day))


def closed_because(day: datetime.date) -> str:
    """Why the house is closed on ``day``, in plain words; empty when it is open. Four queries."""
    return entered().days.why_closed(day)


def absences(first: datetime.date, last: datetime.date) -> list[tuple[User, Period]]:
    """Who is away on which of the days from ``first`` to ``last``, by first day. One query.

    Who is away for some hours counts as away that day: what is promised stays sure.
    """
    return [(row.person, Period(row.first, row.last)) for row in absent_within(first, last)]


def away_text(row: Absence) -> str:
    """Who is away and until when, as it is said to someone who asks for them."""
    if hours := row.hours_text:
        last = "" if row.first == row.last else f" each day until {date_text(row.last)}"
        return f"{name_of(row.person)} is away {hours}{last}."
    return f"{name_of(row.person)} is away until {date_text(row.last)}."


def spans_away(row: Absence, first: datetime.date, last: datetime.date) -> Iterator[Span]:
    """When somebody is away between two days, both counted, in UTC: whole days are one span."""
    if row.whole_days:
        yield Span(_clock(row.first), _clock(row.last + DAY))
        return
    for number in range((min(last, row.last) - max(first, row.first)).days + 1):
        day = max(first, row.first) + number * DAY
        ends = _clock(day, row.until) if row.until else _clock(day + DAY)
        yield Span(_clock(day, row.since or datetime.time.min), ends)


def _clock(day: datetime.date, at: datetime.time = datetime.time.min) -> datetime.datetime:
    # Two moments of one zone are told apart by the clock alone, which strikes an hour twice.
    return timezone.make_aware(datetime.datetime.combine(day, at)).astimezone(datetime.UTC)


def absent_within(first: datetime.date, last: datetime.date) -> Sequence[Absence]:
    rows = Absence.objects.standing().filter(first__lte=last, last__gte=first)
    return list(rows.select_related("person"))


class Weekday(NamedTuple):
    """A weekday as the calendar's page shows it."""

    name: str
    hours: tuple[datetime.time, datetime.time] | None


class Holiday(NamedTuple):
    """A public holiday of the coming year; ``worked`` when the house opens all the same."""

    day: datetime.date
    name: str
    worked: bool


class InTheWay(NamedTuple):
    """A booking that was made before the day was closed or its fitter away, and why."""

    booking: Booking
    why: str


def week_rows(kept: Entered) -> list[Weekday]:
    return [Weekday(name, kept.week.get(number)) for number, name in enumerate(WEEKDAYS)]


def closures_from(kept: Entered, today: datetime.date) -> list[Closure]:
    """Those that close a day from ``today`` on."""
    return [row for row in kept.closures if (row.until or row.last) >= today or _comes_back(row)]


def _comes_back(row: Closure) -> bool:
    return bool(row.repeats) and row.until is None


def holidays_from(kept: Entered, today: datetime.date) -> list[Holiday]:
    """The public holidays of a year from ``today`` on."""
    days = (today + datetime.timedelta(days=number) for number in range(YEAR))
    named = ((day, kept.named(day)) for day in days)
    return [Holiday(day, name, not kept.holiday(day)) for day, name in named if name]


def place_of(rule: HolidayRule | None) -> str:
    """The country, and the part of it, whose holidays are kept."""
    if rule is None or not rule.country:
        return ""
    country = countries().get(rule.country, rule.country)
    part = parts_of(rule.country).get(rule.subdivision, rule.subdivision)
    return f"{country}, {part}" if part else country


def absent_from(today: datetime.date) -> Sequence[Absence]:
    """Absences that are not over. One query."""
    return list(Absence.objects.standing().filter(last__gte=today).select_related("person"))


def to_be_moved(
    kept: Entered,
    away: Sequence[Absence],
    now: datetime.datetime,
    goes_to: GoesTo = lambda *_: True,
) -> list[InTheWay]:
    """Bookings from ``now`` on that a closed day, new hours or an absence came over. One query.

    ``goes_to`` says whether a fitter is on a trip to a room on a day: a trip may be called off.

    What was kept knowingly, after the day was closed, stays: only absences always ask.
    """
    rows = Booking.objects.filter(state=Booking.State.BOOKED, starts_at__gte=now)
    rows = rows.annotate(settled_at=Max("changes__at", filter=Q(changes__what__in=SETTLES)))
    found = []
    # A row of the sum has no order of its own.
    for row in rows.select_related("customer", "fitter", "room").order_by("starts_at", "pk"):
        why, since = _over(row, kept, away, goes_to)
        known = since is not None and row.settled_at is not None and row.settled_at >= since
        if why and not known:
            found.append(InTheWay(row, why))
    return found


def _over(
    booking: Booking, kept: Entered, away: Sequence[Absence], goes_to: GoesTo
) -> tuple[str, datetime.datetime | None]:
    """Why the booking cannot stand, and since when that is known; None when it always asks."""
    starts, ends = (timezone.localtime(at) for at in (booking.starts_at, booking.ends_at))
    day = starts.date()
    for row in away:
        if row.person_id == booking.fitter_id and _keeps_away(row, booking, day):
            return away_text(row), None
    if booking.room.town:
        why = kept.why_shut(day)
        if why or goes_to(booking.room_id, booking.fitter_id, day):
            return f"No fittings: {why}." if why else "", _closed_since(day, kept) if why else None
        return f"Nobody goes to {booking.room.town} that day any more.", None
    if why := kept.why_closed(day):
        return f"No fittings: {why}.", _closed_since(day, kept)
    entry = _hours_of(day, kept)
    opens, closes = kept.week[day.weekday()]
    # The house's one rule of old has no moment from which it holds: nobody can have broken it.
    if entry is None or (opens <= starts.time() and ends.time() <= closes):
        return "", None
    return f"The house is open from {opens:%H:%M} to {closes:%H:%M}.", entry.at


def _keeps_away(row: Absence, booking: Booking, day: datetime.date) -> bool:
    """Whether the absence falls into the booking, which is on that day."""
    if not row.first <= day <= row.last:
        return False
    span = Span(booking.starts_at, booking.ends_at)
    return any(span.meets(hours) for hours in spans_away(row, day, day))


def _closed_since(day: datetime.date, kept: Entered) -> datetime.datetime | None:
    """When it was entered that ``day`` is closed."""
    if kept.rule is not None and kept.holiday(day):
        return kept.rule.at
    closings = zip(kept.closures, kept.days.closings, strict=True)
    covering = [closure for closure, closing in closings if closing.covers(day)]
    entry = covering[0] if covering else _hours_of(day, kept)
    return entry.at if entry else None


def _hours_of(day: datetime.date, kept: Entered) -> OpeningHours | None:
    return next((row for row in kept.hours if row.weekday == day.weekday()), None)
