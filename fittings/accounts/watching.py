"""The log of who signs in and out, and of sign-ins refused.

No name is written down: people type their password in the field of the name.
"""

import logging
from typing import Any

from django.contrib.auth.models import User
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.dispatch import receiver
from django.http import HttpRequest

logger = logging.getLogger("ledger.accounts")


@receiver(user_logged_in)
def signed_in(request: HttpRequest, user: User, **_: Any) -> None:
    logger.info("signed in user=%s from %s", user.pk, _sender(request))


@receiver(user_logged_out)
def signed_out(request: HttpRequest, user: User | None, **_: Any) -> None:
    logger.info("signed out user=%s from %s", getattr(user, "pk", None), _sender(request))


@receiver(user_login_failed)
def refused(request: HttpRequest | None = None, **_: Any) -> None:
    logger.warning("sign-in refused from %s", _sender(request))


def _sender(request: HttpRequest | None) -> str:
    return request.META.get("REMOTE_ADDR", "") if request else ""
