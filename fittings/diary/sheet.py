"""What the day's and the week's pages draw: whose columns, and what stands in them."""

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Self
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from customers.people import name_of
from fittings.diary.grid import (
    IN_A_DAY,
    Column,
    Row,
    block_of,
    lay,
    quarter_of,
    time_of,
)
from fittings.diary.slots import DAY, QUARTER, Hours, Span, moment
from fittings.models import Absence, Booking, Room
from fittings.opendays.queries import away_text, spans_away
from fittings.spoken import weekday_text
from fittings.travelling.journeys import Journeys, Way, elsewhere_text, there_text

WEEK = 7


@dataclass(frozen=True)
class Heading:
    """The head of a column: who or which day, and what a free time of it fills in.

    ``note`` says why nothing can be booked in the whole of it: closed, or away; ``partly`` why not
    in the spans ``shut``: on a trip, or away for hours. ``place`` is that of a trip looked at.
    """

    text: str
    day: datetime.date
    query: str
    note: str = ""
    partly: str = ""
    shut: Sequence[Span] = ()
    place: Room | None = None


@dataclass(frozen=True)
class Look:
    """Whose bookings are looked at: one fitter's, one room's, either's, or everyone's."""

    fitter: User | None = None
    room: Room | None = None

    def takes_in(self, booking: Booking) -> bool:
        if self.fitter is None and self.room is None:
            return True
        with_fitter = self.fitter is not None and booking.fitter_id == self.fitter.pk
        return with_fitter or (self.room is not None and booking.room_id == self.room.pk)

    def query(self, **more: str) -> str:
        chosen = {"fitter": self.fitter, "room": self.room}
        asked = {name: str(row.pk) for name, row in chosen.items() if row is not None}
        return urlencode(asked | more)


@dataclass(frozen=True)
class Entry:
    """A booking as a sheet or a list shows it. Worded here: a busy week has a hundred of them."""

    booking: Booking
    begins: str
    what: str
    url: str

    @classmethod
    def of(cls, booking: Booking, zone: ZoneInfo, *, names_fitter: bool) -> Self:
        beside = name_of(booking.fitter) if names_fitter else str(booking.room)
        return cls(
            booking,
            f"{booking.starts_at.astimezone(zone):%H:%M}",
            f"{booking.get_purpose_display()}, {beside}",
            booking.get_absolute_url(),
        )


@dataclass(frozen=True)
class Day:
    """One day of the week's list."""

    date: datetime.date
    short: str
    long: str
    entries: Sequence[Entry]
    closed: str
    away: Sequence[str]


@dataclass(frozen=True)
class Scene:
    """Everything a sheet is drawn from."""

    bookings: Sequence[Booking]
    rooms: Sequence[Room]
    hours: Hours
    now: datetime.datetime
    absences: Sequence[Absence] = ()
    journeys: Journeys = field(default_factory=Journeys)

    def ways(self, day: datetime.date, fitter: User | None = None) -> list[Way]:
        """The trips of ``day``; of one fitter, where one is named."""
        ways = self.journeys.ways(day, day, self.hours)
        return [way for way in ways if fitter is None or fitter.pk in way.journey.fitters]

    def travels(self, day: datetime.date) -> list[str]:
        """Who is where on ``day`` and until when."""
        return [
            elsewhere_text(way, name, self.hours)
            for way in self.ways(day)
            for name in way.journey.fitters.values()
        ]

    def heading(self, text: str, day: datetime.date, look: Look) -> Heading:
        """The head of a column of one fitter or room."""
        ways = self.ways(day, look.fitter) if look.fitter else []
        hours = [row for row in self._absent(day, look.fitter) if not row.whole_days]
        hours = hours if look.fitter else []
        said = [*(there_text(way, self.hours) for way in ways), *map(away_text, hours)]
        shut = [span for row in hours for span in spans_away(row, day, day)]
        return Heading(
            text,
            day,
            look.query(date=f"{day}"),
            self.note(day, look),
            " ".join(said),
            [*(way.away for way in ways), *shut],
            look.room if look.room and look.room.town and look.fitter is None else None,
        )

    def open_on(self, day: datetime.date, place: Room | None) -> Span:
        """When customers come to a place of a trip; without one, to the house."""
        there = self.journeys.at(place.pk, day) if place else []
        return (there[0].hours(self.hours) if there else self.hours).on(day)

    def away(self, day: datetime.date, fitter: User | None = None) -> list[str]:
        """Who is away on ``day`` and until when; of one fitter, where one is named."""
        return [away_text(row) for row in self._absent(day, fitter)]

    def _absent(self, day: datetime.date, fitter: User | None) -> list[Absence]:
        return [
            row
            for row in self.absences
            if row.first <= day <= row.last and (fitter is None or row.person_id == fitter.pk)
        ]

    def note(self, day: datetime.date, look: Look) -> str:
        """Why nothing can be booked on ``day``, with the fitter or at the place looked at."""
        if look.room and look.room.town and look.fitter is None:
            there = self.journeys.at(look.room.pk, day)
            nobody = f"nobody is in {look.room.town}"
            return there[0].hours(self.hours).why_closed(day) if there else nobody
        absent = self._absent(day, look.fitter) if look.fitter else []
        away = [away_text(row) for row in absent if row.whole_days]
        return self.hours.why_closed(day) or " ".join(away)


def holding(bookings: Iterable[Booking]) -> list[Booking]:
    return [booking for booking in bookings if booking.state in Booking.HOLDING]


def not_holding(bookings: Iterable[Booking], look: Look) -> list[Booking]:
    """What was missed or cancelled, of those looked at."""
    return [
        booking
        for booking in bookings
        if booking.state not in Booking.HOLDING and look.takes_in(booking)
    ]


def day_sheet(day: datetime.date, look: Look, people: Sequence[User], scene: Scene) -> list[Row]:
    """One column for each fitter, or one for the fitter or room looked at."""
    looks = [look]
    if look.fitter is None and look.room is None:
        absent = {booking.fitter for booking in holding(scene.bookings)} - set(people)
        looks = [Look(fitter=person) for person in (*people, *sorted(absent, key=name_of))]
    columns = []
    for each in looks:
        text = name_of(each.fitter) if each.fitter else str(each.room)
        heading = scene.heading(text, day, each)
        by_room = each.room is not None
        columns.append(_column(heading, each.takes_in, scene, names_fitter=by_room))
    return _laid(columns, scene.hours)


def week_sheet(monday: datetime.date, look: Look, scene: Scene) -> list[Row]:
    """One column for each day, of the fitter or room looked at."""
    columns = []
    for day in (monday + number * DAY for number in range(WEEK)):
        heading = scene.heading(f"{day:%a} {day.day}", day, look)

        def takes_in(booking: Booking, day: datetime.date = day) -> bool:
            return look.takes_in(booking) and scene.hours.day_of(booking.starts_at) == day

        by_room = look.room is not None
        columns.append(_column(heading, takes_in, scene, names_fitter=by_room))
    return _laid(columns, scene.hours)


def week_list(monday: datetime.date, scene: Scene) -> list[Day]:
    """Everyone's bookings, a list for each day."""
    zone = scene.hours.zone
    entries = [
        (scene.hours.day_of(booking.starts_at), Entry.of(booking, zone, names_fitter=True))
        for booking in holding(scene.bookings)
    ]
    return [
        Day(
            day,
            f"{day:%a} {day.day}",
            weekday_text(day),
            [entry for on, entry in entries if on == day],
            scene.hours.why_closed(day),
            [*scene.away(day), *scene.travels(day)],
        )
        for day in (monday + number * DAY for number in range(WEEK))
    ]


def _laid(columns: Sequence[Column], hours: Hours) -> list[Row]:
    return lay(columns, quarter_of(hours.opens), quarter_of(hours.closes, up=True))


def _column(
    heading: Heading,
    takes_in: Callable[[Booking], bool],
    scene: Scene,
    *,
    names_fitter: bool = False,
) -> Column:
    held, zone = holding(scene.bookings), scene.hours.zone
    blocks = [
        block_of(
            booking.starts_at,
            booking.ends_at,
            zone,
            Entry.of(booking, zone, names_fitter=names_fitter),
        )
        for booking in held
        if takes_in(booking)
    ]
    shut = frozenset(range(IN_A_DAY)) if heading.note else _shut(heading, held, scene)
    return Column(heading, blocks, shut)


def _shut(heading: Heading, held: Sequence[Booking], scene: Scene) -> frozenset[int]:
    """Quarters nobody can begin in: over, outside the hours, on a trip, or without a free room."""
    day, place = heading.day, heading.place
    opening, whole_day = scene.open_on(day, place), scene.hours.whole_day(day)
    rooms = {room.pk for room in ([place] if place else scene.rooms)}
    taken = [(Span(booking.starts_at, booking.ends_at), booking.room_id) for booking in held]
    taken = [(span, room) for span, room in taken if span.meets(whole_day)]

    def open_at(quarter: int) -> bool:
        try:
            starts = moment(day, time_of(quarter), scene.hours.zone)
        except ValueError:  # the clock does not show it, or shows it twice
            return False
        span = Span(starts, starts + QUARTER)
        if span.ends <= scene.now or span.starts < opening.starts or span.ends > opening.ends:
            return False
        if any(span.meets(other) for other in heading.shut):
            return False
        return bool(rooms - {room for other, room in taken if span.meets(other)})

    return frozenset(quarter for quarter in range(IN_A_DAY) if not open_at(quarter))
