"""The beginning of a session: from a booking, or for a walk-in."""

import uuid
from collections.abc import Sequence

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers.ledger import already_kept
from customers.models import Customer
from customers.people import refuse_erased
from fittings.diary.services import mark_booking
from fittings.lessons.services import renew_when_day_is_new
from fittings.models import Booking, Fitting
from fittings.session.causes import book_of_the_house
from fittings.session.services.guards import derived
from garments.models import Garment, Stage
from garments.services import enter_stage

Purpose = Booking.Purpose

# The stage a garment is at once the fitting has begun; measuring moves nothing.
HELD = {
    Purpose.FIRST: Stage.FIRST_FITTING,
    Purpose.FORWARD: Stage.FORWARD_FITTING,
    Purpose.FINAL: Stage.FINAL_LOOK,
    Purpose.RETURN: Stage.RETURNED,
}


@transaction.atomic
def start_fitting(
    *,
    fitting_id: uuid.UUID,
    customer: Customer,
    garments: Sequence[Garment],
    fitter: User,
    purpose: str,
    booking: Booking | None = None,
    by: User,
) -> Fitting:
    """Begin a session; a booking begins once, however often it is tapped, and counts as kept.

    The first session of a day takes over what the house has learnt up to the evening before.
    ValidationError: no garment, another customer's garment, a booking cancelled or missed.
    """
    # Once the session is kept, and whatever becomes of it: no customer waits for a lesson to work.
    transaction.on_commit(_learn_on_a_new_day, robust=True)
    # Two tablets that begin one booking take turns, where the database lets two write at once.
    Customer.objects.select_for_update().get(pk=customer.pk)
    begun = already_kept(Fitting, fitting_id, by, customer=customer)
    if begun is None and booking is not None:
        begun = Fitting.objects.filter(booking=booking).first()
    if begun is not None:
        return begun
    refuse_erased(customer)
    _refuse_start(customer, garments, purpose, booking)
    fitting = Fitting.objects.create(
        pk=fitting_id, customer=customer, fitter=fitter, purpose=purpose, booking=booking
    )
    fitting.garments.set(garments)
    if booking is not None and booking.state != Booking.State.KEPT:
        mark_booking(
            entry_id=derived(fitting_id, "kept"),
            booking=booking,
            what=Booking.State.KEPT,
            by=by,
        )
    for garment in garments:
        _enter_held_stage(fitting, garment, entry_id=derived(fitting_id, garment.number), by=by)
    return fitting


def _learn_on_a_new_day() -> None:
    book, _ = book_of_the_house()
    renew_when_day_is_new(catalogue=book, today=timezone.localdate())


def _refuse_start(
    customer: Customer, garments: Sequence[Garment], purpose: str, booking: Booking | None
) -> None:
    wrong = {}
    if not garments:
        wrong["garments"] = "Choose at least one garment."
    if any(garment.customer_id != customer.pk for garment in garments):
        wrong["garments"] = "That garment is another customer's."
    if purpose not in Purpose.values:
        wrong["purpose"] = "Say what the fitting is for."
    if booking is not None:
        wrong |= _booking_refusal(booking, customer)
    if wrong:
        raise ValidationError(dict(wrong))


def _booking_refusal(booking: Booking, customer: Customer) -> dict[str, str]:
    if booking.customer_id != customer.pk:
        return {"booking": "That booking is another customer's."}
    if booking.state not in Booking.HOLDING:
        return {"booking": f"That booking is {booking.get_state_display()}: book again first."}
    return {}


def _enter_held_stage(fitting: Fitting, garment: Garment, *, entry_id: uuid.UUID, by: User) -> None:
    # Whatever a delivered garment is looked at for, it has come back to the house.
    stage = Stage.RETURNED if garment.delivered else HELD.get(Purpose(fitting.purpose))
    if stage is None or garment.stage == stage:
        return
    try:
        enter_stage(entry_id=entry_id, garment=garment, stage=stage, by=by)
    except ValidationError as error:
        raise ValidationError({"garments": error.messages}) from error
