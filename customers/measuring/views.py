"""Pages of measures: take a set, correct one, look at one, compare two."""

import uuid
from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.figure import read
from customers.form_fields import EntryForm
from customers.measuring.forms import GARMENTS, CompareForm, MeasuresForm
from customers.measuring.sheet import OTHER_UNIT, lay_out_set, lay_out_two
from customers.models import Customer, MeasurementSet, Unit
from customers.points import CAUTION
from customers.queries import all_sets, asked_of, last_measures, unit_of
from customers.requests import way_back
from customers.services import confirm_reading, refuse_correction, save_measurement_set

FORM_METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(FORM_METHODS)
def set_create(request: HttpRequest, number: str) -> HttpResponse:
    """Take a set of measures; what each point measured before stands beside it."""
    customer = get_object_or_404(Customer, number=number)
    unit = _asked_unit(request) or unit_of(customer)
    initial = {
        "taken_on": timezone.localdate(),
        "taken_by": request.user,
        "garments": _asked_garments(request) or ["coat"],
    }
    form = MeasuresForm(_data(request), unit=unit, last=last_measures(customer), initial=initial)
    if row := _save(request, form, customer):
        messages.success(request, "The measures are kept.")
        return redirect(way_back(request) or row)
    return _sheet(request, form, {"customer": customer})


@require_http_methods(FORM_METHODS)
def set_correct(request: HttpRequest, number: str, pk: uuid.UUID) -> HttpResponse:
    """Put a mistake right: the same sheet with the old set's values, kept as a new set."""
    old = _set_or_404(number, pk)
    customer = old.customer
    if request.method != "POST":
        try:
            refuse_correction(customer, old)
        except ValidationError as refusal:
            messages.error(request, refusal.messages[0])
            return redirect(old)
    initial = {"taken_on": old.taken_on, "taken_by": old.taken_by, "note": old.note}
    form = MeasuresForm(
        _data(request),
        unit=old.unit,
        last=last_measures(customer, without=old),
        own=(old.lengths(1), old.lengths(2)),
        initial=initial,
    )
    if row := _save(request, form, customer, corrects=old):
        messages.success(request, "The correction is kept. The old set stays readable.")
        return redirect(way_back(request) or row)
    return _sheet(request, form, {"customer": customer, "old": old})


@require_safe
def set_detail(request: HttpRequest, number: str, pk: uuid.UUID) -> HttpResponse:
    """All of one set, what is doubtful in it, and what became of it."""
    row = _set_or_404(number, pk)
    context = {
        "row": row,
        "customer": row.customer,
        "groups": lay_out_set(row.lengths(1), row.lengths(2), row.unit),
        "other_unit": OTHER_UNIT[row.unit],
        "says": read(row.lengths(), unit=row.unit),
        "doubts": asked_of(row),
        "form": EntryForm(auto_id=False),
        "garments": list(row.garments.all()),
    }
    return render(request, "customers/set_detail.html", context)


@require_POST
def reading_confirm(request: HttpRequest, number: str, pk: uuid.UUID) -> HttpResponse:
    """Say that a reading in doubt is as the tape said, by name."""
    row = _set_or_404(number, pk)
    form = EntryForm(request.POST)
    if form.is_valid():
        point, _, side = request.POST.get("reading", "")[:60].partition(":")
        try:
            confirm_reading(
                entry_id=form.cleaned_data["entry_id"],
                measurement_set=row,
                point=point,
                side=side,
                by=cast("User", request.user),
            )
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
        else:
            messages.success(request, "Kept: it is as the tape said.")
    return redirect(way_back(request) or row)


@require_safe
def set_compare(request: HttpRequest, number: str) -> HttpResponse:
    """Two sets of a customer side by side; without a choice, the newest two that stand."""
    customer = get_object_or_404(Customer, number=number)
    sets = list(all_sets(customer))
    newest = [row.pk for row in sets if row.stands][:2]
    chosen: Any = request.GET
    if not {"one", "other"} & set(chosen) and len(newest) > 1:
        chosen = {"one": str(newest[1]), "other": str(newest[0])}
    form = CompareForm(chosen, sets=sets)
    context: dict[str, Any] = {"form": form, "customer": customer, "sets": sets}
    unit = unit_of(customer)
    if len(sets) > 1 and form.is_valid():
        one, other = form.cleaned_data["one"], form.cleaned_data["other"]
        prefetch_related_objects([one, other], "measurements")
        groups = lay_out_two(one.lengths(), other.lengths(), unit)
        context |= {"one": one, "other": other, "groups": groups}
    status = 422 if len(sets) > 1 and form.errors else 200
    return render(request, "customers/set_compare.html", context, status=status)


def _save(
    request: HttpRequest,
    form: MeasuresForm,
    customer: Customer,
    corrects: MeasurementSet | None = None,
) -> MeasurementSet | None:
    """The set as kept, or None while something is to be put right or answered in the form."""
    if not (form.is_bound and form.is_valid()):
        return None
    names = ("entry_id", "taken_on", "taken_by", "unit", "note")
    try:
        return save_measurement_set(
            **{name: form.cleaned_data[name] for name in names},
            customer=customer,
            measures=form.measures,
            second=form.second,
            confirmed=form.confirmed,
            corrects=corrects,
            by=cast("User", request.user),
        )
    except ValidationError as refusal:
        form.add_error(None, refusal)
        return None


def _sheet(request: HttpRequest, form: MeasuresForm, context: dict[str, Any]) -> HttpResponse:
    context |= {
        "form": form,
        "caution": CAUTION,
        "other_unit": OTHER_UNIT[form.length_unit],
        "other_unit_name": Unit(OTHER_UNIT[form.length_unit]).label,
    }
    status = 422 if form.errors else 200
    return render(request, "customers/set_form.html", context, status=status)


def _set_or_404(number: str, pk: uuid.UUID) -> MeasurementSet:
    """A set of this very customer, with all that a page says of it: two queries."""
    rows = MeasurementSet.objects.select_related(
        "customer", "taken_by", "by", "strikes", "struck_by__by"
    ).prefetch_related("measurements")
    return get_object_or_404(rows, pk=pk, customer__number=number)


def _data(request: HttpRequest) -> Any:
    return request.POST if request.method == "POST" else None


def _asked_unit(request: HttpRequest) -> str:
    asked = request.POST.get("unit") or request.GET.get("unit") or ""
    return asked if asked in Unit.values else ""


def _asked_garments(request: HttpRequest) -> list[str]:
    """The kinds an address asks for (``?for=trousers``); an overcoat needs what a coat needs."""
    asked = {"coat" if kind == "overcoat" else kind for kind in request.GET.getlist("for")}
    return [kind for kind, _ in GARMENTS if kind in asked]
