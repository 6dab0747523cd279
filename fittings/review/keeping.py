"""A page of the review asked for again is not worked out again while nothing of it has changed.

What the templates put between ``{% cache %}`` is kept in the process by what was asked, the day,
the house's costs and the mark of the counts; figures are lazy, so that a kept page asks for none.
"""

import datetime
import time
from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import ParamSpec

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fittings.clock import midnight
from fittings.review.counting import mark_of_counts, marks_now, one_state
from fittings.review.labels import cutters_now
from fittings.review.sql import Piece, fetch

Given = ParamSpec("Given")
# Addresses of kept pages by when they were last asked for, of which so many are drawn ahead.
MOST_ASKED, LATELY = 12, 60 * 60  # seconds
_asked: OrderedDict[str, float] = OrderedDict()
_turns = Lock()


def of_one_state(view: Callable[Given, HttpResponse]) -> Callable[Given, HttpResponse]:
    """A view whose figures are all of one state of the counts, which is asked for once."""

    @wraps(view)
    def answer(*args: Given.args, **kwargs: Given.kwargs) -> HttpResponse:
        with one_state():
            return view(*args, **kwargs)

    return answer


def kept_as(request: HttpRequest) -> str:
    """The name under which the page may be kept: the same name is the same page."""
    if request.user.is_authenticated:  # else it is drawn ahead, for nobody yet
        _note(request.get_full_path())
    shown = "SELECT name, minute_cost, metre_cost FROM customers_house ORDER BY id LIMIT 1"
    house = fetch(Piece(shown))
    return f"{request.get_full_path()} {timezone.localdate()} {mark_of_counts()} {house}"


def ask_kept_as(request: HttpRequest) -> str:
    """The same for its form; cuts begin another epoch, who has cut is asked."""
    day, epoch = timezone.localdate(), marks_now().epoch
    return f"{request.get_full_path()} {day} {epoch} {cutters_now()}"


def today_begins() -> datetime.datetime:
    """The moment the review stands at: whose watch is over does not move during a day.

    So page, file and paper of one day agree, whenever each was made.
    """
    return midnight(timezone.localdate())


def _note(address: str) -> None:
    with _turns:
        _asked[address] = time.monotonic()
        _asked.move_to_end(address)
        while len(_asked) > MOST_ASKED:
            _asked.popitem(last=False)


def asked_lately() -> list[str]:
    """The addresses of kept pages that somebody asked this process for within the last hour."""
    since = time.monotonic() - LATELY
    with _turns:
        return [address for address, at in _asked.items() if at > since]
