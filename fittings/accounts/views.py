"""The people of the house, and the pages for what went wrong."""

import sys
from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from customers.meanwhile import There
from customers.requests import status_of
from fittings.accounts.carrying import taken_along
from fittings.accounts.forms import PersonForm, PersonUpdateForm
from fittings.accounts.services import add_person, change_person
from fittings.config.trouble import trouble_of
from garments.requests import is_kept_over, person_of


@require_safe
def here(request: HttpRequest) -> JsonResponse:
    """Who is signed in on this device ("" for nobody) and a token that holds now.

    A tablet asks before it sends what it kept through a sign-in.
    """
    user = str(request.user.pk or "")
    return JsonResponse({"user": user, "token": get_token(request)})


@require_safe
def password_changed(request: HttpRequest) -> HttpResponse:
    messages.success(request, "Your password is changed.")
    return redirect("diary:today")


@require_safe
def person_list(request: HttpRequest) -> HttpResponse:
    """Everyone who can or could sign in, with their work."""
    people = User.objects.prefetch_related("groups").order_by("-is_active", "last_name", "pk")
    return render(request, "accounts/person_list.html", {"people": people})


@require_http_methods(["GET", "POST"])
def person_create(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            person = add_person(**form.cleaned_data, by=person_of(request))
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{person.get_full_name()} can sign in now.")
            return redirect("accounts:person_list")
    status = 422 if form.errors else 200
    return render(request, "accounts/person_form.html", {"form": form}, status=status)


@require_http_methods(["GET", "POST"])
def person_update(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    initial = _said_of(pk)

    def write(values: dict[str, Any], _: int) -> None:
        change_person(person=person, by=person_of(request), **form.cleaned_data | values)

    form = PersonUpdateForm(request.POST or None, initial=initial)
    if is_kept_over(form, lambda: There(_said_of(pk)), write):
        messages.success(request, f"{person.get_full_name()} is changed.")
        return redirect("accounts:person_list")
    context = {"form": form, "person": person}
    return render(request, "accounts/person_form.html", context, status=status_of(form))


def _said_of(pk: int) -> dict[str, Any]:
    """What the record says of a person now, by the fields of their form."""
    person = User.objects.get(pk=pk)
    return {
        "first_name": person.first_name,
        "last_name": person.last_name,
        "email": person.email,
        "roles": [group.name for group in person.groups.all()],
        "active": person.is_active,
    }


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403: the page is not part of this person's work."""
    return render(request, "accounts/forbidden.html", {"reason": str(exception or "")}, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - Django passes it
    """404 in the house's own words."""
    return render(request, "accounts/not_found.html", status=404)


def bad_request(_request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - likewise
    """400: what no page of ours sends. Drawn without the request, which is not to be trusted."""
    return render(None, "accounts/bad_request.html", status=400)


def server_error(request: HttpRequest) -> HttpResponse:
    """500 without the base page or the request: either, or the database, may be what failed.

    A disk that is full or an absent database is told as such, with a status of its own; to a page
    that asked for a piece, as bare words.
    """
    trouble = trouble_of(sys.exc_info()[1])
    if trouble is None:
        return render(None, "accounts/server_error.html", status=500)
    if request.headers.get("HX-Request"):
        return HttpResponse(trouble.words, status=trouble.status, content_type="text/plain")
    context = {"trouble": trouble}
    return render(None, "accounts/server_error.html", context, status=trouble.status)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001 - likewise
    """403 for a form drawn before the last sign-in: what was typed is shown, to be sent anew.

    Only what a page of ours sent, by its Origin (RFC 6454), which another site's cannot make up.
    """
    ours = request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}"
    whole_page = not request.headers.get("HX-Request")
    carried = taken_along(request, "") if ours and whole_page else None
    if carried and request.user.is_authenticated:
        return render(request, "accounts/carried.html", {"carried": carried}, status=403)
    return render(request, "accounts/form_too_old.html", status=403)
