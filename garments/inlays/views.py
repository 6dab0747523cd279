"""The page on which an inlay is entered that cannot be used."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from customers.lengths import Length
from customers.models import House
from customers.requests import status_of
from garments.forms import add_errors
from garments.inlays.forms import SpoiltForm
from garments.inlays.services import spoil_inlay
from garments.queries import inlay_table, inlays_of
from garments.requests import person_of
from garments.views import garment_of


@require_http_methods(["GET", "POST"])
def inlay_spoil(request: HttpRequest, number: str) -> HttpResponse:
    """Enter an inlay that is snipped, soiled, faded or trimmed away."""
    garment = garment_of(number)
    unit = House.get().unit
    table = inlay_table(garment, inlays_of(garment), unit)
    places = [place for place in table if place.now and place.now > Length(0)]
    form = SpoiltForm(request.POST or None, garment=garment, places=places, unit=unit)
    if request.method == "POST" and form.is_valid():
        try:
            entered = spoil_inlay(by=person_of(request), **form.values())
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Entered as {entered.get_reason_display()}.")
            return redirect("garments:inlay_update", garment.number)
    context = {"form": form, "garment": garment, "unit": unit}
    return render(request, "garments/inlay_spoil.html", context, status=status_of(form))
