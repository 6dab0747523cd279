"""A page of the review asked for again is not worked out again while nothing of it has changed.

What the templates put between ``{% cache %}`` is kept in the process by what was asked, the day,
the house's costs and the mark of the counts; figures are lazy, so that a kept page asks for none.
"""

import datetime
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from customers.models import House
from fittings.clock import midnight
from fittings.review.counting import mark_of_counts, marks_now, one_state
from fittings.review.labels import who_has_cut

Given = ParamSpec("Given")


def of_one_state(view: Callable[Given, HttpResponse]) -> Callable[Given, HttpResponse]:
    """A view whose figures are all of one state of the counts, which is asked for once."""

    @wraps(view)
    def answer(*args: Given.args, **kwargs: Given.kwargs) -> HttpResponse:
        with one_state():
            return view(*args, **kwargs)

    return answer


def kept_as(request: HttpRequest) -> str:
    """The name under which the page may be kept: the same name is the same page."""
    house = House.objects.values_list("name", "minute_cost", "metre_cost").first()
    return f"{request.get_full_path()} {timezone.localdate()} {mark_of_counts()} {house}"


def ask_kept_as(request: HttpRequest) -> str:
    """The same for its form; names and cuts begin another epoch, who has cut is asked."""
    cutters = who_has_cut().order_by("pk").values_list("pk", flat=True)
    day, epoch = timezone.localdate(), marks_now().epoch
    return f"{request.get_full_path()} {day} {epoch} {list(cutters)}"


def today_begins() -> datetime.datetime:
    """The moment the review stands at: whose watch is over does not move during a day.

    So page, file and paper of one day agree, whenever each was made.
    """
    return midnight(timezone.localdate())
