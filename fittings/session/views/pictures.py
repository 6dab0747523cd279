"""Photographs: taken at a fitting, shown to those whose work needs them, struck."""

import uuid
from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.models import Customer
from customers.requests import status_of
from fittings.models import Photograph, PhotographDeletion
from fittings.session import queries
from fittings.session.forms import DeletePhotographsForm, PhotographForm
from fittings.session.page import answered, find_place, refused, struck
from fittings.session.services.photographs import (
    NoConsentError,
    delete_photographs,
    record_photographs,
    strike_photograph,
)
from garments.forms import add_errors
from garments.requests import person_of


@require_POST
def photograph_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    place = find_place(request, pk, number)
    form = PhotographForm(request.POST, request.FILES)
    forget = False
    if form.is_valid():
        data = form.cleaned_data
        try:
            kept = record_photographs(
                entry_id=data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                uploads=data["uploads"],
                caption=data["caption"],
                view=data["view"],
                by=place.by,
            )
        except ValidationError as error:
            forget = isinstance(error, NoConsentError)
            add_errors(form, error)
        else:
            many = f"{len(kept)} photographs are kept."
            said = many if len(kept) > 1 else "The photograph is kept."
            return answered(request, place, said, ("photographs",), at="photographs")
    answer = refused(
        request, place, form, "session/photograph_form.html", photograph_form=form, oob=True
    )
    if forget:
        answer["X-Forget"] = "picture"  # the tablet that kept it keeps it no longer
    return answer


@require_POST
def photograph_strike(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    photograph = get_object_or_404(Photograph.objects.select_related("garment"), pk=pk, void=False)
    place = find_place(request, photograph.fitting_id, photograph.garment.number)
    strike = partial(strike_photograph, photograph=photograph)
    said = "The photograph is taken out."
    return struck(request, place, strike, said, ("photographs",), at="photographs")


@require_safe
def beside(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """Today's photographs of a garment beside the last ones taken from the same view."""
    place = find_place(request, pk, number)
    now, before = queries.photographs_of(place.fitting, place.garment)
    pairs = [(row, before[row.view]) for row in now if row.view in before]
    return render(request, "session/beside.html", {"place": place, "pairs": pairs})


@require_safe
def photograph(_request: HttpRequest, pk: uuid.UUID) -> FileResponse:
    return _served(_standing(pk).image)


@require_safe
def thumbnail(_request: HttpRequest, pk: uuid.UUID) -> FileResponse:
    return _served(_standing(pk).thumbnail)


@require_http_methods(["GET", "POST"])
def photographs_delete(request: HttpRequest, number: str) -> HttpResponse:
    """Every photograph of a customer, and those chosen taken off the disk for good."""
    customer = get_object_or_404(Customer, number=number)
    taken = queries.photographs_taken(customer)
    form = DeletePhotographsForm(request.POST or None, taken=taken)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            gone = delete_photographs(
                entry_id=data["entry_id"],
                photographs=data["photographs"],
                reason=data["reason"],
                by=person_of(request),
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Deleted for good: {len(gone)}.")
            return redirect("session:photographs_delete", number=number)
    deletions = PhotographDeletion.objects.filter(photograph__customer=customer)
    context = {
        "customer": customer,
        "kept": list(queries.photographs_on_disk(customer)),
        "chosen": {str(pk) for pk in form["photographs"].value() or ()},
        "form": form,
        "deletions": deletions.select_related("by", "photograph__garment").order_by("-at"),
    }
    return render(request, "session/photographs_delete.html", context, status=status_of(form))


def _standing(pk: uuid.UUID) -> Photograph:
    row = Photograph.objects.standing().filter(pk=pk).first()
    if row is None:
        raise Http404("There is no such photograph.")
    return row


def _served(file: FieldFile) -> FileResponse:
    """The picture for this person's eyes only: kept by no cache, run by no browser."""
    try:
        answer = FileResponse(file.open("rb"), content_type="image/jpeg", filename="photograph.jpg")
    except FileNotFoundError as error:
        raise Http404("The photograph is no longer kept.") from error
    answer["Cache-Control"] = "private, no-store"
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "sandbox; default-src 'none'"
    return answer
