"""Coming in: by password, by the second step, by PIN, and the password once more."""

import time
from dataclasses import replace
from typing import Any

from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.crypto import constant_time_compare
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from customers.requests import status_of, way_back
from fittings.accounts import sessions
from fittings.accounts.carrying import carried_in
from fittings.accounts.hands import check_pin, people_with_pins, tablet_of
from fittings.accounts.key_forms import CodeForm, HandForm, ProofForm
from fittings.accounts.pages import (
    UNAUTHORISED,
    arrive,
    onward,
    proof_page,
    refuse_others,
    second_page,
    signing_page,
)
from fittings.accounts.second import check_code, factor_of
from garments.requests import person_of

HALF = "half in"  # in the session: who has given the password and not yet the code
HALF_LASTS = 5 * 60  # seconds
SHUT = 429


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """By password; on a shared tablet the page offers names and PINs as well."""
    if request.user.is_authenticated:
        return redirect(way_back(request) or settings.LOGIN_REDIRECT_URL)
    if request.method != "POST":
        return signing_page(request)
    form = AuthenticationForm(request, request.POST)
    if form.is_valid():
        try:
            refuse_others(request, form.get_user())
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            return _pass_on(request, form.get_user())
    return signing_page(request, form=form, carried=carried_in(request))


def sign_in_shut(request: HttpRequest, *_: Any, **__: Any) -> HttpResponse:
    """The sign-in page after too many wrong passwords for one name from one place."""
    form = AuthenticationForm(request, initial={"username": request.POST.get("username", "")})
    minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
    carried = carried_in(request)
    return signing_page(request, form=form, carried=carried, shut_for=minutes, status=SHUT)


def _pass_on(request: HttpRequest, user: User) -> HttpResponse:
    """In, or on to the second step where one is asked for."""
    if factor_of(user) is None:
        sessions.sign_in(request, user, tablet=tablet_of(request), way="password")
        return arrive(request)
    request.session.cycle_key()
    half = {"user": user.pk, "hash": user.get_session_auth_hash(), "at": int(time.time())}
    request.session[HALF] = half
    carried = carried_in(request)
    if carried:
        return second_page(request, CodeForm(), carried=carried)
    return redirect(onward("accounts:second_step", way_back(request)))


def _half_in(request: HttpRequest) -> User | None:
    """Who gave their password here a moment ago; a new password meanwhile undoes it."""
    half = request.session.get(HALF)
    if half is None or not 0 <= time.time() - half["at"] < HALF_LASTS:
        return None
    user = User.objects.filter(pk=half["user"], is_active=True).first()
    known = user is not None and constant_time_compare(half["hash"], user.get_session_auth_hash())
    return user if known else None


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def second_step(request: HttpRequest) -> HttpResponse:
    """The code of the device, or one from the paper."""
    user, carried = _half_in(request), carried_in(request)
    if user is None or request.user.is_authenticated:
        if carried:
            return signing_page(request, carried=carried, status=UNAUTHORISED)
        return redirect(onward("accounts:sign_in", way_back(request)))
    form = CodeForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            check_code(person=user, code=form.cleaned_data["code"])
        except ValidationError as refused:
            form.add_error("code", refused.messages)
        else:
            sessions.sign_in(request, user, tablet=tablet_of(request), way="password")
            request.session.pop(HALF, None)
            return arrive(request)
    return second_page(request, form, carried=carried, status=status_of(form))


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def hand_change(request: HttpRequest) -> HttpResponse:
    """Another person goes on with this tablet: their name and their PIN."""
    tablet, carried = tablet_of(request), carried_in(request)
    if tablet is None:
        if carried:
            return signing_page(request, carried=carried, status=UNAUTHORISED)
        return redirect(onward("accounts:sign_in", way_back(request)))
    sent = request.POST if request.method == "POST" else None
    hand = HandForm(sent, tablet=tablet, people=people_with_pins())
    if hand.is_valid():
        try:
            refuse_others(request, hand.chosen)
            check_pin(person=hand.chosen, pin=hand.cleaned_data["pin"], tablet=tablet)
        except ValidationError as refused:
            hand.add_error(None, refused)
        else:
            sessions.sign_in(request, hand.chosen, tablet=tablet, way="pin")
            return arrive(request)
    return signing_page(request, hand=hand, carried=carried, status=status_of(hand))


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def prove(request: HttpRequest) -> HttpResponse:
    """Ask who is signed in for the password (and the code) once more."""
    person = person_of(request)
    has_factor = factor_of(person) is not None
    sent = request.POST if request.method == "POST" else None
    form = ProofForm(person, sent, has_factor=has_factor)
    if form.is_valid():
        try:
            if has_factor:
                check_code(person=person, code=form.cleaned_data["code"])
        except ValidationError as refused:
            form.add_error("code", refused.messages)
        else:
            sitting = sessions.sitting_of(request)
            if sitting:
                sessions.keep_sitting(request, replace(sitting, proved=int(time.time())))
            request.session.cycle_key()
            return arrive(request)
    return proof_page(request, form, carried=carried_in(request), status=status_of(form))
