"""Pages about one garment: order, change, cut, stage, inlays, remake."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from customers.form_fields import EntryForm
from customers.meanwhile import There
from customers.models import Customer, House
from customers.requests import status_of, way_back
from garments.carrying.queries import unanswered
from garments.forms import (
    ChangeForm,
    InlayForm,
    OrderForm,
    RemakeForm,
    StageForm,
    add_errors,
)
from garments.models import CutVersion, Garment, Kind, StageEntry
from garments.queries import by_seam, cutters, inlay_table, inlays_of, newest_versions
from garments.requests import is_kept_over, kept_before, person_of
from garments.services import (
    count_inlays,
    enter_stage,
    order_garment,
    record_remake,
    take_back_stage,
    update_garment,
)


def garment_of(number: str) -> Garment:
    """The garment of a number in an address, with what its heading shows, or 404."""
    return get_object_or_404(Garment.objects.for_lists(), number=number)


@require_http_methods(["GET", "POST"])
def garment_create(request: HttpRequest, number: str) -> HttpResponse:
    """Take an order for the customer of this number."""
    customer = get_object_or_404(Customer, number=number)
    person = person_of(request)
    first = {"kind": request.GET.get("kind", Kind.COAT), "cutter": person.pk}
    form = OrderForm(request.POST or None, initial=first)
    if request.method == "POST" and form.is_valid():
        try:
            garment = order_garment(customer=customer, by=person, **form.order)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Ordered: {garment}.")
            return redirect(_after_order(garment, person))
    kinds = set(newest_versions().values_list("cut__kind", flat=True))
    context = {
        "form": form,
        "customer": customer,
        "no_cuts": not kinds,
        "uncut": [kind for kind in Kind if kind not in kinds],
    }
    return _drawn(request, "garments/garment_form.html", context)


def _after_order(garment: Garment, person: User) -> str:
    """Whoever cuts goes on to what past garments needed, if they ask for anything."""
    cuts = cutters().filter(pk=person.pk).exists()
    if cuts and unanswered(garment):
        return reverse("garments:carry_page", args=[garment.number])
    return garment.get_absolute_url()


@require_http_methods(["GET", "POST"])
def garment_update(request: HttpRequest, number: str) -> HttpResponse:
    """Change what was agreed; a change made meanwhile is shown, and nothing typed is lost."""
    garment = garment_of(number)
    form = ChangeForm(request.POST or None, garment=garment)

    def write(values: dict[str, Any], version: int) -> None:
        update_garment(garment=garment, version=version, values=values, by=person_of(request))

    if is_kept_over(form, form.there, write):
        messages.success(request, f"{garment} is changed.")
        return redirect(way_back(request) or garment)
    context = {"garment": garment, "customer": garment.customer, "form": form}
    return _drawn(request, "garments/garment_form.html", context)


@require_http_methods(["GET", "POST"])
def stage_create(request: HttpRequest, number: str) -> HttpResponse:
    """Enter the stage it reached, by one tap on its page or here with a reason."""
    garment = garment_of(number)
    if kept_before(request, StageEntry, garment=garment, by=person_of(request)):
        return redirect(garment)
    form = StageForm(request.POST or None, garment=garment)
    if request.method == "POST" and form.is_valid():
        try:
            entry = enter_stage(garment=garment, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{garment} is now: {entry.get_stage_display()}.")
            return redirect(garment)
    return _drawn(request, "garments/stage_form.html", {"form": form, "garment": garment})


@require_POST
def stage_strike(request: HttpRequest, number: str) -> HttpResponse:
    """Take back the newest stage, entered by mistake."""
    garment = garment_of(number)
    form = EntryForm(request.POST)
    if form.is_valid():
        try:
            take_back_stage(garment=garment, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, f"Taken back: {garment} is {garment.get_stage_display()}.")
    return redirect(garment)


@require_http_methods(["GET", "POST"])
def inlay_update(request: HttpRequest, number: str) -> HttpResponse:
    """Enter the inlays as counted on the cloth."""
    garment = garment_of(number)
    unit = House.get().unit
    places = inlay_table(garment, inlays_of(garment), unit)
    form = InlayForm(request.POST or None, places=places, unit=unit)

    def there() -> There:
        now = {place.field: place.now for place in inlay_table(garment, inlays_of(garment), unit)}
        last = garment.inlay_movements.select_related("by").order_by("at").last()
        return There(now, by=last.by if last else None)

    def write(_: dict[str, Any], __: int) -> None:
        entry_id, counted = form.cleaned_data["entry_id"], form.counted
        count_inlays(entry_id=entry_id, garment=garment, counted=counted, by=person_of(request))

    if is_kept_over(form, there, write):
        messages.success(request, f"Inlays counted: {len(form.counted)}.")
        return redirect(garment)
    context = {
        "form": form,
        "garment": garment,
        "unit": unit,
        "rows": [
            (seam, [(place, form[place.field]) for place in of_seam])
            for seam, of_seam in by_seam(places)
        ],
    }
    return _drawn(request, "garments/inlay_form.html", context)


@require_http_methods(["GET", "POST"])
def remake_create(request: HttpRequest, number: str) -> HttpResponse:
    """Cut it again at the house's cost: the whole garment or a main piece, with the reason."""
    garment = garment_of(number)
    same_cut = CutVersion.objects.filter(cut=garment.cut_version.cut).order_by("-version").first()
    form = RemakeForm(
        request.POST or None,
        garment=garment,
        initial={"cut_version": same_cut.pk if same_cut else None},
    )
    if request.method == "POST" and form.is_valid():
        try:
            remake = record_remake(
                entry_id=form.cleaned_data["entry_id"],
                replaces=garment,
                piece=form.piece,
                reason=form.cleaned_data["reason"],
                cut_version=form.cleaned_data["cut_version"],
                cutter=form.cleaned_data["cutter"],
                promised_on=form.promised,
                notes=form.cleaned_data["notes"],
                by=person_of(request),
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Entered: {remake.piece or garment} is cut again.")
            return redirect(remake.garment or garment)
    return _drawn(request, "garments/remake_form.html", {"form": form, "garment": garment})


def _drawn(request: HttpRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    """A page with a form: 422 when something in it must be put right."""
    return render(request, template, context, status=status_of(context["form"]))
