"""Who asks, whether they asked before, and whether what they sent was kept."""

import uuid
from collections.abc import Callable
from typing import Any, TypeVar, cast

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.http import HttpRequest

from customers.meanwhile import There, Write, keep_over
from garments.forms import add_errors

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


def is_kept_over(form: Any, there: Callable[[], There], write: Write) -> bool:
    """Whether a form was sent and kept over what is there now; else it says why not, or asks."""
    if not form.is_valid():
        return False
    try:
        return keep_over(form, there, write)
    except ValidationError as error:
        add_errors(form, error)
    return False
