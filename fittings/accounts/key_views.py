"""One's own keys, the second factor, the house's shared tablets and rules of signing in."""

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.meanwhile import There, keep_over
from customers.people import name_of
from customers.requests import UNPROCESSABLE, status_of
from fittings.accounts import hands, onetime, second, sessions
from fittings.accounts.key_forms import ConfirmForm, PinForm, RulesForm, TabletForm
from fittings.accounts.services import change_sign_in_rules
from fittings.models import PaperCode, Pin, SecondFactor, SharedTablet, SignInRules
from garments.requests import person_of
from garments.tickets import qr

FRESH_PAPER = "new paper codes"  # in the session, until they were shown


@require_safe
def own_keys(request: HttpRequest) -> HttpResponse:
    """What somebody signs in with, and what this device is."""
    person = person_of(request)
    context = {
        "pin": Pin.objects.filter(person=person).first(),
        "factor": second.factor_of(person),
        "tablet": hands.tablet_of(request),
    }
    return render(request, "accounts/own_keys.html", context)


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def pin_update(request: HttpRequest) -> HttpResponse:
    """A PIN for the shared tablets, or none any more."""
    person = person_of(request)
    if "drop" in request.POST:
        hands.drop_pin(person=person)
        messages.success(request, "You have no PIN any more.")
        return redirect("accounts:own_keys")
    form = PinForm(person, request.POST if request.method == "POST" else None)
    if form.is_valid():
        hands.set_pin(person=person, pin=form.cleaned_data["pin"])
        messages.success(request, "Your PIN is kept: it opens the house's shared tablets to you.")
        return redirect("accounts:own_keys")
    has_pin = Pin.objects.filter(person=person).exists()
    context = {"form": form, "has_pin": has_pin}
    return render(request, "accounts/pin_form.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def tablet_create(request: HttpRequest) -> HttpResponse:
    """Let several people change hands by PIN at this device."""
    tablet = hands.tablet_of(request)
    if tablet and request.method == "POST":
        return redirect("accounts:own_keys")
    form = TabletForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        name, by = form.cleaned_data["name"], person_of(request)
        tablet, said = hands.share_tablet(name=name, by=by)
        sitting = sessions.sitting_of(request)
        if sitting:
            sessions.keep_sitting(request, replace(sitting, tablet=tablet.pk))
        messages.success(request, f"{tablet.name} is shared: whoever has a PIN can go on here.")
        response = redirect("accounts:own_keys")
        hands.give_cookie(response, said)
        return response
    context = {"form": form, "tablet": tablet}
    return render(request, "accounts/tablet_form.html", context, status=status_of(form))


@require_POST
def tablet_end(request: HttpRequest, pk: int) -> HttpResponse:
    """A tablet is lost, or shared no more."""
    tablet = get_object_or_404(SharedTablet, pk=pk)
    hands.end_tablet(tablet=tablet, by=person_of(request))
    messages.success(request, f"{tablet.name} opens by no PIN any more.")
    return redirect("accounts:rules_update")


@require_http_methods(["GET", "POST"])
def rules_update(request: HttpRequest) -> HttpResponse:
    """How long a sign-in lasts, and which tablets are shared."""
    form = RulesForm(request.POST or None, initial=model_to_dict(SignInRules.holding()))

    def there() -> There:
        SignInRules.get()  # made by who changes them first
        return form.there()

    def write(values: dict[str, Any], version: int) -> None:
        change_sign_in_rules(version=version, values=values)

    if request.method == "POST" and form.is_valid() and keep_over(form, there, write):
        messages.success(request, "The rules of signing in are changed.")
        return redirect("accounts:rules_update")
    tablets = SharedTablet.objects.select_related("by", "ended_by")
    context = {"form": form, "tablets": tablets}
    return render(request, "accounts/rules_form.html", context, status=status_of(form))


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def factor_page(request: HttpRequest) -> HttpResponse:
    """The owner's second factor: bring it to a device, confirm it, new paper, or none any more."""
    person, what = person_of(request), request.POST.get("do", "")
    form = ConfirmForm(request.POST if what == "confirm" else None)
    if request.method == "POST" and _is_done(request, person, what, form):
        return redirect("accounts:factor_page")
    factor = SecondFactor.objects.filter(person=person).first()
    context = {
        "form": form,
        "factor": factor,
        "paper": request.session.pop(FRESH_PAPER, None),
        "left": PaperCode.objects.filter(factor=factor).count(),
    }
    if factor and not factor.confirmed_at:
        context["picture"] = qr(second.device_address(factor))
        context["written"] = onetime.written_seed(second.seed_of(factor))
    status = UNPROCESSABLE if request.method == "POST" else 200
    return render(request, "accounts/factor_page.html", context, status=status)


def _is_done(request: HttpRequest, person: User, what: str, form: ConfirmForm) -> bool:
    """Whether what the page asks for was done."""
    if what == "begin":
        second.begin_factor(person=person)
        return True
    if what == "remove":
        second.remove_factor(person=person, by=person)
        messages.success(request, "Your password alone lets you in.")
        return True
    try:
        if what == "paper":
            told = second.renew_paper(person=person)
        elif form.is_valid():
            told = second.confirm_factor(person=person, code=form.cleaned_data["code"])
        else:
            return False
    except ValidationError as refused:
        form.add_error("code", refused.messages)
        return False
    if told:
        request.session[FRESH_PAPER] = told
        sessions.end_sessions_of(person, but=request.session.session_key)
    return True


@require_POST
def factor_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Another person's device is lost: an owner lets them in by the password alone again."""
    person = get_object_or_404(User, pk=pk)
    second.remove_factor(person=person, by=person_of(request))
    messages.success(request, f"{name_of(person)} signs in by the password alone again.")
    return redirect("accounts:person_update", pk=person.pk)
