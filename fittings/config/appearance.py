"""Usual or high contrast, kept per device in a cookie: a tablet in a bright room, not a person."""

from typing import Any

from django import forms
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

COOKIE = "contrast"
CHOICES = ("high", "usual")
KEPT_SECONDS = 400 * 24 * 60 * 60  # the longest a browser keeps a cookie


class ContrastForm(forms.Form):
    contrast = forms.ChoiceField(choices=[(name, name) for name in CHOICES])
    next = forms.CharField(required=False, max_length=2000)


def appearance(request: HttpRequest) -> dict[str, Any]:
    """The contrast this device chose, or "" when it is left to the device's own setting."""
    chosen = request.COOKIES.get(COOKIE, "")
    return {"contrast": chosen if chosen in CHOICES else ""}


@login_not_required
@require_POST
def contrast(request: HttpRequest) -> HttpResponse:
    form = ContrastForm(request.POST)
    if not form.is_valid():
        return HttpResponseBadRequest("Contrast is either high or usual.")
    back = form.cleaned_data["next"]
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = "/"
    response = HttpResponseRedirect(back)
    response.set_cookie(
        COOKIE,
        form.cleaned_data["contrast"],
        max_age=KEPT_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure(),
    )
    return response
