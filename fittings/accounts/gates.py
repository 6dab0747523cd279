"""Gates before a page: signed in, and by more than a PIN. Neither loses what was typed."""

import logging
import time
from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect

from customers.requests import UNPROCESSABLE
from fittings.accounts.carrying import taken_along
from fittings.accounts.key_forms import ProofForm
from fittings.accounts.pages import UNAUTHORISED, onward, proof_page, signing_page
from fittings.accounts.second import factor_of
from fittings.accounts.sessions import LEFT, sitting_of
from fittings.config.access import JUST_PROVEN, OWNERS, PAGES
from garments.requests import person_of

logger = logging.getLogger("ledger.access")


def _waits() -> HttpResponse:
    """For a part of a page, asked by the page: what is typed there must not be led away from."""
    answer = HttpResponse("Sign in first.", status=UNAUTHORISED, content_type="text/plain")
    answer["WWW-Authenticate"] = "Session"  # RFC 9110 wants one; no browser asks for this one
    return answer


def _in_place(request: HttpRequest, page: HttpResponse) -> HttpResponse:
    """For HTMX, which draws no 401: the page in place of the one it was sent from."""
    if request.headers.get("HX-Request"):
        page.status_code = UNPROCESSABLE
        page["HX-Retarget"], page["HX-Reswap"] = "body", "innerHTML"
    return page


class SignInAgainMiddleware(LoginRequiredMiddleware):
    """Let nobody on; what somebody sent after their sign-in had ended is carried through it."""

    def handle_no_permission(  # type: ignore[override]  # Django's own says it always redirects
        self, request: HttpRequest, view_func: Any
    ) -> HttpResponseBase:
        if request.method == "POST":
            carried = taken_along(request, request.session.get(LEFT, ""))
            page = signing_page(
                request,
                carried=carried,
                too_much=carried is None,
                back="/",
                status=UNAUTHORISED,
            )
            return _in_place(request, page)
        if request.headers.get("HX-Request"):
            return _waits()
        return super().handle_no_permission(request, view_func)


class ProofMiddleware:
    """Ask for the password once more where a PIN, or a password long ago, is not enough."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, _view: Any, _args: Any, _kwargs: Any
    ) -> HttpResponse | None:
        match = request.resolver_match
        page = match.view_name if match else ""
        fresh = page in JUST_PROVEN
        if not (fresh or PAGES.get(page) == OWNERS):
            return None
        sitting = sitting_of(request)
        if sitting and sitting.is_proven(int(time.time()), fresh=fresh):
            return None
        logger.info("password asked for page=%s user=%s", page, request.user.pk)
        return _ask(request)


def _ask(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        person = person_of(request)
        carried = taken_along(request, str(person.pk))
        form = ProofForm(person, has_factor=factor_of(person) is not None)
        page = proof_page(request, form, carried=carried, back="/", status=UNAUTHORISED)
        return _in_place(request, page)
    if request.headers.get("HX-Request"):
        return _waits()
    return redirect(onward("accounts:prove", request.get_full_path()))
