"""Sending the owner the monthly letter: by a button and by a timer, each month once."""

import datetime
import uuid

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction
from django.utils import timezone

from customers.ledger import already_kept, refuse_used
from fittings import mailing
from fittings.config.access import OWNER
from fittings.models import OwnerLetter
from fittings.review.keeping import today_begins
from fittings.review.letter import print_letter, write_letter
from fittings.spoken import date_text

State = OwnerLetter.State
# Longer than a mail server is waited for (EMAIL_TIMEOUT): a sending as old has stopped.
ABANDONED = datetime.timedelta(minutes=15)
MOST_SHOWN = 6
NOBODY = "Nobody and no month stands out."


def owners_to_write_to() -> list[User]:
    """The owners who can sign in and have an address, by name."""
    owners = User.objects.filter(groups__name=OWNER, is_active=True).exclude(email="")
    return list(owners.order_by("last_name", "first_name", "pk"))


def letters_of(month: datetime.date) -> list[OwnerLetter]:
    """What became of the month's letters, the newest first."""
    rows = OwnerLetter.objects.filter(month=month).select_related("to", "by")
    return list(rows[:MOST_SHOWN])


def send_letter(
    *, entry_id: uuid.UUID, month: datetime.date, to: User, by: User | None
) -> OwnerLetter:
    """Send ``to`` the letter of the month, unless it was; what became of it.

    Refused by ValidationError: no mail server, no address, sent already or just being sent. A mail
    server that does not take it leaves the row "not sent" with its reason; the next try is a row
    of its own. Never inside a transaction: it would undo the record of what went out.
    """
    kept = already_kept(OwnerLetter, entry_id, by) if by else None
    if kept is not None:
        refuse_used(same=(kept.month, kept.to_id) == (month, to.pk))
        return kept
    if not settings.MAIL_FROM:
        raise ValidationError("No mail server is set (LEDGER_MAIL_FROM): print the letter instead.")
    if not to.email:
        raise ValidationError(
            "You have no e-mail address here: enter one under People, or print the letter."
        )
    row = _begin(entry_id, month, to, by)
    try:
        mail_of(row, today_begins()).send()
    except (OSError, ValueError) as problem:  # smtplib's own errors are OSErrors too
        return _becomes(row, State.FAILED, f"{type(problem).__name__}: {problem}"[:300])
    return _becomes(row, State.SENT)


def _begin(entry_id: uuid.UUID, month: datetime.date, to: User, by: User | None) -> OwnerLetter:
    now = timezone.now()
    same = OwnerLetter.objects.filter(month=month, to=to)
    same.filter(state=State.SENDING, at__lt=now - ABANDONED).update(state=State.UNSURE)
    try:
        with transaction.atomic():
            return OwnerLetter.objects.create(
                pk=entry_id, month=month, to=to, address=to.email, by=by, at=now
            )
    except IntegrityError as error:
        before = same.filter(state__in=[State.SENDING, State.SENT]).first()
        at = timezone.localtime(before.at) if before else timezone.localtime(now)
        raise ValidationError(
            f"The letter of {month:%B %Y} went to {to.email} on {date_text(at)} at {at:%H:%M}: "
            "print it to have it again."
        ) from error


def mail_of(row: OwnerLetter, now: datetime.datetime) -> EmailMessage:
    """The letter on A4 as an attachment."""
    letter = write_letter(row.month, now)
    look_at = "\n".join(f"- {said}" for said in letter.look_at)
    mail = mailing.mail_of(
        row,
        house=letter.house,
        subject=f"{letter.house}: the letter of {letter.month}",
        body=f"{look_at or NOBODY}\n\nThe letter is attached (one A4).\n",
    )
    mail.attach(f"letter-{row.month:%Y-%m}.pdf", print_letter(letter), "application/pdf")
    return mail


def _becomes(row: OwnerLetter, state: str, why: str = "") -> OwnerLetter:
    row.state, row.why = state, why
    row.save(update_fields=["state", "why"])
    return row
