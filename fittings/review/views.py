"""The owner's review: figures, each looked at closer, what is behind them, and all as files."""

import uuid
from collections.abc import Iterable
from dataclasses import replace
from typing import Any, cast

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_POST, require_safe

from customers.models import House
from customers.paper import answer_paper
from fittings.review.asking import Asked, By
from fittings.review.behind import UnknownGroupError, behind_figure
from fittings.review.carried import HEADING
from fittings.review.charts import Chart, interval_chart
from fittings.review.closer import OVERLAP, look_closer
from fittings.review.exports import Exported, to_csv
from fittings.review.figures import Table
from fittings.review.forms import AskForm, CloserForm, LetterForm, PartForm, SendForm, WhyForm
from fittings.review.keeping import ask_kept_as, kept_as, of_one_state, today_begins
from fittings.review.letter import asked_of, print_letter, promises_at_risk, write_letter
from fittings.review.measures import DEFINED, MEASURES, RATES, RETURNS, Measure, measure_of
from fittings.review.repeat import hands, pairs_read, years_of
from fittings.review.row_behind import OF_CURVE, ROWS, garments_of_row
from fittings.review.sending import letters_of, send_letter
from fittings.review.sheets import Sheet
from fittings.review.tables import review
from fittings.review.why import explain
from garments.requests import person_of

CURVE = (RETURNS.title, "review:closer_page", (RETURNS.key,))


@require_safe
@of_one_state
def review_page(request: HttpRequest) -> HttpResponse:
    """The rates for the days and garments that the address asks about."""
    form = AskForm(request.GET, timezone.localdate())
    context = {
        "form": form,
        "tables": SimpleLazyObject(lambda: _drawn(form)),
        "closer": [measure.key for measure in RATES],
        **_kept(request),
    }
    return render(request, "review/review_page.html", context)


def _kept(request: HttpRequest) -> dict[str, Any]:
    return {
        "kept_as": kept_as(request),
        "ask_kept_as": SimpleLazyObject(lambda: ask_kept_as(request)),
    }


def _drawn(form: AskForm) -> list[tuple[Table, Chart]]:
    """The tables with their drawings; none when nothing of them is filled."""
    tables = review(form.asked, today_begins()) if form.is_valid() else []
    if not any(table.rows for table in tables):
        return []
    return [(table, _chart(table)) for table in tables]


def _chart(table: Table) -> Chart:
    """Worked out when it is drawn: most drawings of a page are kept."""
    return cast(
        "Chart",
        SimpleLazyObject(lambda: interval_chart(table.rows, table.whole.figure, table.links)),
    )


@require_safe
def repeat_page(request: HttpRequest) -> HttpResponse:
    """The technical error of every hand at every point it read twice."""
    pairs = pairs_read()
    context = {"hands": hands(pairs, House.get().unit), "years": years_of(pairs)}
    return render(request, "review/repeat_page.html", context)


@require_safe
def definitions_page(request: HttpRequest) -> HttpResponse:
    """What every figure counts: numerator, denominator and the day that decides."""
    return render(request, "review/definitions_page.html", {"measures": DEFINED})


@require_safe
@of_one_state
def closer_page(request: HttpRequest, table: str) -> HttpResponse:
    """One rate: its months, its groups, what luck explains and what it cannot."""
    measure = _rate(table)
    form = CloserForm(request.GET, timezone.localdate())
    context: dict[str, Any] = {"form": form, "measure": measure, **_kept(request)}
    if form.is_valid():
        asked = form.asked
        pair = request.GET.get("one", ""), request.GET.get("other", "")
        context |= {
            "closer": SimpleLazyObject(
                lambda: look_closer(measure, asked, today_begins(), form.than, pair)
            ),
            "overlap": asked.by in OVERLAP,
            "pair": pair,
            "hidden": [(name, request.GET[name]) for name in form.fields if name in request.GET],
        }
    return render(request, "review/closer_page.html", context)


@require_safe
@of_one_state
def behind_page(request: HttpRequest, table: str) -> HttpResponse:
    """The garments behind one figure."""
    measure = _rate(table)
    form = PartForm(request.GET, timezone.localdate())
    group = request.GET.get("group")
    context: dict[str, Any] = {"form": form, "measure": measure}
    if form.is_valid():
        asked = form.part
        try:
            found = behind_figure(measure, asked, today_begins(), group, request.GET.get("page"))
        except UnknownGroupError:
            context["unknown"] = group
        else:
            context |= {"behind": found, "asked": asked}
    return render(request, "review/behind_page.html", context)


@require_safe
@of_one_state
def row_page(request: HttpRequest, sheet: str) -> HttpResponse:
    """The garments behind a row of a table that is no rate."""
    if sheet not in ROWS:
        raise Http404
    form = AskForm(request.GET, timezone.localdate())
    back = CURVE if sheet in OF_CURVE else ("Why", "review:why_page", ())
    context: dict[str, Any] = {
        "form": form,
        "back": reverse(back[1], args=back[2]),
        "back_name": back[0],
    }
    if form.is_valid():
        row, other = request.GET.get("row", ""), request.GET.get("other", "")
        asked = replace(form.asked, by=By.KIND)
        found = garments_of_row(sheet, asked, row, other, request.GET.get("page"))
        context |= {"asked": asked, "behind": found}
    return render(request, "review/row_page.html", context)


@require_safe
@of_one_state
def sheet_csv(request: HttpRequest, table: str, sheet: str) -> HttpResponse:
    """One table of a rate's page as CSV."""
    measure = _rate(table)
    form = AskForm(request.GET, timezone.localdate())
    if not form.is_valid():
        return _explained(request, "review:closer_page", table)
    asked = form.asked
    found = look_closer(measure, asked, today_begins()).sheets
    return _file(_sheet(found, sheet), f"{table}-{sheet}", asked)


@require_safe
@of_one_state
def review_csv(request: HttpRequest, table: str) -> HttpResponse:
    """One table as CSV; when the address asks nonsense, the page that says what is wrong."""
    if table not in {measure.key for measure in MEASURES}:
        raise Http404
    form = AskForm(request.GET, timezone.localdate())
    if not form.is_valid():
        return _explained(request, "review:review_page")
    asked = form.asked
    (wanted,) = (found for found in review(asked, today_begins()) if found.measure.key == table)
    by = "answer" if wanted.heading == HEADING else asked.by
    return _file(wanted, f"{table}-by-{by}", asked)


@require_safe
@of_one_state
def why_page(request: HttpRequest) -> HttpResponse:
    """What is behind the figures."""
    form = WhyForm(request.GET, timezone.localdate())
    context: dict[str, Any] = {"form": form, **_kept(request)}
    if form.is_valid():
        context["why"] = SimpleLazyObject(lambda: explain(form.asked, today_begins()))
    return render(request, "review/why_page.html", context)


@require_safe
@of_one_state
def why_csv(request: HttpRequest, sheet: str) -> HttpResponse:
    """One table of the page that says why, as CSV."""
    form = WhyForm(request.GET, timezone.localdate())
    if not form.is_valid():
        return _explained(request, "review:why_page")
    asked = form.asked
    found = explain(asked, today_begins()).sheets.values()
    return _file(_sheet(found, sheet), sheet, asked)


@require_safe
@of_one_state
def letter_page(request: HttpRequest) -> HttpResponse:
    """The month in a page, as it will be printed."""
    form = LetterForm(request.GET, timezone.localdate())
    context: dict[str, Any] = {"form": form, "kept_as": kept_as(request)}
    if form.is_valid():
        month, now = form.cleaned_data["month"], today_begins()
        promises = promises_at_risk(now)
        context |= {
            "letter": SimpleLazyObject(lambda: write_letter(month, now, promises)),
            "promises": promises,
            "month": f"{month:%Y-%m}",
            "sent": letters_of(month),
            "entry_id": uuid.uuid4(),
        }
    return render(request, "review/letter_page.html", context)


@require_POST
def letter_send(request: HttpRequest) -> HttpResponse:
    """The letter to the owner's own address, each month once."""
    form = SendForm(request.POST, timezone.localdate())
    if not form.is_valid():
        messages.error(request, "That is no month with a letter: choose one and show it first.")
        return redirect("review:letter_page")
    me, month = person_of(request), form.cleaned_data["month"]
    try:
        row = send_letter(entry_id=form.cleaned_data["entry_id"], month=month, to=me, by=me)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        if row.state == row.State.SENT:
            messages.success(request, f"Sent to {row.address}.")
        else:
            messages.error(
                request, f"Not sent to {row.address}: {row.why}. Try again, or print it."
            )
    return redirect(f"{reverse('review:letter_page')}?month={month:%Y-%m}")


@require_safe
@of_one_state
def letter_pdf(request: HttpRequest) -> HttpResponse:
    """The letter on A4."""
    form = LetterForm(request.GET, timezone.localdate())
    if not form.is_valid():
        return _explained(request, "review:letter_page")
    month = form.cleaned_data["month"]
    return answer_paper(print_letter(write_letter(month, today_begins())), f"letter-{month:%Y-%m}")


@require_safe
@of_one_state
def letter_csv(request: HttpRequest, sheet: str) -> HttpResponse:
    """One table of the letter as CSV."""
    form = LetterForm(request.GET, timezone.localdate())
    if not form.is_valid():
        return _explained(request, "review:letter_page")
    month = form.cleaned_data["month"]
    found = write_letter(month, today_begins()).sheets
    return _file(_sheet(found, sheet), f"letter-{sheet}", asked_of(month))


def _sheet(found: Iterable[Sheet], key: str) -> Sheet:
    """The table of that key, or 404."""
    wanted = next((each for each in found if each.key == key), None)
    if wanted is None:
        raise Http404
    return wanted


def _rate(key: str) -> Measure:
    if key not in {measure.key for measure in RATES}:
        raise Http404
    return measure_of(key)


def _explained(request: HttpRequest, page: str, *args: str) -> HttpResponse:
    return redirect(f"{reverse(page, args=args)}?{request.GET.urlencode()}")


def _file(table: Exported, name: str, asked: Asked) -> HttpResponse:
    name = f"{name}-{asked.since}-to-{asked.until}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(to_csv(table), "text/csv; charset=utf-8", headers=headers)
