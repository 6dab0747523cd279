"""The one way in for a second factor: begin, confirm, open by it, renew its paper, remove it."""

import logging
import secrets
import time

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from fittings.accounts import onetime
from fittings.accounts.tries import spend_try, wipe_tries
from fittings.models import PaperCode, SecondFactor, Try

logger = logging.getLogger("ledger.accounts")
HOUSE = "Fitting ledger"
WRONG = "This code does not hold. Take the one the device shows now, or one from your paper."
USED = "This code was used already: wait for the next one."


def factor_of(person: User) -> SecondFactor | None:
    """The second factor that is asked for when ``person`` signs in; None when there is none."""
    return SecondFactor.objects.filter(person=person, confirmed_at__isnull=False).first()


@transaction.atomic
def begin_factor(*, person: User) -> SecondFactor:
    """A seed to bring to a device. Nothing is asked for before a first code has confirmed it.

    Begun twice it is the same seed: a page loaded again must not make a scanned one useless.
    """
    fresh = {"salt": secrets.token_hex(32)}
    return SecondFactor.objects.get_or_create(person=person, defaults=fresh)[0]


def seed_of(factor: SecondFactor) -> bytes:
    return onetime.seed(settings.SECRET_KEY, factor.salt)


def device_address(factor: SecondFactor) -> str:
    """What the square code of the page says."""
    name = factor.person.get_username()
    return onetime.device_address(seed_of(factor), person=name, house=HOUSE)


def confirm_factor(*, person: User, code: str) -> list[str]:
    """Ask for it from now on; the codes for paper, told only now.

    Confirmed already, nothing is told and nothing changed. ValidationError for a wrong code.
    """
    factor = begin_factor(person=person)
    if factor.confirmed_at:
        return []
    spend_try(what=Try.What.CODE, person=person)
    _use_step(factor, code)
    wipe_tries(what=Try.What.CODE, person=person)
    with transaction.atomic():
        begun = SecondFactor.objects.filter(pk=factor.pk, confirmed_at=None)
        won = begun.update(confirmed_at=timezone.now())
        told = _renew(factor) if won else []
    logger.info("second factor confirmed user=%s", person.pk)
    return told


def check_code(*, person: User, code: str) -> None:
    """Open by a code of device or paper, each only once. ValidationError if it is none."""
    factor = factor_of(person)
    if factor is None:
        return
    spend_try(what=Try.What.CODE, person=person)
    if len(code) > onetime.DIGITS:
        _use_paper(factor, code)
    else:
        _use_step(factor, code)
    wipe_tries(what=Try.What.CODE, person=person)


def _use_step(factor: SecondFactor, code: str) -> None:
    now = int(time.time())
    step = onetime.step_of(seed_of(factor), code, seconds=now, after=0)
    if step is None:
        logger.warning("one-time code refused user=%s", factor.pk)
        raise ValidationError({"code": WRONG})
    # One UPDATE: of two requests with the same code at once, one finds it used.
    older = SecondFactor.objects.filter(pk=factor.pk, last_step__lt=step)
    if not older.update(last_step=step):
        logger.warning("one-time code sent twice user=%s", factor.pk)
        raise ValidationError({"code": USED})


def _use_paper(factor: SecondFactor, code: str) -> None:
    gone, _ = PaperCode.objects.filter(factor=factor, digest=onetime.fingerprint(code)).delete()
    if not gone:
        logger.warning("paper code refused user=%s", factor.pk)
        raise ValidationError({"code": WRONG})
    logger.warning("paper code used user=%s", factor.pk)


@transaction.atomic
def renew_paper(*, person: User) -> list[str]:
    """New codes for paper; the old ones open nothing any more. Empty without a second factor."""
    factor = factor_of(person)
    return _renew(factor) if factor else []


def _renew(factor: SecondFactor) -> list[str]:
    codes = [onetime.paper_code() for _ in range(onetime.PAPER_CODES)]
    PaperCode.objects.filter(factor=factor).delete()
    digests = [onetime.fingerprint(code) for code in codes]
    PaperCode.objects.bulk_create(PaperCode(factor=factor, digest=each) for each in digests)
    return codes


@transaction.atomic
def remove_factor(*, person: User, by: User | None) -> None:
    """Ask for it no more: it is lost, or not wanted. ``by`` is None at the terminal."""
    SecondFactor.objects.filter(person=person).delete()
    wipe_tries(what=Try.What.CODE, person=person)
    logger.warning("second factor removed user=%s by=%s", person.pk, by and by.pk)
