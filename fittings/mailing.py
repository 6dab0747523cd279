"""The head of every letter that goes out by e-mail, to customers as to the owner."""

import uuid
from email.utils import formataddr
from typing import Protocol

from django.conf import settings
from django.core.mail import EmailMessage


class Row(Protocol):
    """What is kept of a letter: an id of its own, who sent it, and where it goes."""

    pk: uuid.UUID
    by_id: int | None
    address: str


def mail_of(row: Row, *, house: str, subject: str, body: str) -> EmailMessage:
    """The letter, not sent yet. Its Message-ID is the row's own: a second copy shows itself."""
    domain = settings.MAIL_FROM.rpartition("@")[2]
    headers = {"Message-ID": f"<{row.pk}@{domain}>"}
    if row.by_id is None:
        headers["Auto-Submitted"] = "auto-generated"  # RFC 3834
    return EmailMessage(
        subject=subject,
        body=body,
        from_email=formataddr((house, settings.MAIL_FROM)),
        to=[row.address],
        headers=headers,
    )
