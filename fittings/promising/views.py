"""What is promised: the list, one garment, what would help it, and what can be promised."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from customers.requests import UNPROCESSABLE
from fittings.promise import PromiseError, compare
from fittings.promising.answering import answer, words_about
from fittings.promising.forms import AskForm, WhatIfForm
from fittings.promising.page import change_rows, promise_rows, row_of, stage_lines
from fittings.promising.queries import Promises, has_makers, named, read_promises
from garments.models import Garment

ROWS_SHOWN = 50


@require_safe
def promise_list(request: HttpRequest) -> HttpResponse:
    """Every garment in work by its due day; those at risk alone unless all are asked for."""
    promises = read_promises()
    context: dict[str, Any] = {"today": promises.case.today, "makers": promises.has_benches}
    try:
        risks = promises.risks
    except PromiseError as error:
        return render(request, "promising/promise_list.html", context | {"stuck": str(error)})
    at_risk = [number for number, found in risks.items() if found.open]
    every = request.GET.get("show") == "all"
    page = Paginator(list(risks) if every else at_risk, ROWS_SHOWN).get_page(
        request.GET.get("page")
    )
    garments = named([*page, *promises.unplanned])
    context |= {
        "rows": promise_rows(promises, garments),
        "page_obj": page,
        "every": every,
        "count": len(risks),
        "at_risk": len(at_risk),
        "unplanned": [
            (garments[key], why) for key, why in promises.unplanned.items() if key in garments
        ],
    }
    return render(request, "promising/promise_list.html", context)


@require_safe
def promise_detail(request: HttpRequest, number: str) -> HttpResponse:
    """The plan of one garment: each stage and fitting with its days, and what could be tried."""
    garment = _garment(number)
    return _draw_garment(request, garment, read_promises(), None)


@require_safe
def what_if(request: HttpRequest, number: str) -> HttpResponse:
    """What a change would gain for a garment and which others move. Nothing is written."""
    garment = _garment(number)
    return _draw_garment(request, garment, read_promises(), request.GET)


def _draw_garment(
    request: HttpRequest, garment: Garment, promises: Promises, asked: Any
) -> HttpResponse:
    context: dict[str, Any] = {
        "garment": garment,
        "why_not": promises.unplanned.get(garment.number, ""),
        "makers": promises.has_benches,
    }
    status = 200
    try:
        row = row_of(promises, garment)
        if row is not None:
            lines = stage_lines(row.plan)
            ahead = [line.planned.stage.key for line in lines if line.planned.stage.fitting]
            form = WhatIfForm(asked, fittings=ahead, initial={"first": timezone.localdate()})
            context |= {"row": row, "lines": lines, "form": form}
            status = _try(form, promises, garment, context)
    except PromiseError as error:
        context["why_not"] = str(error)
    return render(request, "promising/promise_detail.html", context, status=status)


def _try(form: WhatIfForm, promises: Promises, garment: Garment, context: dict[str, Any]) -> int:
    """Add what the change would do to ``context``; the status of the answer."""
    if not form.is_bound:
        return 200
    if not form.is_valid():
        return UNPROCESSABLE
    try:
        found = compare(promises.planned, form.tried(promises.planned, garment.number))
    except PromiseError as error:
        form.add_error(None, str(error))
        return UNPROCESSABLE
    moved = [key for key, row in found.items() if row.gained and key != garment.number]
    context["mine"], others = change_rows(found, named([garment.number, *moved]), garment.number)
    context["others"] = [row for row in others if row.telling]
    context["sooner"] = [row for row in others if not row.telling]
    return 200


@require_safe
def promise_ask(request: HttpRequest) -> HttpResponse:
    """What can be promised, before there is an order or even a customer."""
    form = AskForm(request.GET if "kind" in request.GET else None)
    context: dict[str, Any] = {"form": form, "makers": has_makers()}
    if not form.is_bound or not context["makers"]:
        return render(request, "promising/promise_ask.html", context)
    status = UNPROCESSABLE
    if form.is_valid():
        try:
            told = answer(read_promises(), form.cleaned_data["kind"], form.cleaned_data["wished"])
        except PromiseError as error:
            form.add_error("wished", str(error))
        else:
            context |= {"told": told, "doubt": words_about(told)}
            status = 200
    return render(request, "promising/promise_ask.html", context, status=status)


@require_safe
def earliest(request: HttpRequest) -> HttpResponse:
    """A line for the order's page: the earliest day, and a word on the one typed."""
    typed = {"kind": request.GET.get("kind", ""), "wished": request.GET.get("promised_on", "")}
    form = AskForm(typed)
    context: dict[str, Any] = {}
    # A day that is still being typed, or has gone by, is refused by the order's own page.
    if "kind" not in form.errors and has_makers():
        try:
            wished = form.cleaned_data.get("wished")
            told = answer(read_promises(), form.cleaned_data["kind"], wished)
            context = {"told": told, "doubt": words_about(told)}
        except PromiseError as error:
            context = {"stuck": str(error)}
    return render(request, "promising/earliest.html", context)


def _garment(number: str) -> Garment:
    return get_object_or_404(Garment.objects.for_lists(), number=number)
