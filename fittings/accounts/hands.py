"""The one way in for PINs and for the tablets several people share."""

import hashlib
import logging
import secrets

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from fittings.accounts.pins import why_weak
from fittings.accounts.sessions import end_sessions_at
from fittings.accounts.tries import spend_try, wipe_tries
from fittings.config.access import EVERYONE
from fittings.models import Pin, SharedTablet, Try

logger = logging.getLogger("ledger.accounts")
SALT = "shared tablet"
SECRET_BYTES = 32  # 256 bits: a plain hash of it is safe to keep
KEPT_SECONDS = 400 * 24 * 60 * 60  # the longest a browser keeps a cookie


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def share_tablet(*, name: str, by: User) -> tuple[SharedTablet, str]:
    """Let people change hands by PIN at one device; what its cookie says is told only now."""
    secret = secrets.token_urlsafe(SECRET_BYTES)
    tablet = SharedTablet.objects.create(name=name, digest=digest_of(secret), by=by)
    logger.info("tablet shared tablet=%s user=%s", tablet.pk, by.pk)
    return tablet, f"{tablet.pk}:{secret}"


@transaction.atomic
def end_tablet(*, tablet: SharedTablet, by: User) -> None:
    """Its cookie opens nothing any more, and whoever is signed in there is signed out."""
    standing = SharedTablet.objects.filter(pk=tablet.pk, ended_at=None)
    if standing.update(ended_at=timezone.now(), ended_by=by):
        end_sessions_at(tablet)
        logger.info("tablet ended tablet=%s user=%s", tablet.pk, by.pk)


def give_cookie(response: HttpResponse, said: str) -> None:
    response.set_signed_cookie(
        settings.TABLET_COOKIE_NAME,
        said,
        salt=SALT,
        max_age=KEPT_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )


def tablet_of(request: HttpRequest) -> SharedTablet | None:
    """The shared tablet a request comes from; None for a device that is none, or none any more."""
    said = request.get_signed_cookie(
        settings.TABLET_COOKIE_NAME, default="", salt=SALT, max_age=KEPT_SECONDS
    )
    number, _, secret = (said or "").partition(":")
    if not (number.isascii() and number.isdecimal()):
        return None
    tablet = SharedTablet.objects.filter(pk=int(number), ended_at=None).first()
    known = tablet is not None and constant_time_compare(tablet.digest, digest_of(secret))
    return tablet if known else None


def set_pin(*, person: User, pin: str) -> None:
    """Give somebody a PIN in place of the one they had. ValidationError for one easily guessed."""
    if why := why_weak(pin):
        raise ValidationError({"pin": why})
    fresh = {"hashed": make_password(pin), "at": timezone.now()}
    with transaction.atomic():
        Pin.objects.update_or_create(person=person, defaults=fresh)
        wipe_tries(what=Try.What.PIN, person=person)
    logger.info("PIN set user=%s", person.pk)


def drop_pin(*, person: User) -> None:
    """They have no PIN any more, and are not offered on shared tablets."""
    Pin.objects.filter(person=person).delete()


def people_with_pins() -> QuerySet[User]:
    """Who may change hands by PIN: whoever may sign in and does some work of the house."""
    able = User.objects.filter(pin__isnull=False, is_active=True, groups__name__in=EVERYONE)
    return able.distinct().order_by("first_name", "last_name", "pk")


def check_pin(*, person: User, pin: str, tablet: SharedTablet) -> None:
    """ValidationError, beside the PIN, unless it is the person's; so many wrong ones shut it."""
    try:
        spend_try(what=Try.What.PIN, person=person, tablet=tablet)
    except ValidationError as shut:
        raise ValidationError({"pin": shut}) from shut
    kept = Pin.objects.filter(person=person).first()
    if kept is None or not check_password(pin, kept.hashed):
        logger.warning("PIN refused user=%s tablet=%s", person.pk, tablet.pk)
        raise ValidationError({"pin": "That is not the PIN of this name."})
    wipe_tries(what=Try.What.PIN, person=person, tablet=tablet)
    SharedTablet.objects.filter(pk=tablet.pk).update(used_at=timezone.now())
