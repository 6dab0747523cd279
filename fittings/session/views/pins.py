"""The page of one photograph: its pins, and a touch that sets one."""

import uuid
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from customers.form_fields import EntryForm
from customers.requests import status_of
from fittings.folios.wording import observation_text
from fittings.models import Photograph, PhotographPin
from fittings.session.forms import PinForm
from fittings.session.page import find_place
from fittings.session.pinned import MOST, may_be_pinned, pins_of, set_pin, strike_pin
from fittings.session.services.guards import is_decided
from garments.forms import add_errors

WIDEST, HIGHEST = 560, 720  # CSS pixels: whole on a tablet, held either way


@dataclass(frozen=True)
class Shown:
    """A photograph as large as the page shows it."""

    photograph: Photograph
    width: int
    height: int

    def thousandths(self, x: int, y: int) -> dict[str, int]:
        """A touched point of the picture as shown."""
        # In whole numbers: what was sent may be too large for any other.
        return {
            "x": (x * MOST + self.width // 2) // self.width,
            "y": (y * MOST + self.height // 2) // self.height,
        }

    def point(self, pin: PhotographPin) -> tuple[int, int]:
        """Where a pin lies on the picture as shown."""
        return round(pin.x * self.width / MOST), round(pin.y * self.height / MOST)


@require_http_methods(["GET", "POST"])
def pin_page(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Choose a fault, touch the picture where it shows."""
    row = get_object_or_404(
        Photograph.objects.standing().select_related("garment", "fitting"), pk=pk
    )
    place = find_place(request, row.fitting_id, row.garment.number)
    shown = _shown(row)
    seen, pins = may_be_pinned(row), list(pins_of(row))
    labels = {each.pk: observation_text(each, row.garment.kind, place.unit) for each in seen}
    pinned = {pin.observation_id for pin in pins}
    first = next((pk for pk in labels if pk not in pinned), None)
    form = PinForm(request.POST or None, seen=seen, labels=labels, first=first)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            set_pin(
                entry_id=data["entry_id"],
                photograph=row,
                observation=data["observation"],
                by=place.by,
                **shown.thousandths(data["spot.x"], data["spot.y"]),
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            return redirect(reverse("session:pin_page", args=[row.pk]))
    context = {
        "place": place,
        "shown": shown,
        "pins": [(pin, labels.get(pin.observation_id, ""), *shown.point(pin)) for pin in pins],
        "form": form,
        "decided": is_decided(row.fitting, row.garment),
        "strike_form": EntryForm(auto_id=False),
    }
    return render(request, "session/pin_page.html", context, status=status_of(form))


@require_POST
def pin_strike(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Take a pin off."""
    pin = PhotographPin.objects.select_related("photograph__fitting", "photograph__garment")
    row = get_object_or_404(pin.filter(void=False), pk=pk)
    place = find_place(request, row.photograph.fitting_id, row.photograph.garment.number)
    form = EntryForm(request.POST)
    if not form.is_valid():
        raise Http404("The page was not sent whole.")
    try:
        strike_pin(pin=row, by=place.by, **form.cleaned_data)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect(reverse("session:pin_page", args=[row.photograph_id]))


def _shown(row: Photograph) -> Shown:
    scale = min(WIDEST / row.width, HIGHEST / row.height, 1)
    return Shown(row, round(row.width * scale), round(row.height * scale))
