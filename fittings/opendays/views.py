"""The house's calendar: what it says, and the forms that change it."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.form_fields import EntryForm
from customers.meanwhile import There, keep_over
from customers.people import name_of
from customers.requests import status_of
from fittings.config.access import may_open
from fittings.models import Absence, Closure, OpeningHours
from fittings.opendays import queries, services
from fittings.opendays.forms import AbsenceForm, ClosureForm, HolidaysForm, WeekForm, WorkedForm
from fittings.travelling.queries import journeys_from
from garments.forms import add_errors
from garments.requests import person_of

FORM = ("GET", "POST")
PAGE = "opendays:calendar_page"


@require_safe
def calendar_page(request: HttpRequest) -> HttpResponse:
    """The week, what is closed, who is away, the holidays, and the bookings in the way."""
    today, user = timezone.localdate(), person_of(request)
    kept = queries.entered()
    away, trips = queries.absent_from(today), journeys_from(today)
    context = {
        "week": queries.week_rows(kept),
        "closures": queries.closures_from(kept, today),
        "absences": away,
        "holidays": queries.holidays_from(kept, today),
        "rule": kept.rule,
        "place": queries.place_of(kept.rule),
        "to_move": queries.to_be_moved(kept, away, timezone.now(), trips.goes_to),
        "owns": may_open(user, "opendays:week_update"),
        "new_id": uuid.uuid4,  # called anew by each form that is drawn
    }
    return render(request, "opendays/calendar_page.html", context)


@require_http_methods(FORM)
def week_update(request: HttpRequest) -> HttpResponse:
    form = WeekForm(request.POST or None, week=queries.entered().week)

    def there() -> There:
        last = OpeningHours.objects.standing().select_related("by").order_by("at").last()
        return There(WeekForm.shown(queries.entered().week), by=last.by if last else None)

    def write(entry_id: uuid.UUID, **_: Any) -> None:
        keep_over(
            form,
            there,
            lambda said, _: services.set_week(
                entry_id=entry_id, week=WeekForm.week_of(said), by=person_of(request)
            ),
        )

    if _is_kept(form, write):
        return _back(request, "The week's hours are kept.")
    return _shown(request, "opendays/week_form.html", form)


@require_http_methods(FORM)
def closure_create(request: HttpRequest) -> HttpResponse:
    form = ClosureForm(request.POST or None)

    def write(**values: Any) -> None:
        services.add_closure(by=person_of(request), **values)

    if _is_kept(form, write):
        return _back(request, f"Closed: {form.cleaned_data['reason']}.")
    return _shown(request, "opendays/closure_form.html", form)


@require_http_methods(FORM)
def absence_create(request: HttpRequest) -> HttpResponse:
    form = AbsenceForm(request.POST or None)

    def write(**values: Any) -> None:
        services.add_absence(by=person_of(request), **values)

    if _is_kept(form, write):
        return _back(request, f"Kept: {name_of(form.cleaned_data['person'])} is away.")
    return _shown(request, "opendays/absence_form.html", form)


@require_http_methods(FORM)
def holidays_update(request: HttpRequest) -> HttpResponse:
    """The country first; where its parts differ the page comes back to ask which."""
    form = HolidaysForm(request.POST or None, rule=queries.standing_rule())

    def there() -> There:
        rule = queries.standing_rule()
        said = (rule.country, rule.subdivision) if rule else ("", "")
        values = dict(zip(("country", "subdivision"), said, strict=True))
        return There(values, by=rule.by if rule else None)

    def write(entry_id: uuid.UUID, **_: Any) -> None:
        by = person_of(request)
        keep_over(
            form, there, lambda said, _: services.keep_holidays(entry_id=entry_id, by=by, **said)
        )

    if _is_kept(form, write):
        if form.asks_part:
            messages.success(request, "The country is kept. Say which part, if the parts differ.")
            return redirect("opendays:holidays_update")
        return _back(request, "The public holidays are kept.")
    return _shown(request, "opendays/holidays_form.html", form)


@require_POST
def holiday_work(request: HttpRequest) -> HttpResponse:
    """Work on a holiday all the same, or keep it again."""
    form = WorkedForm(request.POST)

    def write(**values: Any) -> None:
        services.work_on_holiday(by=person_of(request), **values)

    if not _is_kept(form, write):
        return _refused(request, form)
    name, works = form.cleaned_data["name"], form.cleaned_data["open_anyway"]
    return _back(request, f"{name}: the house {'works' if works else 'is closed'}.")


@require_POST
def closure_end(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    closure = get_object_or_404(Closure, pk=pk)
    form = EntryForm(request.POST)

    def write(entry_id: uuid.UUID) -> None:
        services.end_closure(entry_id=entry_id, closure=closure, by=person_of(request))

    if not _is_kept(form, write):
        return _refused(request, form)
    return _back(request, f"Open again: {closure.reason} is ended.")


@require_POST
def absence_end(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    absence = get_object_or_404(Absence.objects.select_related("person"), pk=pk)
    form = EntryForm(request.POST)

    def write(entry_id: uuid.UUID) -> None:
        services.end_absence(entry_id=entry_id, absence=absence, by=person_of(request))

    if not _is_kept(form, write):
        return _refused(request, form)
    return _back(request, f"{name_of(absence.person)} can be booked again.")


def _is_kept(form: Form, write: Callable[..., None]) -> bool:
    """Whether what the form says was written; why not stands beside its fields."""
    if not (form.is_bound and form.is_valid()):
        return False
    try:
        write(**form.cleaned_data)
    except ValidationError as error:
        add_errors(form, error)
    return form.is_valid()


def _shown(request: HttpRequest, template: str, form: Form) -> HttpResponse:
    return render(request, template, {"form": form}, status=status_of(form))


def _back(request: HttpRequest, said: str) -> HttpResponse:
    """To the calendar, which lists the bookings that are in the way now."""
    messages.success(request, said)
    return redirect(PAGE)


def _refused(request: HttpRequest, form: Form) -> HttpResponse:
    """A button's entry that could not be kept: there is no field to say it beside."""
    wrong = [str(sentence) for sentences in form.errors.values() for sentence in sentences]
    messages.error(request, " ".join(wrong))
    return redirect(PAGE)
