"""The one way in for giving out a calendar's address and taking it back."""

import hashlib
import secrets
import uuid

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from customers.models import House
from fittings.feeds.queries import standing_key
from fittings.models import FeedKey, Room

Whose = User | Room
TOKEN_BYTES = 32  # 256 bits: nobody guesses it, so a plain hash of it is safe to keep


def digest_of(token: str) -> str:
    """What is kept of a token: its SHA-256, from which nobody gets back to it."""
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def renew_feed(*, entry_id: uuid.UUID, whose: Whose, by: User) -> tuple[FeedKey, str]:
    """Give the calendar a new address; the old one ends with it. The token is told only now.

    The same tap sent twice gives the first key, and no token: that was told already.
    """
    House.take_turns()  # two who renew at once take turns
    if kept := _kept(entry_id, whose, by):
        return kept, ""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    old = standing_key(whose)
    key = FeedKey(pk=entry_id, digest=digest_of(token), strikes=old, by=by, **_about(whose))
    key.save(force_insert=True)
    return key, token


@transaction.atomic
def revoke_feed(*, entry_id: uuid.UUID, whose: Whose, by: User) -> FeedKey:
    """End the calendar's address. ValidationError when it has none."""
    House.take_turns()
    if kept := _kept(entry_id, whose, by):
        return kept
    key = standing_key(whose)
    if key is None:
        raise ValidationError("This calendar has no address.")
    return take_back(key, entry_id=entry_id, by=by, same=("fitter", "room"))


def _kept(entry_id: uuid.UUID, whose: Whose, by: User) -> FeedKey | None:
    about = _about(whose)
    return already_kept(FeedKey, entry_id, by, fitter=about["fitter"], room=about["room"])


def _about(whose: Whose) -> dict[str, User | Room | None]:
    is_room = isinstance(whose, Room)
    return {"room": whose if is_room else None, "fitter": None if is_room else whose}
