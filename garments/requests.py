"""Who asks, and whether they asked before."""

import uuid
from typing import TypeVar, cast

from django.contrib.auth.models import User
from django.db.models import Model
from django.http import HttpRequest

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
