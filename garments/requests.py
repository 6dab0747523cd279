"""Who asks, and where they want to come back to."""

from typing import cast

from django.contrib.auth.models import User
from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme


def person_of(request: HttpRequest) -> User:
    """The person signed in: no page of the house opens for anyone else (``fittings.config``)."""
    return cast(User, request.user)


def way_back(request: HttpRequest) -> str:
    """The page a form says it was sent from, if it is one of this house; else nothing."""
    back = request.POST.get("next", "")
    allowed = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    # A bare word would be taken for the name of a page, and there may be none of that name.
    return back if allowed and back.startswith("/") else ""
