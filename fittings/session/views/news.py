"""What another tablet said of a garment meanwhile."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import condition, require_safe

from fittings.session import queries
from fittings.session.page import find_place, pieces_of

NEWS = ("zones", "seen", "behind", "taken", "judging", "photographs")
DECIDED = ("seen", "taken", "photographs")


def _state(_request: HttpRequest, pk: uuid.UUID, number: str) -> str | None:
    state = queries.state_of(pk, number)
    return f'"{state}"' if state else None


@require_safe
@gzip_page
@condition(etag_func=_state)
def fitting_news(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """The screen's pieces anew; 304 in one query while nothing was said (RFC 9110, 13.1.2)."""
    place = find_place(request, pk, number)
    if place.garment.pk in queries.decisions_of(place.fitting):
        said = "The next step was decided on another tablet: load the page again."
        return pieces_of(request, place, said, DECIDED)
    return pieces_of(request, place, "New from another tablet.", NEWS)
