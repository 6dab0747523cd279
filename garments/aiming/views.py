"""A wish about a garment entered or taken back, and the garment itself measured."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from customers.form_fields import EntryForm
from customers.models import House
from customers.requests import status_of, way_back
from garments.aiming.forms import FinishedForm, WishForm
from garments.aiming.queries import aims_of
from garments.aiming.services import record_finished_measures, record_wish, strike_wish
from garments.forms import add_errors
from garments.models import GarmentWish
from garments.requests import person_of
from garments.views import garment_of


@require_http_methods(["GET", "POST"])
def wish_create(request: HttpRequest, number: str) -> HttpResponse:
    """Enter what the customer wishes otherwise than the cut has it."""
    garment = garment_of(number)
    unit = House.get().unit
    form = WishForm(request.POST or None, kind=garment.kind, unit=unit)
    if request.method == "POST" and form.is_valid():
        try:
            record_wish(garment=garment, by=person_of(request), **form.wished)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, "The wish is entered.")
            return redirect(way_back(request) or garment)
    context = {"form": form, "garment": garment, "unit": unit, "aims": aims_of(garment, unit)}
    return render(request, "garments/wish_form.html", context, status=status_of(form))


@require_POST
def wish_strike(request: HttpRequest, number: str, pk: uuid.UUID) -> HttpResponse:
    """Take a wish back."""
    garment = garment_of(number)
    wish = get_object_or_404(GarmentWish, pk=pk, garment=garment)
    form = EntryForm(request.POST)
    if form.is_valid():
        try:
            strike_wish(wish=wish, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, "The wish is taken back.")
    return redirect(way_back(request) or garment)


@require_http_methods(["GET", "POST"])
def finished_create(request: HttpRequest, number: str) -> HttpResponse:
    """Enter the measures of the garment itself, beside what each is aimed at."""
    garment = garment_of(number)
    unit = House.get().unit
    form = FinishedForm(
        request.POST or None, kind=garment.kind, unit=unit, aims=aims_of(garment, unit)
    )
    if request.method == "POST" and form.is_valid():
        try:
            kept = record_finished_measures(
                entry_id=form.cleaned_data["entry_id"],
                garment=garment,
                where=form.cleaned_data["where"],
                values=form.values,
                by=person_of(request),
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Measured on the {garment}: {len(kept)}.")
            return redirect(way_back(request) or garment)
    context = {
        "form": form,
        "garment": garment,
        "unit": unit,
        "next": request.POST.get("next", request.GET.get("next", "")),
    }
    return render(request, "garments/finished_form.html", context, status=status_of(form))
