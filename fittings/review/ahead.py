"""What was entered is counted and planned, the owner's pages are drawn, while nobody waits.

By a thread of each serving process. Nothing hangs on it: whatever it has not come to, or could not,
the page asked for does itself. Drawn are the usual pages and those asked for lately, so that the
first of an evening is there at once, whatever was entered since or however new the process. The
work is planned for all pages that tell of promises: anew it takes up to a second.
"""

import datetime
import logging
import time
from collections.abc import Callable
from functools import partial
from threading import Thread

from django.contrib.auth.models import AnonymousUser
from django.db import DatabaseError, InterfaceError, connection
from django.http import HttpRequest, QueryDict
from django.urls import resolve, reverse
from django.utils import timezone

from fittings.housebook.queries import one_book
from fittings.promising.queries import plan_ahead
from fittings.review.asking import By
from fittings.review.counting import mark_of_counts
from fittings.review.keeping import asked_lately
from fittings.review.measures import RATES

EVERY = 5  # seconds
REFUSED = (DatabaseError, InterfaceError)  # a database full, locked, or away for a while

logger = logging.getLogger("ledger.review")
State = tuple[str, datetime.date]


def begin() -> None:
    """Look for entries from now on, until the process ends."""
    Thread(target=_look_on, name="counting ahead", daemon=True).start()


def _look_on() -> None:
    drawn: State | None = None
    told = False
    while True:
        time.sleep(EVERY)
        try:
            drawn = look(drawn)
            told = False
        except REFUSED as why:
            if not told:
                logger.warning("not counted ahead: %s", why)
            told = True
        finally:
            connection.close()  # a database that begins anew must not find an old one waiting


def look(drawn: State | None = None) -> State:
    """Count and plan what was entered, draw the pages unless they were for that state; the state.

    The first time also by everything that rows may be: their months are then kept, and only those
    that an entry touches are asked again by whoever wants such rows.
    """
    _try("the work", plan_ahead)
    state = mark_of_counts(), timezone.localdate()
    if state != drawn:
        first = other_rows() if drawn is None else []
        for address in dict.fromkeys([*first, *usual_pages(), *asked_lately()]):
            _try(address, partial(draw, address))
    return state


def _try(what: str, make: Callable[[], None]) -> None:
    try:
        make()
    except REFUSED:
        raise
    except Exception:  # whatever it is, the page itself meets it again and says so
        logger.exception("not made ahead: %s", what)


def usual_pages() -> list[str]:
    """The pages of the review as bare links ask for them.

    Not the letter, whose promises at risk are planned each time: it is drawn while it is read.
    """
    rates = [reverse("review:closer_page", args=[measure.key]) for measure in RATES]
    return [reverse("review:review_page"), reverse("review:why_page"), *rates]


def other_rows() -> list[str]:
    """The first page by each of the other groups."""
    page = reverse("review:review_page")
    return [f"{page}?by={by}" for by in By if by is not By.CUTTER]


def draw(address: str) -> None:
    """Have a page of the review drawn, and so kept. It is shown to nobody."""
    request = HttpRequest()
    path, _, query = address.partition("?")
    request.method, request.path, request.path_info = "GET", path, path
    request.META["QUERY_STRING"] = query
    request.GET = QueryDict(query)
    request.user = AnonymousUser()
    match = request.resolver_match = resolve(path)
    with one_book():
        match.func(request, *match.args, **match.kwargs)
