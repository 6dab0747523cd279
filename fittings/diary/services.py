"""The one way in for each write to the diary."""

import datetime
import uuid
from collections.abc import Iterable
from typing import Never

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from customers.ledger import already_kept
from customers.models import Customer
from customers.versions import ChangedMeanwhileError
from fittings.models import Booking, BookingChange, Room
from garments.models import Garment

State = Booking.State
What = BookingChange.What

# What may be said of a booking in each state.
NEXT: dict[str, set[str]] = {
    State.BOOKED: {What.ARRIVED, What.KEPT, What.MISSED},
    State.ARRIVED: {What.KEPT, What.MISSED, What.REOPENED},
    State.KEPT: {What.REOPENED},
    State.MISSED: {What.ARRIVED, What.REOPENED},
    State.CANCELLED: set(),
}
STATE_AFTER = {What.REOPENED: State.BOOKED}


class SlotTakenError(Exception):
    """The fitter or the room (``what``) already has ``other`` in that time."""

    def __init__(self, what: str, other: Booking | None) -> None:
        super().__init__(f"That {what} is taken then.")
        self.what = what
        self.other = other


def book_fitting(
    *,
    booking_id: uuid.UUID,
    customer: Customer,
    garments: Iterable[Garment],
    fitter: User,
    room: Room,
    purpose: str,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    note: str = "",
    by: User,
) -> Booking:
    """Keep a time. SlotTakenError when fitter or room is taken: the database has the last word."""
    kept = Booking.objects.filter(pk=booking_id).first()
    if kept:
        return kept
    chosen = list(garments)
    if any(garment.customer_id != customer.pk for garment in chosen):
        raise ValidationError({"garments": "Choose garments of this customer."})
    booking = Booking(
        pk=booking_id,
        customer=customer,
        fitter=fitter,
        room=room,
        purpose=purpose,
        starts_at=starts_at,
        ends_at=ends_at,
        note=note,
    )
    _refuse_no_time(starts_at, ends_at)
    try:
        with transaction.atomic():
            booking.save(force_insert=True)
            booking.garments.set(chosen)
            _enter_change(uuid.uuid4(), booking, What.BOOKED, "", by)
    except IntegrityError as error:
        _say_what_is_taken(error, booking)
    return booking


def move_booking(
    *,
    entry_id: uuid.UUID,
    booking: Booking,
    version: int,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    fitter: User,
    room: Room,
    reason: str = "",
    by: User,
) -> Booking:
    """Give a booking another time, fitter or room: SlotTakenError, ChangedMeanwhileError."""
    if already_kept(BookingChange, entry_id, by):
        return booking
    if booking.state != State.BOOKED:
        raise ValidationError(f"This booking is {booking.get_state_display()}: it cannot move.")
    _refuse_no_time(starts_at, ends_at)
    moved = {"starts_at": starts_at, "ends_at": ends_at, "fitter": fitter, "room": room}
    for name, value in moved.items():
        setattr(booking, name, value)
    try:
        with transaction.atomic():
            _update(booking, version, **moved)
            _enter_change(entry_id, booking, What.MOVED, reason, by)
    except IntegrityError as error:
        _say_what_is_taken(error, booking)
    return booking


@transaction.atomic
def cancel_booking(*, entry_id: uuid.UUID, booking: Booking, reason: str, by: User) -> Booking:
    """Let a time go, with the reason; it frees fitter and room at once."""
    if already_kept(BookingChange, entry_id, by):
        return booking
    if not reason.strip():
        raise ValidationError({"reason": "Say why it is cancelled."})
    if booking.state not in {State.BOOKED, State.ARRIVED}:
        raise ValidationError(f"This booking is {booking.get_state_display()} already.")
    booking.state = State.CANCELLED
    _update(booking, booking.version, state=State.CANCELLED)
    _enter_change(entry_id, booking, What.CANCELLED, reason, by)
    return booking


@transaction.atomic
def mark_booking(*, entry_id: uuid.UUID, booking: Booking, what: str, by: User) -> Booking:
    """Say that the customer arrived, the fitting was kept or missed, or put it back to booked."""
    if already_kept(BookingChange, entry_id, by):
        return booking
    if what not in NEXT[booking.state]:
        raise ValidationError(f"This booking is {booking.get_state_display()} already.")
    try:
        with transaction.atomic():
            state = STATE_AFTER.get(What(what), what)
            _update(booking, booking.version, state=state)
            booking.state = state
            _enter_change(entry_id, booking, what, "", by)
    except IntegrityError as error:  # a missed time was given to someone else
        _say_what_is_taken(error, booking)
    return booking


def _refuse_no_time(starts_at: datetime.datetime, ends_at: datetime.datetime) -> None:
    if ends_at <= starts_at:
        raise ValidationError({"starts_at": "It must end after it starts."})


def _update(booking: Booking, version: int, **values: object) -> None:
    """One UPDATE that is also the test whether someone was faster."""
    rows = Booking.objects.filter(pk=booking.pk, version=version)
    if not rows.update(version=F("version") + 1, **values):
        raise ChangedMeanwhileError(Booking.objects.get(pk=booking.pk))
    booking.version = version + 1


def _enter_change(
    entry_id: uuid.UUID, booking: Booking, what: str, reason: str, by: User
) -> BookingChange:
    return BookingChange.objects.create(
        id=entry_id,
        booking=booking,
        what=what,
        reason=reason,
        starts_at=booking.starts_at,
        ends_at=booking.ends_at,
        fitter=booking.fitter,
        room=booking.room,
        at=timezone.now(),
        by=by,
    )


def _say_what_is_taken(error: IntegrityError, booking: Booking) -> Never:
    """Turn the database's refusal into SlotTakenError; any other refusal stays what it was."""
    for what in ("fitter", "room"):
        if f"no_double_booking_of_{what}" in str(error):
            holding = Booking.objects.filter(
                state__in=Booking.HOLDING,
                starts_at__lt=booking.ends_at,
                ends_at__gt=booking.starts_at,
                **{what: getattr(booking, what)},
            )
            others = holding.exclude(pk=booking.pk).select_related("customer", "fitter", "room")
            raise SlotTakenError(what, others.first()) from error
    raise error
