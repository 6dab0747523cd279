"""A few messages of the demo house: sent, waiting, given up, told by phone; more still to tell."""

import datetime
import uuid
from typing import Final

from customers.forms import WORDINGS
from customers.models import Consent, Customer, House
from fittings.demo.house import Staff
from fittings.models import Booking, Message, MessageEvent, MessageKind
from fittings.post import queries
from fittings.post.letters import letter_about

State, What = Message.State, MessageEvent.What
NAMES: Final = uuid.UUID("0f3f3c1e-8a77-4d1c-9a6e-2b61c1f2a9d4")  # the ids follow from what is told
HOUR: Final = datetime.timedelta(hours=1)
# What became of the first messages, one after another; the rest is still to tell.
FATES: Final = (
    (State.SENT, (What.SENT,), ""),
    (State.SENT, (What.TRIED, What.SENT), "SMTPServerDisconnected: connection closed"),
    (State.WAITING, (), ""),
    (State.FAILED, (What.FAILED,), "SMTPRecipientsRefused: 550 no such mailbox"),
    (State.TOLD, (), ""),
    (State.STOPPED, (What.STOPPED,), "The customer does not agree to messages any more."),
)
REFUSES: Final = 5  # every so-manieth customer wants no messages


def write_letters(staff: Staff, now: datetime.datetime) -> None:
    """Ask whoever comes soon about messages, and write to the first of them."""
    coming = list(queries.coming(now).filter(state=Booking.State.BOOKED)[:24])
    whose = list({row.customer_id: row.customer for row in coming}.values())
    Consent.objects.bulk_create(
        _answer(customer, staff, given=number % REFUSES != REFUSES - 1)
        for number, customer in enumerate(whose)
    )
    agreed = [row for row in coming if queries.may_write([row.customer_id])[row.customer_id]]
    house = House.get()
    for booking, fate in zip(agreed, FATES, strict=False):
        _write(booking, fate, house, staff, now)


def _answer(customer: Customer, staff: Staff, *, given: bool) -> Consent:
    return Consent(
        pk=uuid.uuid5(NAMES, f"consent {customer.pk}"),
        customer=customer,
        kind=Consent.Kind.MESSAGES,
        given=given,
        given_on=customer.created_at.date(),
        wording=WORDINGS[Consent.Kind.MESSAGES],
        at=customer.created_at,
        by=staff.front,
    )


def _write(
    booking: Booking,
    fate: tuple[Message.State, tuple[MessageEvent.What, ...], str],
    house: House,
    staff: Staff,
    now: datetime.datetime,
) -> None:
    """One message as the service would have kept it, and its record since."""
    state, events, why = fate
    letter = letter_about(MessageKind.CONFIRMATION, booking, house)
    told = state == State.TOLD
    at = now - 3 * HOUR
    message = Message.objects.create(
        id=uuid.uuid5(NAMES, letter.occasion),
        kind=letter.kind,
        customer=booking.customer,
        booking=booking,
        booking_version=booking.version,
        occasion=letter.occasion,
        wording=letter.wording,
        address=booking.customer.phone if told else booking.customer.email,
        subject=letter.words.subject,
        body=letter.words.body,
        short=letter.words.short,
        calendar=letter.calendar,
        by=staff.front,
        written_at=at,
        state=state,
        next_try_at=at,
    )
    first = What.TOLD if told else What.WRITTEN
    MessageEvent.objects.create(message=message, what=first, at=at, by=staff.front)
    for number, what in enumerate(events, start=1):
        said = "" if what == What.SENT else why
        MessageEvent.objects.create(message=message, what=what, why=said, at=at + number * HOUR / 6)
