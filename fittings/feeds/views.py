"""Calendars given out and taken back, and the one page that answers a calendar program."""

import hashlib
import uuid
from typing import cast

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_POST, require_safe

from customers.form_fields import EntryForm
from customers.people import name_of
from fittings.config.access import OWNER, roles_of
from fittings.diary.queries import fitters, rooms_in_use
from fittings.feeds import queries, services
from fittings.feeds.calendar import write_calendar
from fittings.models import Room
from garments.requests import person_of

NEW = "new calendar address"  # in the session, until it was shown


@require_safe
def feed_list(request: HttpRequest) -> HttpResponse:
    """Whose calendars have an address; a new one is shown this once."""
    user = person_of(request)
    rooms_in_use()  # a house that has none yet gets its first
    rows = queries.rows_for(user, owns=OWNER in roles_of(user))
    fresh = request.session.pop(NEW, None)
    context = {
        "rows": [(row, uuid.uuid4(), uuid.uuid4()) for row in rows],
        "fresh": fresh and request.build_absolute_uri(reverse("feeds:feed", args=[fresh["token"]])),
        "fresh_of": fresh and fresh["label"],
        "owns": OWNER in roles_of(user),
    }
    return render(request, "feeds/feed_list.html", context)


@require_POST
def feed_renew(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """A new address; the old one answers no more."""
    whose, form = _whose(request, kind, pk), EntryForm(request.POST)
    try:
        entry_id = _entry_id(form)
        key, token = services.renew_feed(entry_id=entry_id, whose=whose, by=person_of(request))
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        if token:
            request.session[NEW] = {"token": token, "label": name_of(key.fitter) or str(key.room)}
    return redirect("feeds:feed_list")


@require_POST
def feed_revoke(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """The address answers no more, and there is no other."""
    whose, form = _whose(request, kind, pk), EntryForm(request.POST)
    try:
        services.revoke_feed(entry_id=_entry_id(form), whose=whose, by=person_of(request))
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        messages.success(request, "The address is taken back: it answers no more.")
    return redirect("feeds:feed_list")


def _entry_id(form: EntryForm) -> uuid.UUID:
    if not form.is_valid():
        raise ValidationError("This page has lost a part of itself: open it again.")
    return cast(uuid.UUID, form.cleaned_data["entry_id"])


def _whose(request: HttpRequest, kind: str, pk: int) -> services.Whose:
    """Whose calendar is meant: 404 for one that the asking person may not give out."""
    user = person_of(request)
    owns = OWNER in roles_of(user)
    if kind == "fitter" and (owns or pk == user.pk):
        return get_object_or_404(fitters(), pk=pk)
    if kind == "room" and owns:
        return get_object_or_404(Room, pk=pk)
    raise Http404


@require_safe
@login_not_required
def feed(request: HttpRequest, token: str) -> HttpResponseBase:
    """The calendar as a file. Guessed and ended tokens get one and the same answer."""
    key = queries.key_of_digest(services.digest_of(token))
    if key is None:
        return _private(HttpResponse("No such calendar.", status=404, content_type="text/plain"))
    whose = str(key.room or name_of(key.fitter))
    body = write_calendar(queries.entries_of(key, timezone.now()), name=whose)
    answer = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    answer["ETag"] = etag = f'"{hashlib.sha256(body).hexdigest()}"'
    answer["Content-Disposition"] = 'inline; filename="fittings.ics"'
    return _private(get_conditional_response(request, etag=etag, response=answer) or answer)


def _private(answer: HttpResponseBase) -> HttpResponseBase:
    """No search engine lists it, no cache between here and the reader keeps it."""
    answer["X-Robots-Tag"] = "noindex, nofollow"
    answer["Cache-Control"] = "private, no-store"
    answer["Referrer-Policy"] = "no-referrer"
    return answer
