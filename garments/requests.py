"""Who asks."""

from typing import cast

from django.contrib.auth.models import User
from django.http import HttpRequest


def person_of(request: HttpRequest) -> User:
    """The person signed in: no page of the house opens for anyone else (``fittings.config``)."""
    return cast(User, request.user)
