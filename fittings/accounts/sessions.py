"""Beginning a sign-in, holding it to its limits, and ending those of others."""

import logging
import time
from collections.abc import Callable
from dataclasses import asdict
from typing import cast

from django.conf import settings
from django.contrib.auth import SESSION_KEY, login
from django.contrib.auth.models import AnonymousUser, User
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.models import Session
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve

from fittings.accounts.limits import Sitting
from fittings.accounts.tries import wipe_tries
from fittings.models import SharedTablet, SignInRules, Try

logger = logging.getLogger("ledger.accounts")
SITTING = "sitting"  # in the session: its limits
LEFT = "left"  # in what follows one that ran out: whose it was
BACKEND = "django.contrib.auth.backends.ModelBackend"
MINUTE, HOUR = 60, 60 * 60
# What pages ask for by themselves says nothing of somebody being there. The workroom's wall is not
# among them: a screen that nobody touches stays until the longest time is over.
ASKED_BY_PAGES = {
    "accounts:here",
    "bringing:upload_progress",
    "session:day_pages",
    "session:fitting_news",
}
ASKED_BY_TAG = {"workroom:ticket_list"}  # the list asks again by the tag it was drawn by


def sign_in(request: HttpRequest, user: User, *, tablet: SharedTablet | None, way: str) -> None:
    """Let somebody in who has shown who they are; a password opens their PIN again as well."""
    login(request, user, backend=BACKEND)
    begin_sitting(request, way=way, tablet=tablet)
    request.session.pop(LEFT, None)
    if way == "password":
        wipe_tries(what=Try.What.PIN, person=user)
    else:
        logger.info("by PIN user=%s tablet=%s", user.pk, tablet and tablet.pk)


def begin_sitting(
    request: HttpRequest, *, way: str = "password", tablet: SharedTablet | None = None
) -> None:
    """Lay down in the session how it began, and the limits the house's rules give it now."""
    rules, now = SignInRules.holding(), int(time.time())
    idle = rules.pin_idle_minutes if way == "pin" else rules.idle_minutes
    sitting = Sitting(
        way=way,
        began=now,
        seen=now,
        idle=idle * MINUTE,
        longest=rules.longest_hours * HOUR,
        proved=now if way == "password" else 0,
        tablet=tablet.pk if tablet else None,
    )
    keep_sitting(request, sitting)


def sitting_of(request: HttpRequest) -> Sitting | None:
    """How the sign-in of this request began; None for nobody's, or one older than the rules."""
    kept = request.session.get(SITTING)
    return Sitting(**kept) if kept else None


def keep_sitting(request: HttpRequest, sitting: Sitting) -> None:
    request.session[SITTING] = asdict(sitting)


def end_sessions_of(person: User, *, but: str | None = None) -> None:
    """Sign somebody out everywhere, except in the session of the key ``but``."""
    for session in Session.objects.all():  # each holds the user only inside; a house has few
        if session.session_key != but and _says(session, SESSION_KEY) == str(person.pk):
            session.delete()


def end_sessions_at(tablet: SharedTablet) -> None:
    """Sign out whoever is signed in at a shared tablet."""
    for session in Session.objects.all():
        if cast(dict[str, object], _says(session, SITTING) or {}).get("tablet") == tablet.pk:
            session.delete()


def _says(session: Session, name: str) -> object:
    return session.get_decoded().get(name)


class SittingMiddleware:
    """End a sign-in that ran out before anything else sees it, and note who is still there."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if settings.SESSION_COOKIE_NAME in request.COOKIES and SESSION_KEY in request.session:
            sitting, now = sitting_of(request), int(time.time())
            if sitting is None or sitting.is_over(now) or not _noted(request, sitting, now):
                _run_out(request)
        return self.get_response(request)


def _noted(request: HttpRequest, sitting: Sitting, now: int) -> bool:
    """Note the touch in the session; False when that was ended on another device just now.

    Saved at once: at the end of the request it could fail after the entry was kept.
    """
    touched = sitting.touched(now)
    if touched is sitting or _asked_by_page(request):
        return True
    keep_sitting(request, touched)
    try:
        request.session.save()
    except UpdateError:
        return False
    except DatabaseError:
        pass  # a disk that is full can still be read: the page, if it writes, says so itself
    request.session.modified = False
    return True


def _asked_by_page(request: HttpRequest) -> bool:
    try:
        page = resolve(request.path_info).view_name
    except Resolver404:
        return True
    by_tag = page in ASKED_BY_TAG and "If-None-Match" in request.headers
    return page in ASKED_BY_PAGES or by_tag


def _run_out(request: HttpRequest) -> None:
    """Nobody is signed in any more; what is typed on the page that is open stays its writer's."""
    left = request.session.get(SESSION_KEY)
    request.session.flush()
    request.session[LEFT] = left
    request.user = AnonymousUser()
