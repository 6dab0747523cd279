"""Who was missed, and on which day they are to be called again."""

import datetime
import uuid
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef, Prefetch
from django.utils import timezone

from customers.ledger import already_kept, take_back
from fittings.diary.slots import DAY
from fittings.models import Booking, CallBack

BACK = 30 * DAY  # who was missed longer ago is in nobody's mind any more; house rule


@dataclass(frozen=True)
class Missed:
    """A missed booking, and the standing day to call again."""

    booking: Booking

    @property
    def due(self) -> CallBack | None:
        return next((row for row in self.booking.call_backs.all() if row.stands), None)

    @property
    def is_done(self) -> bool:
        return self.due is None and bool(self.booking.call_backs.all())

    @property
    def next_day(self) -> str:
        """The day the form begins with: the one that is set, else tomorrow."""
        return f"{self.due.on if self.due else timezone.localdate() + DAY}"


def to_call(now: datetime.datetime) -> list[Missed]:
    """Missed and to be called by today, or nobody has set a day yet. Two queries.

    Who has booked again since is not waited for.
    """
    again = Booking.objects.filter(
        customer=OuterRef("customer"),
        state__in=Booking.HOLDING,
        starts_at__gt=OuterRef("starts_at"),
    )
    rows = Booking.objects.filter(
        ~Exists(again), state=Booking.State.MISSED, starts_at__gt=now - BACK, starts_at__lte=now
    )
    calls = CallBack.objects.select_related("struck_by")
    rows = rows.select_related("customer").prefetch_related(Prefetch("call_backs", queryset=calls))
    today = timezone.localdate(now)
    missed = [Missed(row) for row in rows]
    return [row for row in missed if not row.is_done and (row.due is None or row.due.on <= today)]


@transaction.atomic
def call_again(
    *, entry_id: uuid.UUID, booking: Booking, on: datetime.date, note: str = "", by: User
) -> CallBack:
    """Set the day to call again, in place of one that was set. ValidationError unless missed."""
    kept = already_kept(CallBack, entry_id, by, booking=booking)
    if kept:
        return kept
    held = Booking.objects.select_for_update().get(pk=booking.pk)
    if held.state != Booking.State.MISSED:
        raise ValidationError(f"This booking is {held.get_state_display()}: it was not missed.")
    old = CallBack.objects.standing().filter(booking=held).first()
    return CallBack.objects.create(pk=entry_id, booking=held, on=on, note=note, strikes=old, by=by)


@transaction.atomic
def tick_off(*, entry_id: uuid.UUID, call: CallBack, by: User) -> CallBack:
    """The customer was called. ValidationError when that is ticked off already."""
    kept = already_kept(CallBack, entry_id, by, strikes=call)
    if kept:
        return kept
    Booking.objects.select_for_update().get(pk=call.booking_id)
    if not CallBack.objects.standing().filter(pk=call.pk).exists():
        raise ValidationError("That call was ticked off or put to another day already.")
    return take_back(call, entry_id=entry_id, by=by, same=("booking", "on", "note"))
