"""Bookings and what became of them: kept for the most part, some moved, cancelled or missed."""

import datetime
import uuid
from collections.abc import Generator, Sequence
from types import MappingProxyType
from typing import Final

from django.contrib.auth.models import User
from numpy import random

from customers.models import Customer
from fittings.demo.record import Record, moment
from fittings.demo.timetable import Timetable
from fittings.models import Booking, BookingChange, Fitting, Room
from fittings.session.services.guards import derived
from garments.models import Garment

Moment = datetime.datetime
Purpose = Booking.Purpose
State = Booking.State
What = BookingChange.What

MINUTES: Final = MappingProxyType(
    {
        Purpose.MEASURE: 60,
        Purpose.FIRST: 60,
        Purpose.FORWARD: 30,
        Purpose.FINAL: 30,
        Purpose.RETURN: 30,
    }
)
MISSED, CANCELLED, MOVED = 0.03, 0.03, 0.04  # of bookings
REASONS: Final = (
    "Away on business.",
    "A cold.",
    "The train did not run.",
    "Asked for a later day.",
)


class Visits:
    """The house's diary, as it is told."""

    def __init__(
        self,
        record: Record,
        rng: random.Generator,
        rooms: Sequence[Room],
        timetable: Timetable,
        front: User,
    ) -> None:
        self.record = record
        self.rng = rng
        self.rooms = rooms
        self.timetable = timetable
        self.front = front
        self._garments: dict[uuid.UUID, Sequence[Garment]] = {}

    def book(
        self,
        customer: Customer,
        garments: Sequence[Garment],
        fitter: User,
        purpose: Purpose,
        *,
        wanted: datetime.date,
        at: Moment,
    ) -> Booking:
        """Keep the first free time from the day ``wanted`` on; entered at ``at``."""
        minutes = MINUTES[purpose]
        day, start, room = self.timetable.find(self.rng, wanted, fitter.username, minutes)
        times = moment(day, start), moment(day, start + minutes)
        return self.set_down(customer, garments, fitter, purpose, times=times, room=room, at=at)

    def set_down(
        self,
        customer: Customer,
        garments: Sequence[Garment],
        fitter: User,
        purpose: Purpose,
        *,
        times: tuple[Moment, Moment],
        room: int,
        at: Moment,
        note: str = "",
    ) -> Booking:
        """The row of a booking made at ``at`` for times that are known to be free."""
        booking = self.record.entry(
            Booking,
            customer=customer,
            fitter=fitter,
            room=self.rooms[room],
            purpose=purpose,
            starts_at=times[0],
            ends_at=times[1],
            note=note,
        )
        for garment in garments:
            self.record.tie(Booking.garments.through, booking, garment)
        self._garments[booking.pk] = garments
        self.note(booking, What.BOOKED, at, entry_id=uuid.uuid5(booking.pk, What.BOOKED))
        return booking

    def note(
        self,
        booking: Booking,
        what: What,
        at: Moment,
        reason: str = "",
        *,
        by: User | None = None,
        entry_id: uuid.UUID | None = None,
    ) -> None:
        """Say what happened to a booking, and show it on the booking."""
        self.record.entry(
            BookingChange,
            pk=entry_id or self.record.new_id(),
            booking=booking,
            what=what,
            reason=reason,
            starts_at=booking.starts_at,
            ends_at=booking.ends_at,
            fitter=booking.fitter,
            room=booking.room,
            at=at,
            by=by or self.front,
        )
        if what not in (What.BOOKED, What.MOVED):
            booking.state = State(what)
        booking.version += what != What.BOOKED

    def attend(self, booking: Booking, booked_at: Moment) -> Generator[Moment, None, Booking]:
        """Tell a booking until it is kept; the value is the booking that was.

        One that is cancelled or missed is booked again; one that is moved stays the same booking.
        """
        while True:
            fate = self.rng.random()
            before = booking.starts_at - datetime.timedelta(hours=int(self.rng.integers(18, 30)))
            if fate < CANCELLED + MOVED and before > booked_at:
                yield before
                if fate < MOVED:
                    self._move(booking, before)
                    booked_at = booking.starts_at
                    continue
                self.note(booking, What.CANCELLED, before, self._reason())
                self._free(booking)
            else:
                yield booking.starts_at
                if fate < 1 - MISSED:
                    return booking
                yield booking.ends_at
                self.note(booking, What.MISSED, booking.ends_at)
                before = booking.ends_at
            booking, booked_at = self._again(booking, before), before

    def receive(
        self, booking: Booking, came: Moment | None = None, began: Moment | None = None
    ) -> Fitting:
        """They came, and the fitting was begun: measuring has none, but keeps its booking."""
        fitting_id = self.record.new_id()
        late = datetime.timedelta(minutes=int(self.rng.integers(-6, 4)))
        came = came or booking.starts_at + late
        began = began or max(came, booking.starts_at) + datetime.timedelta(minutes=2)
        self.note(booking, What.ARRIVED, came)
        kept = derived(fitting_id, "kept")
        self.note(booking, What.KEPT, began, by=booking.fitter, entry_id=kept)
        fitting = Fitting(
            pk=fitting_id,
            customer=booking.customer,
            fitter=booking.fitter,
            purpose=booking.purpose,
            booking=booking,
            started_at=began,
        )
        if booking.purpose != Purpose.MEASURE:
            self.record.add(fitting)
            for garment in self._garments[booking.pk]:
                self.record.tie(Fitting.garments.through, fitting, garment)
        return fitting

    def _reason(self) -> str:
        return str(self.rng.choice(REASONS))

    def _again(self, booking: Booking, at: Moment) -> Booking:
        wanted = booking.starts_at.date() + datetime.timedelta(days=int(self.rng.integers(3, 9)))
        garments = self._garments[booking.pk]
        purpose = Purpose(booking.purpose)
        return self.book(booking.customer, garments, booking.fitter, purpose, wanted=wanted, at=at)

    def _move(self, booking: Booking, at: Moment) -> None:
        self._free(booking)
        wanted = booking.starts_at.date() + datetime.timedelta(days=int(self.rng.integers(2, 7)))
        minutes = MINUTES[Purpose(booking.purpose)]
        day, start, room = self.timetable.find(self.rng, wanted, booking.fitter.username, minutes)
        booking.starts_at, booking.ends_at = moment(day, start), moment(day, start + minutes)
        booking.room = self.rooms[room]
        self.note(booking, What.MOVED, at, self._reason())

    def _free(self, booking: Booking) -> None:
        start = booking.starts_at.hour * 60 + booking.starts_at.minute
        minutes = MINUTES[Purpose(booking.purpose)]
        room = self.rooms.index(booking.room)
        day, fitter = booking.starts_at.date(), booking.fitter.username
        self.timetable.release(day, start, start + minutes, fitter, room)
