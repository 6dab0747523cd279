"""Who asks, whether they asked before, and where they want to come back to."""

import uuid
from typing import TypeVar, cast

from django.contrib.auth.models import User
from django.db.models import Model
from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

Row = TypeVar("Row", bound=Model)


def person_of(request: HttpRequest) -> User:
    """The person signed in: no page of the house opens for anyone else (``fittings.config``)."""
    return cast(User, request.user)


def kept_before(
    request: HttpRequest, model: type[Row], *, id_field: str = "id", **about: Model
) -> Row | None:
    """The row that this very form made when it was sent before, if it was.

    Asked where what the form made stops it from being right a second time.
    """
    try:
        entry_id = uuid.UUID(request.POST.get("entry_id", ""))
    except ValueError:
        return None
    return model._default_manager.filter(**{id_field: entry_id}, **about).first()


def way_back(request: HttpRequest) -> str:
    """The page a form says it was sent from, if it is one of this house; else nothing."""
    back = request.POST.get("next", "")
    allowed = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    # A bare word would be taken for the name of a page, and there may be none of that name.
    return back if allowed and back.startswith("/") else ""
