"""The demo house's trips: every fourth week a fitter works in another town for a day."""

import datetime
import uuid
from collections.abc import Iterator
from typing import Final

from django.contrib.auth.models import User

from customers.models import Customer
from fittings.clock import midnight
from fittings.demo.house import Staff
from fittings.models import Booking, BookingChange, Room, Trip
from fittings.opendays.queries import entered
from garments.models import Garment, Stage

DAY: Final = datetime.timedelta(days=1)
WEEKS: Final = 4
SOONEST, LATEST = 10, 70  # days from today
SATURDAY: Final = 5
TOWN: Final = "Fallowbridge"
NAMES: Final = uuid.UUID("5d0b8a52-4a0c-4f2b-9f6b-6a2f6d9c7e11")  # the ids follow from what it is
MINUTES: Final = 30
HANGS: Final = (Stage.FINISHED, Stage.FINAL_LOOK)


def travel(staff: Staff, now: datetime.datetime) -> None:
    """The trip, and whose finished garments are looked at there the first time."""
    fitter = staff.fitters[0]
    room = Room.objects.create(name="Otter inn, room 4", town=TOWN, address="12 Weir Street")
    day = next(_free_days(fitter, now.date()))
    trip = Trip.objects.create(
        pk=uuid.uuid5(NAMES, "trip"),
        at=now - DAY,
        by=staff.owner,
        room=room,
        first=day,
        last=day,
        repeats=Trip.Repeats.WEEKLY,
        every=WEEKS,
        opens=datetime.time(10),
        closes=datetime.time(17),
        there=90,
        back=90,
    )
    trip.fitters.set([fitter])
    for number, garment in enumerate(_finished()):
        Customer.objects.filter(pk=garment.customer_id).update(town=TOWN)
        starts = midnight(day) + datetime.timedelta(hours=10, minutes=2 * MINUTES * number)
        _book(garment, trip, fitter, starts, staff.front)


def _free_days(fitter: User, today: datetime.date) -> Iterator[datetime.date]:
    """Weekdays on which he, and four weeks on, has nobody at the house, and it has not closed."""
    kept = entered()
    rows = Booking.objects.filter(fitter=fitter, state__in=Booking.HOLDING)
    taken = {starts.date() for starts in rows.values_list("starts_at", flat=True)}
    for number in range(SOONEST, LATEST):
        day = today + number * DAY
        runs = {day + weeks * WEEKS * 7 * DAY for weeks in range(3)}
        shut = kept.why_closed(day) or kept.why_closed(day - DAY)
        if not (runs & taken or shut or day.weekday() >= SATURDAY):
            yield day


def _finished() -> list[Garment]:
    """Garments on the hanger that nobody is booked for yet, the oldest first."""
    waiting = Garment.objects.filter(stage__in=HANGS).exclude(bookings__state__in=Booking.COMING)
    return list(waiting.order_by("serial")[:2])


def _book(garment: Garment, trip: Trip, fitter: User, starts: datetime.datetime, by: User) -> None:
    times = {"starts_at": starts, "ends_at": starts + datetime.timedelta(minutes=MINUTES)}
    booking = Booking.objects.create(
        pk=uuid.uuid5(NAMES, f"booking {garment.pk}"),
        customer_id=garment.customer_id,
        fitter=fitter,
        room=trip.room,
        purpose=Booking.Purpose.FINAL,
        **times,
    )
    booking.garments.set([garment])
    BookingChange.objects.create(
        pk=uuid.uuid5(booking.pk, BookingChange.What.BOOKED),
        booking=booking,
        what=BookingChange.What.BOOKED,
        fitter=fitter,
        room=trip.room,
        at=trip.at,
        by=by,
        **times,
    )
