"""What the workroom owes: the list, the wall, the bench's hours.

List and wall ask again by themselves; while nothing has changed they are answered 304, with
nothing sent and nothing drawn.
"""

import uuid
from functools import partial
from itertools import groupby
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_safe

from customers.meanwhile import There
from customers.people import name_of
from customers.requests import status_of
from garments.requests import is_kept_over, person_of
from garments.tickets import brief
from garments.workroom import board
from garments.workroom.forms import BenchForm, ListForm
from garments.workroom.queries import NOBODY, OVER, State, for_list

ROWS_SHOWN = 40


@require_safe
def ticket_list(request: HttpRequest) -> HttpResponseBase:
    """What the workroom owes, the late first, by due day; or what was asked for."""
    today, people = timezone.localdate(), board.takers()
    names = {person.username: person for person in people.values()}
    offered = {username: name_of(person) for username, person in names.items()}
    form = ListForm(request.GET, hands=offered, operations=())
    asked = form.cleaned_data if form.is_valid() else {}
    hand = asked.get("hand", "")
    rows = partial(
        for_list,
        asked.get("state", ""),
        asked.get("day"),
        today,
        names[hand].pk if hand in names else hand,
        asked.get("operation", ""),
    )
    over = asked.get("state") in OVER
    seen = [request.get_full_path()]
    tag = _tag(request, board.stamp(rows() if over else None, person_of(request), seen, today))
    if unchanged := get_conditional_response(request, etag=tag):
        return unchanged
    page = Paginator(rows(), ROWS_SHOWN).get_page(request.GET.get("page"))
    owed = board.read_board(people, today)
    for row in page:
        row.entry_id, row.brief, row.work = uuid.uuid4(), brief(row), owed.words(row.pk)
        row.who = name_of(people.get(row.hand)) if row.state in {State.IN_HAND, State.ASKS} else ""
    context = {
        "form": ListForm(request.GET, hands=offered, operations=owed.operations),
        "page_obj": page,
        "days": [(day, list(of_day)) for day, of_day in groupby(page, lambda row: row.due_on)],
        "today": today,
        "board": owed,
        "nobody": NOBODY,
        "tag": tag,
        "over": over,
    }
    return _answer(request, "workroom/ticket_list.html", context, tag, 422 if form.errors else 200)


@require_safe
def wall(request: HttpRequest) -> HttpResponseBase:
    """The most urgent of what is owed, in letters to be read from two metres."""
    today = timezone.localdate()
    tag = _tag(request, board.stamp(None, person_of(request), ["wall"], today))
    if unchanged := get_conditional_response(request, etag=tag):
        return unchanged
    people = board.takers()
    rows = list(for_list("", None, today))
    context = {
        "groups": board.wall_groups(rows, people, today),
        "owed": len(rows),
        "board": board.read_board(people, today),
        "tag": tag,
    }
    return _answer(request, "workroom/wall.html", context, tag)


@require_http_methods(["GET", "POST"])
def bench_update(request: HttpRequest) -> HttpResponse:
    """The owner says how many hours the bench works on each weekday."""
    now = board.bench_hours()
    form = BenchForm(request.POST if request.method == "POST" else None, now=now)

    def there() -> There:
        last = board.bench_hours()
        return There(BenchForm.shown(last), by=last.by if last else None)

    def write(hours: dict[str, Any], _: int) -> None:
        entry_id, week = form.cleaned_data["entry_id"], BenchForm.week_of(hours)
        board.set_bench_hours(entry_id=entry_id, week=week, by=person_of(request))

    if is_kept_over(form, there, write):
        messages.success(request, "The bench's hours are entered.")
        return redirect("workroom:ticket_list")
    context = {"form": form, "now": now}
    return render(request, "workroom/bench_form.html", context, status=status_of(form))


def _tag(request: HttpRequest, stamp: str) -> str:
    # A page and its part are two answers of one address.
    return f'"{stamp}{"p" if request.headers.get("HX-Request") else ""}"'


def _answer(
    request: HttpRequest, template: str, context: dict[str, Any], tag: str, status: int = 200
) -> HttpResponse:
    """The page, or only what is asked for again and again; with the tag it is asked by next."""
    part = bool(request.headers.get("HX-Request"))
    # What is drawn now asks next with the tag of the part, whichever way it came.
    context["tag"] = tag.strip('"').removesuffix("p") + "p"
    response = render(request, template + ("#owed" if part else ""), context, status=status)
    response["ETag"] = tag
    return response
