"""The log of who signs in and out, and of sign-ins refused.

No name is written down: people type their password in the field of the name.
"""

import logging
from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.dispatch import receiver
from django.http import HttpRequest

from fittings.accounts.sessions import begin_sitting

logger = logging.getLogger("ledger.accounts")


@receiver(user_logged_in)
def signed_in(request: HttpRequest, user: User, **_: Any) -> None:
    begin_sitting(request)
    logger.info("signed in user=%s from %s", user.pk, sender(request))


@receiver(user_logged_out)
def signed_out(request: HttpRequest, user: User | None, **_: Any) -> None:
    logger.info("signed out user=%s from %s", getattr(user, "pk", None), sender(request))


@receiver(user_login_failed)
def refused(request: HttpRequest | None = None, **_: Any) -> None:
    logger.warning("sign-in refused from %s", sender(request))


def sender(request: HttpRequest | None) -> str:
    """The address a request came from.

    Behind the house's own proxy that is the last one of X-Forwarded-For, which the proxy wrote;
    what stands before it the sender may have made up.
    """
    if request is None:
        return ""
    told = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.HTTPS else ""
    last: str = told.rpartition(",")[2].strip()
    return last or request.META.get("REMOTE_ADDR", "")


def name_tried(_request: HttpRequest | None, credentials: Mapping[str, Any] | None) -> str:
    """The sign-in name as the tries are counted by: short, and not told apart by capitals."""
    return str((credentials or {}).get("username", ""))[:60].lower()
