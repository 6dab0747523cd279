"""Sending what waits: each message by one worker, once, by day, and only while it is wanted.

A worker claims a message by one UPDATE that only succeeds while the message waits, on SQLite as on
PostgreSQL; so two workers never have the same one. A worker that dies with a message in its hand
leaves it claimed: whether the mail server took it nobody knows, so it is not sent again by itself
but shown as "perhaps sent", and a person decides.
"""

import datetime
import uuid
from collections import Counter
from collections.abc import Callable
from email.mime.text import MIMEText
from smtplib import SMTPRecipientsRefused, SMTPResponseException

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone

from customers.models import House
from fittings import mailing
from fittings.models import Booking, Message, MessageEvent, MessageKind, PostRules
from fittings.post import queries, services
from fittings.post.hours import next_wait
from fittings.post.letters import letter_about

State = Message.State
What = MessageEvent.What
# Longer than a mail server is waited for (EMAIL_TIMEOUT): a claim as old belongs to nobody alive.
ABANDONED = datetime.timedelta(minutes=15)
REMINDERS = uuid.UUID("6c1f9d0e-6f0e-4b1b-9c39-5a4d6cf8c4b1")  # names the ids of reminders
FOR_GOOD = 500  # answers from here on are permanent, RFC 5321 4.2.1
Clock = Callable[[], datetime.datetime]


def write_reminders(now: datetime.datetime) -> int:
    """Put the reminders that are due into the outbox, where the house lets them go by themselves.

    Each has an id that follows from what it tells of, so that two workers write it once.
    """
    rules = PostRules.get()
    if rules.reminders != PostRules.Reminders.ALONE:
        return 0
    due = list(queries.reminders_due(now, rules))
    told = set(
        Message.objects.filter(booking__in=due, kind=MessageKind.REMINDER).values_list(
            "occasion", flat=True
        )
    )
    agreed = queries.may_write(row.customer_id for row in due)
    return sum(
        _remind(row)
        for row in due
        if agreed.get(row.customer_id)
        and row.customer.email
        and queries.occasion(MessageKind.REMINDER, row) not in told
    )


def _remind(booking: Booking) -> bool:
    letter = letter_about(MessageKind.REMINDER, booking, House.get())
    try:
        services.write_message(
            entry_id=uuid.uuid5(REMINDERS, letter.occasion),
            kind=MessageKind.REMINDER,
            about=booking,
            way=services.BY_MAIL,
            shown=letter.digest,
            by=None,
        )
    except ValidationError:
        return False  # written, moved, or taken back between the list and now
    return True


def send_waiting(clock: Clock) -> Counter[str]:
    """Send every message whose time has come; how many became what. Nothing by night.

    Nor on a closed day, where the house keeps these free.
    """
    done: Counter[str] = Counter()
    _give_up_abandoned(clock())
    hours = queries.sending_hours(House.get())
    waiting = Message.objects.filter(state=State.WAITING, next_try_at__lte=clock())
    for pk in waiting.order_by("next_try_at", "pk").values_list("pk", flat=True):
        now = clock()
        if not hours.hold(timezone.localtime(now)):
            break
        message = _claim(pk, now)
        if message is not None:
            done[_send(message, now)] += 1
    return done


def _claim(pk: uuid.UUID, now: datetime.datetime) -> Message | None:
    """The message, for this worker alone, None when another was faster."""
    claim = uuid.uuid4()
    waiting = Message.objects.filter(pk=pk, state=State.WAITING)
    if not waiting.update(state=State.SENDING, claim=claim, claimed_at=now):
        return None
    return Message.objects.select_related("customer", "booking", "garment").get(pk=pk)


def _send(message: Message, now: datetime.datetime) -> str:
    """Hand a claimed message to the mail server, or say why not; the state it has then."""
    if why := why_not(message, now):
        return _becomes(message, State.STOPPED, What.STOPPED, why)
    try:
        mail_of(message, House.get()).send()
    except (OSError, ValueError) as problem:  # smtplib's own errors are OSErrors too
        return _failed(message, problem, now)
    return _becomes(message, State.SENT, What.SENT, "")


def why_not(message: Message, now: datetime.datetime) -> str:
    """Why a message that was to go out is not to go out any more; "" when it is."""
    customer = message.customer
    if not queries.may_write([customer.pk]).get(customer.pk, False):
        return "The customer does not agree to messages any more."
    if customer.email != message.address:
        return "The e-mail address was changed since."
    booking = message.booking
    if booking is None:
        ready = message.garment is not None and message.garment.stage in queries.READY
        return "" if ready else "The garment is not waiting for collection any more."
    if booking.starts_at <= now:
        return "The fitting has begun."
    if booking.version != message.booking_version:
        return f"The booking was changed since: it is {booking.get_state_display()}."
    return ""


def mail_of(message: Message, house: House) -> EmailMessage:
    """The letter with its calendar entry."""
    mail = mailing.mail_of(message, house=house.name, subject=message.subject, body=message.body)
    if message.calendar:
        part = MIMEText(message.calendar, "calendar", "utf-8")
        cancels = message.kind == MessageKind.CANCELLATION
        part.set_param("method", "CANCEL" if cancels else "PUBLISH")  # RFC 6047, 2.4
        part.add_header("Content-Disposition", "attachment", filename="fitting.ics")
        mail.attach(part)
    return mail


def _failed(message: Message, problem: OSError | ValueError, now: datetime.datetime) -> str:
    tries = message.tries + 1
    wait = None if _is_for_good(problem) else next_wait(tries)
    why = f"{type(problem).__name__}: {problem}"
    if wait is None:
        return _becomes(message, State.FAILED, What.FAILED, why, tries=tries)
    later = now + wait
    return _becomes(message, State.WAITING, What.TRIED, why, tries=tries, next_try_at=later)


def _is_for_good(problem: OSError | ValueError) -> bool:
    """Whether it will fail again: 5yz, RFC 5321 4.2.1, or what no letter can be made of."""
    if isinstance(problem, ValueError):
        return True
    if isinstance(problem, SMTPRecipientsRefused):
        return all(code >= FOR_GOOD for code, _ in problem.recipients.values())
    return isinstance(problem, SMTPResponseException) and problem.smtp_code >= FOR_GOOD


@transaction.atomic
def _becomes(message: Message, state: str, what: str, why: str, **values: object) -> str:
    """Keep what became of a message in this worker's hand; it lets go of it."""
    mine = Message.objects.filter(pk=message.pk, claim=message.claim, state=State.SENDING)
    if mine.update(state=state, claim=None, **values):
        services.enter(message, what, why=why)
    return state


def _give_up_abandoned(now: datetime.datetime) -> None:
    old = Message.objects.filter(state=State.SENDING, claimed_at__lt=now - ABANDONED)
    for message in old:
        _becomes(message, State.UNSURE, What.UNSURE, "The worker stopped while it was sent.")
