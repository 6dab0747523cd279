"""The one way in for each write of the post: words, messages, rules."""

import uuid
from dataclasses import astuple
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers.ledger import already_kept, refuse_used
from customers.models import Customer, House
from customers.people import refuse_erased
from customers.versions import ChangedMeanwhileError, save_unless_changed
from fittings.models import Booking, Message, MessageEvent, MessageKind, PostRules, Wording
from fittings.post import queries
from fittings.post.letters import About, Letter, letter_about
from fittings.post.wording import Words, wrong_in
from garments.models import Garment

State = Message.State
What = MessageEvent.What
BY_MAIL, BY_PHONE, NOT_AT_ALL = "mail", "phone", "hold"
# What each way of dealing with a message makes of it, and how the record calls that.
BECOMES = {
    BY_MAIL: (State.WAITING, What.WRITTEN),
    BY_PHONE: (State.TOLD, What.TOLD),
    NOT_AT_ALL: (State.HELD, What.HELD),
}


@transaction.atomic
def word_message(*, entry_id: uuid.UUID, kind: str, words: Words, seen: int, by: User) -> Wording:
    """Keep how a kind of message reads, as its next version after ``seen``.

    ValidationError by field for a place nobody knows; ChangedMeanwhileError when somebody kept
    another version since.
    """
    House.take_turns()  # two who word the same take turns
    if kept := already_kept(Wording, entry_id, by):
        said = (kind, *astuple(words))
        refuse_used(same=(kept.kind, kept.subject, kept.body, kept.short) == said)
        return kept
    wrong = {
        field: found
        for field in ("subject", "body", "short")
        if (found := wrong_in(getattr(words, field), kind))
    }
    if wrong:
        raise ValidationError(wrong)
    before = queries.newest_wording(kind)
    if before is not None and before.number != seen:
        raise ChangedMeanwhileError(before)
    row = Wording(
        pk=entry_id,
        kind=kind,
        number=(before.number if before else 0) + 1,
        subject=words.subject,
        body=words.body,
        short=words.short,
        strikes=before,
        by=by,
    )
    row.clean_fields(exclude={"by", "strikes"})
    row.save(force_insert=True)
    return row


@transaction.atomic
def update_rules(*, rules: PostRules, version: int, values: dict[str, Any]) -> PostRules:
    """Change the rules unless someone else did since ``version``: ChangedMeanwhileError."""
    save_unless_changed(rules, version=version, values=values)
    return rules


@transaction.atomic
def write_message(
    *, entry_id: uuid.UUID, kind: str, about: About, way: str, shown: str, by: User | None
) -> Message:
    """Put the message into the outbox, say that it was told by phone, or hold it back.

    ``shown`` is the digest of what was looked at: ValidationError when it reads otherwise by now,
    when the customer did not agree, when there is no address, or when it was dealt with already.
    """
    customer = Customer.objects.select_for_update().get(pk=about.customer_id)
    kept = Message.objects.filter(pk=entry_id).first()
    if kept is not None:
        return _same(kept, kind, about, by)
    refuse_erased(customer)
    letter = letter_about(kind, about, House.get())
    _refuse_senseless(kind, about, letter)
    if letter.digest != shown:
        raise ValidationError("It reads otherwise by now: look at it again, then send it.")
    if way != NOT_AT_ALL:
        _refuse_unwanted(customer, way)
    state, what = BECOMES[way]
    garment = about if isinstance(about, Garment) else None
    booking = about if isinstance(about, Booking) else None
    message = Message.objects.create(
        id=entry_id,
        kind=kind,
        customer=customer,
        booking=booking,
        garment=garment,
        booking_version=booking.version if booking else 0,
        occasion=letter.occasion,
        wording=letter.wording,
        address=customer.email if way == BY_MAIL else customer.phone if way == BY_PHONE else "",
        subject=letter.words.subject,
        body=letter.words.body,
        short=letter.words.short,
        calendar=letter.calendar,
        by=by,
        state=state,
        next_try_at=timezone.now(),
    )
    enter(message, what, by=by)
    return message


def _same(kept: Message, kind: str, about: About, by: User | None) -> Message:
    its_own = kept.garment_id if isinstance(about, Garment) else kept.booking_id
    refuse_used(same=(kept.kind, its_own, kept.by_id) == (kind, about.pk, by and by.pk))
    return kept


def _refuse_senseless(kind: str, about: About, letter: Letter) -> None:
    if isinstance(about, Garment):
        if about.stage not in queries.READY:
            raise ValidationError(f"{about} is {about.get_stage_display()}: it is not ready.")
    elif kind not in queries.kinds_for(about):
        raise ValidationError(
            f"This booking is {about.get_state_display()}: there is no {MessageKind(kind).label}."
        )
    elif about.starts_at <= timezone.now():
        raise ValidationError("It has begun already: nothing is sent of it.")
    if Message.objects.filter(occasion=letter.occasion, state__in=Message.HOLDING).exists():
        raise ValidationError("That was dealt with already: nothing is sent twice.")


def _refuse_unwanted(customer: Customer, way: str) -> None:
    if not queries.may_write([customer.pk]).get(customer.pk, False):
        raise ValidationError(f"{customer} did not agree to messages: ask first.")
    if way == BY_MAIL and not customer.email:
        raise ValidationError(f"No e-mail address of {customer} is known.")
    if way == BY_PHONE and not customer.phone:
        raise ValidationError(f"No telephone number of {customer} is known.")


@transaction.atomic
def put_back(*, message: Message, by: User) -> Message:
    """Let a message that failed, or perhaps went out, be tried once more from the beginning."""
    stuck = Message.objects.filter(pk=message.pk, state__in=[State.FAILED, State.UNSURE])
    again = {"state": State.WAITING, "tries": 0, "next_try_at": timezone.now(), "claim": None}
    others = Message.objects.filter(occasion=message.occasion, state__in=Message.HOLDING)
    if others.exclude(pk=message.pk).exists():
        raise ValidationError("That was dealt with by another message: nothing is sent twice.")
    if not stuck.update(**again):
        raise ValidationError("It is not waiting for anybody: load the page again.")
    enter(message, What.AGAIN, by=by)
    return message


@transaction.atomic
def hold_back(*, message: Message, by: User) -> Message:
    """Keep a message from going out; too late once a worker has it."""
    waiting = Message.objects.filter(pk=message.pk, state__in=[State.WAITING, State.UNSURE])
    if not waiting.update(state=State.HELD, claim=None):
        raise ValidationError("It is not waiting any more: load the page again.")
    enter(message, What.HELD, by=by)
    return message


def enter(message: Message, what: str, *, why: str = "", by: User | None = None) -> MessageEvent:
    """Add one line to the record of a message."""
    return MessageEvent.objects.create(message=message, what=what, why=why[:300], by=by)
