"""Tries at a PIN, a one-time code or a password asked for again: counted first, looked at after.

Counted in the database, one person's one after another, so that neither many processes nor many
requests at once give more tries than there are.
"""

import datetime
import logging
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from fittings.models import SharedTablet, Try

logger = logging.getLogger("ledger.accounts")
MINUTE, HOUR = datetime.timedelta(minutes=1), datetime.timedelta(hours=1)


@dataclass(frozen=True)
class Bound:
    """So many tries within a time; without one, until a right one (or the password) wipes them."""

    most: int
    within: datetime.timedelta | None
    words: str
    here: bool = False  # counted for this tablet alone
    anybody: bool = False  # whoever's they are


PASSWORD_OPENS = "Too many wrong PINs: sign in with your password, that opens it again."  # noqa: S105
WAIT = "Too many wrong tries: wait a quarter of an hour."
BOUNDS = {
    # 5 of 1,000,000 at one tablet, 10 at all of them; an anteroom full of names gives 15 an hour.
    Try.What.PIN: (
        Bound(5, None, PASSWORD_OPENS, here=True),
        Bound(10, None, PASSWORD_OPENS),
        Bound(15, HOUR, "Too many wrong PINs on this tablet: sign in with a password.", True, True),
    ),
    # Three codes hold at a time: 20 tries a day find one in 45 years on the average.
    Try.What.CODE: (
        Bound(5, 15 * MINUTE, WAIT),
        Bound(20, 24 * HOUR, "Too many wrong tries for one day: let another owner help."),
    ),
    Try.What.PASSWORD: (Bound(6, 15 * MINUTE, WAIT),),
}


def spend_try(*, what: Try.What, person: User, tablet: SharedTablet | None = None) -> None:
    """Count a try that is about to be made; ValidationError when there are none left."""
    with transaction.atomic():
        User.objects.select_for_update(no_key=True).get(pk=person.pk)
        for bound in BOUNDS[what]:
            if _made(what, bound, person, tablet) >= bound.most:
                logger.warning("no tries left what=%s user=%s", what, person.pk)
                raise ValidationError(bound.words, code="shut")
        Try.objects.create(what=what, person=person, tablet=tablet)


def _made(what: Try.What, bound: Bound, person: User, tablet: SharedTablet | None) -> int:
    tries = Try.objects.filter(what=what)
    if not bound.anybody:
        tries = tries.filter(person=person)
    if bound.here:
        tries = tries.filter(tablet=tablet)
    if bound.within:
        tries = tries.filter(at__gt=timezone.now() - bound.within)
    return tries.count()


def wipe_tries(*, what: Try.What, person: User, tablet: SharedTablet | None = None) -> None:
    """Forget a person's tries (at one tablet, where one is named): this one was right."""
    tries = Try.objects.filter(what=what, person=person)
    (tries.filter(tablet=tablet) if tablet else tries).delete()
