"""The one way in for each write to the waiting list."""

import datetime
import uuid
from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from customers.models import Customer, House
from customers.people import refuse_erased
from fittings.diary.lasting import Purpose, minutes_for
from fittings.diary.services import book_fitting, move_booking
from fittings.models import Booking, Room, Waiting
from garments.models import Garment

SAME = ("customer", "purpose", "fitter", "first", "last", "since", "until", "note", "instead_of")
MINUTE = datetime.timedelta(minutes=1)


@transaction.atomic
def wait_for_time(
    *,
    entry_id: uuid.UUID,
    customer: Customer,
    purpose: str,
    garments: Iterable[Garment],
    fitter: User | None,
    first: datetime.date,
    last: datetime.date,
    since: datetime.time | None = None,
    until: datetime.time | None = None,
    note: str = "",
    instead_of: Booking | None = None,
    by: User,
) -> Waiting:
    """Put a customer on the list. ValidationError by field; garments and booking must be theirs."""
    kept = already_kept(Waiting, entry_id, by, customer=customer)
    if kept:
        return kept
    refuse_erased(customer)
    chosen = list(garments)
    if not chosen and purpose != Purpose.MEASURE:
        raise ValidationError({"garments": "Choose what is to be fitted."})
    if any(garment.customer_id != customer.pk for garment in chosen):
        raise ValidationError({"garments": "Choose garments of this customer."})
    if instead_of is not None and instead_of.customer_id != customer.pk:
        raise ValidationError("That booking is another customer's: open the page again.")
    if last < first:
        raise ValidationError({"last": "It must not be before the first day."})
    if since and until and until <= since:
        raise ValidationError({"until": "It must be later than the earliest time."})
    entry = Waiting.objects.create(
        pk=entry_id,
        customer=customer,
        purpose=purpose,
        fitter=fitter,
        first=first,
        last=last,
        since=since,
        until=until,
        note=note,
        instead_of=instead_of,
        by=by,
    )
    entry.garments.set(chosen)
    return entry


@transaction.atomic
def withdraw_waiting(*, entry_id: uuid.UUID, waiting: Waiting, by: User) -> Waiting:
    """Take a customer off the list. ValidationError when they wait no more."""
    House.take_turns()
    kept = already_kept(Waiting, entry_id, by, strikes=waiting)
    if kept:
        return kept
    _refuse_ended(waiting)
    return take_back(waiting, entry_id=entry_id, by=by, same=SAME)


@transaction.atomic
def give_time(
    *,
    entry_id: uuid.UUID,
    waiting: Waiting,
    starts_at: datetime.datetime,
    fitter: User,
    room: Room,
    by: User,
) -> Booking:
    """Book the time for who waits, or move the booking they wait with; the entry ends with it.

    SlotTakenError when someone was faster, ValidationError as booking and moving give it, or when
    the customer waits no more: nothing of it is kept then.
    """
    House.take_turns()
    kept = already_kept(Waiting, entry_id, by, strikes=waiting)
    if kept and kept.given:
        return kept.given
    _refuse_ended(waiting)
    garments = list(waiting.garments.all())
    length = minutes_for(waiting.purpose, len(garments) or 1) * MINUTE
    place: dict[str, Any] = {
        "starts_at": starts_at,
        "ends_at": starts_at + length,
        "fitter": fitter,
        "room": room,
    }
    held = waiting.instead_of
    if held is not None and held.state == Booking.State.BOOKED:
        booking = move_booking(
            entry_id=uuid.uuid5(entry_id, "moved"),
            booking=held,
            version=held.version,
            reason="An earlier time came free",
            by=by,
            **place,
        )
    else:
        booking = book_fitting(
            booking_id=uuid.uuid5(entry_id, "booked"),
            customer=waiting.customer,
            garments=garments,
            purpose=waiting.purpose,
            note=waiting.note,
            by=by,
            **place,
        )
    values = {name: getattr(waiting, name) for name in SAME}
    Waiting.objects.create(pk=entry_id, strikes=waiting, void=True, given=booking, by=by, **values)
    return booking


def _refuse_ended(waiting: Waiting) -> None:
    if not Waiting.objects.standing().filter(pk=waiting.pk).exists():
        raise ValidationError("This customer waits no more: the entry was ended meanwhile.")
