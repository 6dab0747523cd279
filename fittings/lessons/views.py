"""What the house has learnt: the table, the cases behind a figure, and undoing it."""

import uuid
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from customers.models import House
from fittings.learning import Row
from fittings.lessons import queries, services
from fittings.lessons.behind import cases_behind, history_of, told
from fittings.lessons.forms import USUAL, OmitForm, RowForm, ShowForm, TakeInForm
from fittings.lessons.tables import calibration_of, line_of, lines_of
from fittings.models import Omission
from fittings.session.causes import book_of_the_house
from garments.models import Alteration
from garments.requests import person_of

LINES_SHOWN = 40
CASES_SHOWN = 30


@require_safe
def lesson_list(request: HttpRequest) -> HttpResponse:
    """Catalogue against learnt, for the figures the address asks about; how well it proposes."""
    form = ShowForm({**USUAL, **request.GET.dict()})
    catalogue, _ = book_of_the_house()
    lessons = queries.newest()
    left_out = queries.rows_left_out()
    lines = []
    if lessons and form.is_valid():
        learnt = queries.learnt_of(lessons, catalogue, left_out)
        asked = form.cleaned_data | {"least": int(form.cleaned_data["least"])}
        lines = lines_of(learnt, catalogue, left_out, **asked)
    context = {
        "form": form,
        "lessons": lessons,
        "page_obj": Paginator(lines, LINES_SHOWN).get_page(request.GET.get("page")),
        "calibration": calibration_of(lessons.calibration if lessons else {}),
        "left_out": len(left_out),
    }
    return render(request, "lessons/lesson_list.html", context)


@require_safe
def figure_detail(request: HttpRequest) -> HttpResponse:
    """One figure, what became of leaving it out, and the cases behind it."""
    row = _row(request.GET.dict())
    catalogue, _ = book_of_the_house()
    lessons = queries.newest()
    left_out = queries.rows_left_out()
    learnt = queries.learnt_of(lessons, catalogue, left_out)
    if lessons is None:
        raise Http404
    cases = Paginator(cases_behind(row, lessons.before, catalogue), CASES_SHOWN)
    line = line_of(row, learnt, catalogue, left_out)
    # With its last case left out a figure is not learnt any more, and must be found to undo it.
    if line is None or not (row in learnt.figures or cases.count):
        raise Http404
    page = cases.get_page(request.GET.get("page"))
    context = {
        "line": line,
        "lessons": lessons,
        "page_obj": page,
        "cases": told(page, House.get().unit),
        "history": history_of(row),
        "form": OmitForm(initial=row.columns),
    }
    return render(request, "lessons/figure_detail.html", context)


@require_POST
def figure_omit(request: HttpRequest) -> HttpResponse:
    """Let one figure go by the catalogue."""
    form = OmitForm(request.POST)
    if not form.is_valid():
        return _refused(request, form)
    data = form.cleaned_data
    if form.row not in queries.learnt(book_of_the_house()[0]).figures:
        raise Http404
    try:
        services.leave_figure_out(
            entry_id=data["entry_id"], row=form.row, note=data["note"], by=person_of(request)
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "It goes by the catalogue now.")
    return _back(form.row)


@require_POST
def case_omit(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Learn nothing from one alteration; all figures are made anew."""
    alteration = get_object_or_404(Alteration.objects.standing(), pk=pk)
    form = OmitForm(request.POST)
    if not form.is_valid():
        return _refused(request, form)
    data = form.cleaned_data
    try:
        services.leave_case_out(
            entry_id=data["entry_id"],
            alteration=alteration,
            note=data["note"],
            by=person_of(request),
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        _renew()
        messages.success(request, "That case is left out.")
    return _back(form.row)


@require_POST
def omission_strike(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Take in again what was left out."""
    omission = get_object_or_404(Omission, pk=pk, void=False)
    form = TakeInForm(request.POST)
    if not form.is_valid():
        return _refused(request, form)
    try:
        services.take_in_again(
            entry_id=form.cleaned_data["entry_id"], omission=omission, by=person_of(request)
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        if omission.alteration_id:
            _renew()
        messages.success(request, "It is learnt from again.")
    return _back(form.row)


@require_POST
def lessons_renew(request: HttpRequest) -> HttpResponse:
    """Learn anew now, without waiting for the first session of the day."""
    _renew()
    messages.success(request, "Learnt anew from everything judged before today.")
    return redirect("lessons:lesson_list")


def _renew() -> None:
    catalogue, _ = book_of_the_house()
    services.renew_lessons(catalogue=catalogue, today=timezone.localdate())


def _row(values: dict[str, str]) -> Row:
    form = RowForm(values)
    if not form.is_valid():
        raise Http404
    return form.row


def _back(row: Row) -> HttpResponse:
    query = urlencode({name: value for name, value in row.columns.items() if value})
    return redirect(f"{reverse('lessons:figure_detail')}?{query}")


def _refused(request: HttpRequest, form: Form) -> HttpResponse:
    """What was wrong, where the owner came from: every field of these forms but one is hidden."""
    said = [str(message) for errors in form.errors.values() for message in errors]
    messages.error(request, " ".join(said))
    return redirect("lessons:lesson_list")
