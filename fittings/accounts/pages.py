"""The pages that stand between somebody and the rest: sign in, second step, password once more."""

from typing import Any

from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from customers.people import name_of
from customers.requests import way_back
from fittings.accounts.carrying import Carried, carried_in
from fittings.accounts.hands import people_with_pins, tablet_of
from fittings.accounts.key_forms import CodeForm, HandForm, ProofForm
from fittings.accounts.sessions import LEFT

UNAUTHORISED = 401


def onward(page: str, back: str) -> str:
    """The address of a page that leads back to another."""
    return reverse(page) + (f"?{urlencode({'next': back})}" if back else "")


def signing_page(
    request: HttpRequest,
    *,
    form: AuthenticationForm | None = None,
    hand: HandForm | None = None,
    carried: Carried | None = None,
    back: str = "",
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    """Sign in by password, and on a shared tablet by name and PIN."""
    tablet = None if hand else tablet_of(request)
    if tablet:
        hand = HandForm(tablet=tablet, people=people_with_pins())
    form = form or AuthenticationForm(request)
    if hand and hand.people:  # the tablet's keyboard would rise over the names
        form.fields["username"].widget.attrs.pop("autofocus", None)
    context = {
        "form": form,
        "hand": hand if hand and hand.people else None,
        "next": back or way_back(request),
        "carried": carried and carried.sealed(),
        "writer": carried and writer_of(carried),
        "without": carried and carried.without,
        "ran_out": LEFT in request.session and not request.user.is_authenticated,
        **more,
    }
    return render(request, "accounts/sign_in.html", context, status=status)


def second_page(
    request: HttpRequest, form: CodeForm, *, carried: Carried | None, status: int = 200
) -> HttpResponse:
    """The code, after the password."""
    context = {"form": form, "next": way_back(request), "carried": carried and carried.sealed()}
    return render(request, "accounts/second_step.html", context, status=status)


def proof_page(
    request: HttpRequest,
    form: ProofForm,
    *,
    carried: Carried | None = None,
    back: str = "",
    status: int = 200,
) -> HttpResponse:
    """The password once more, for what a PIN does not open."""
    context = {
        "form": form,
        "next": back or way_back(request),
        "carried": carried and carried.sealed(),
        "without": carried and carried.without,
        "too_much": request.method == "POST" and bool(back) and carried is None,
    }
    return render(request, "accounts/prove.html", context, status=status)


def writer_of(carried: Carried) -> str:
    """Who typed what is carried, by name; "" when nobody knows."""
    return name_of(User.objects.filter(pk=int(carried.by)).first()) if carried.by else ""


def arrive(request: HttpRequest) -> HttpResponse:
    """Somebody is in: on to where they were going, or to what they had typed."""
    carried = carried_in(request)
    if carried:
        return render(request, "accounts/carried.html", {"carried": carried})
    return redirect(way_back(request) or settings.LOGIN_REDIRECT_URL)


def refuse_others(request: HttpRequest, user: User) -> None:
    """ValidationError when what the page carries was typed by someone else than ``user``."""
    carried = carried_in(request)
    if carried and carried.by not in {"", str(user.pk)}:
        name = writer_of(carried)
        raise ValidationError(f"{name} typed what waits here: it goes out under that name only.")
