"""What is open with a person and stands in the way of erasing them."""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models import Exists, OuterRef
from django.utils.text import capfirst

from customers.models import Customer
from fittings.diary.calling import tick_off
from fittings.diary.services import cancel_booking
from fittings.models import Booking, CallBack, Decision, Fitting, Message, Waiting
from fittings.post.services import hold_back
from fittings.waiting.services import withdraw_waiting
from garments.models import Garment

REASON: Final = "The customer is erased from the ledger"  # of a booking cancelled with them
_OWN: Final = uuid.UUID("0b6a3f0e-2f1c-4e7d-9a55-7d7f1f3c8e21")  # names the ids of what is ended
State = Message.State


@dataclass(frozen=True, slots=True)
class Open:
    """What is open with a customer: ``work`` the house must end first, the rest it may let go."""

    garments: list[Garment]
    fittings: list[Fitting]
    sending: list[Message]
    bookings: list[Booking]
    waits: list[Waiting]
    calls: list[CallBack]
    letters: list[Message]

    @property
    def work(self) -> list[str]:
        """Sentences: nothing but the work itself ends these."""
        return [
            *(
                f"{capfirst(str(row))} is in work: {row.get_stage_display()}."
                for row in self.garments
            ),
            *(
                f"The fitting begun on {row.started_at:%d %B %Y} is not closed."
                for row in self.fittings
            ),
            *("A message is being sent just now: try again in a moment." for _ in self.sending),
        ]

    @property
    def closable(self) -> list[str]:
        """What is cancelled, withdrawn or held back when the owner says so."""
        counted = (
            (len(self.bookings), "booking", "cancelled"),
            (len(self.waits), "place on the waiting list", "withdrawn"),
            (len(self.calls), "call to make again", "ticked off"),
            (len(self.letters), "message not sent yet", "held back"),
        )
        return [f"{count} × {what}: {becomes}" for count, what, becomes in counted if count]


def open_with(customer: Customer) -> Open:
    """Everything open, in seven queries."""
    decided = Decision.objects.standing().filter(
        fitting=OuterRef("fitting"), garment=OuterRef("garment")
    )
    through = Fitting.garments.through.objects.filter(fitting=OuterRef("pk"))
    undecided = through.exclude(Exists(decided))
    letters = Message.objects.filter(customer=customer)
    return Open(
        garments=list(Garment.objects.in_work().filter(customer=customer)),
        fittings=list(Fitting.objects.filter(Exists(undecided), customer=customer)),
        sending=list(letters.filter(state=State.SENDING)),
        bookings=list(Booking.objects.filter(customer=customer, state__in=Booking.COMING)),
        waits=list(Waiting.objects.standing().filter(customer=customer)),
        calls=list(CallBack.objects.standing().filter(booking__customer=customer)),
        letters=list(letters.filter(state__in=[State.WAITING, State.UNSURE])),
    )


def close(found: Open, *, entry_id: uuid.UUID, by: User) -> None:
    """Cancel, withdraw, tick off and hold back what ``closable`` names, by the rooms' own services.

    The ids follow from the erasure's, so that the same form sent twice ends nothing twice.
    """
    for waiting in found.waits:
        withdraw_waiting(entry_id=_own(entry_id, waiting.pk), waiting=waiting, by=by)
    for booking in found.bookings:
        own = _own(entry_id, booking.pk)
        cancel_booking(entry_id=own, booking=booking, reason=REASON, by=by)
    for call in found.calls:
        tick_off(entry_id=_own(entry_id, call.pk), call=call, by=by)
    for letter in found.letters:
        hold_back(message=letter, by=by)


def refusals(found: Open, *, close_open: bool) -> Iterator[tuple[str, str]]:
    """What keeps the person in the ledger for now: field ("" for none) and sentence."""
    yield from (("", sentence) for sentence in found.work)
    if found.closable and not close_open:
        yield "close_open", "Say that what is open shall be let go, or end it first."


def refuse(found: Open, *, close_open: bool) -> None:
    """ValidationError by field unless nothing stands in the way."""
    wrong: dict[str, list[str]] = {}
    for field, sentence in refusals(found, close_open=close_open):
        wrong.setdefault(field or "__all__", []).append(sentence)
    if wrong:
        raise ValidationError(wrong)


def _own(entry_id: uuid.UUID, row: uuid.UUID) -> uuid.UUID:
    return uuid.uuid5(_OWN, f"{entry_id}:{row}")
