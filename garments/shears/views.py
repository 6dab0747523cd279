"""Pages before the shears: what must be clean, what is taken on, the cutter's sheet."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers import points
from customers.form_fields import EntryForm
from customers.models import MeasurementSet
from customers.paper import answer_paper
from customers.queries import unit_of
from customers.requests import UNPROCESSABLE
from customers.services import is_cut_from
from garments import seams
from garments.cutting import exact
from garments.forms import CutForm, PassForm, add_errors
from garments.models import Garment, PassedLine, Stage
from garments.queries import sets_to_cut_from
from garments.requests import person_of
from garments.services import cut_garment
from garments.shears.queries import BeforeCut, before_cut
from garments.shears.services import pass_line, strike_pass
from garments.shears.sheet import print_sheet
from garments.views import garment_of

SETS_SHOWN = 4


@require_http_methods(["GET", "POST"])
def garment_cut(request: HttpRequest, number: str) -> HttpResponse:
    """What must be clean before the shears; then enter that it was cut, and from which set."""
    garment = garment_of(number)
    sets = sets_to_cut_from(garment.customer)
    form = CutForm(request.POST or None, sets=sets.prefetch_related(None))
    if request.method == "POST" and form.is_valid():
        try:
            cut_garment(garment=garment, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{garment} is cut.")
            return redirect(garment)
    return _page(request, garment, form)


@require_POST
def line_pass(request: HttpRequest, number: str) -> HttpResponse:
    """Take one line on by name and with a reason."""
    garment = garment_of(number)
    sets = sets_to_cut_from(garment.customer).prefetch_related(None)
    form = PassForm(request.POST, sets=sets)
    if form.is_valid():
        try:
            pass_line(garment=garment, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, "Taken on; the cutter's sheet says so.")
            row = form.cleaned_data["measurement_set"]
            return redirect(f"{reverse('garments:garment_cut', args=[number])}?set={row.pk}")
    return _page(request, garment, CutForm(sets=sets), passing=form)


@require_POST
def line_strike(request: HttpRequest, number: str, pk: uuid.UUID) -> HttpResponse:
    """Take back that a line was taken on."""
    garment = garment_of(number)
    passed = get_object_or_404(PassedLine, pk=pk, garment=garment)
    form = EntryForm(request.POST)
    if form.is_valid():
        try:
            strike_pass(passed=passed, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, "Taken back: the line is open again.")
    page = reverse("garments:garment_cut", args=[number])
    return redirect(f"{page}?set={passed.measurement_set_id}")


@require_safe
def cutter_sheet(request: HttpRequest, number: str) -> HttpResponse:
    """The sheet the cutter works by, A4."""
    garment = garment_of(number)
    shown = list(sets_to_cut_from(garment.customer)[:SETS_SHOWN])
    row = garment.measurement_set or _chosen(request, shown)
    address = request.build_absolute_uri(garment.get_absolute_url())
    return answer_paper(print_sheet(garment, row, address), f"cut-{garment.number}")


def _page(
    request: HttpRequest, garment: Garment, form: CutForm, passing: PassForm | None = None
) -> HttpResponse:
    shown = list(sets_to_cut_from(garment.customer)[:SETS_SHOWN])
    chosen = _chosen(request, shown)
    whole = garment.stage == Stage.ORDERED
    # What was sent may name a set that is no choice: the page then speaks of the newest.
    form.initial["measurement_set"] = chosen.pk if chosen else None
    page = before_cut(garment, chosen, unit_of(garment.customer)) if chosen and whole else None
    context: dict[str, Any] = {
        "form": form,
        "passing": passing,
        "new_id": uuid.uuid4,  # called anew by each form that is drawn
        "garment": garment,
        "chosen": chosen,
        "frozen": chosen is not None and is_cut_from(chosen),
        "back": _address(garment, shown, chosen),
        "doubt_form": EntryForm(auto_id=False),
        "page": page,
        "waiting": _waiting(page) if page else [],
        "sets": shown,
        "today": timezone.localdate(),
        "rows": _measures_that_matter(garment.kind, shown),
    }
    wrong = form.errors or (passing and passing.errors)
    status = UNPROCESSABLE if wrong else 200
    return render(request, "garments/garment_cut.html", context, status=status)


def _address(garment: Garment, shown: list[MeasurementSet], chosen: MeasurementSet | None) -> str:
    """The page as it is looked at: by the newest set, or by the one that was chosen."""
    page = reverse("garments:garment_cut", args=[garment.number])
    return f"{page}?set={chosen.pk}" if chosen and chosen != shown[0] else page


def _waiting(page: BeforeCut) -> list[dict[str, Any]]:
    """The wishes that wait for a name, each as the form of a wish sends it."""
    return [
        {
            "line": line,
            "wish": f"{line.wish.point}:{'less' if line.wish.amount.nm < 0 else 'more'}",
            "amount": exact(abs(line.wish.amount)),
        }
        for line in page.aims.wishes
        if line.waits
    ]


def _chosen(request: HttpRequest, shown: list[MeasurementSet]) -> MeasurementSet | None:
    """The set asked about: by the form sent, else by the address, else the newest."""
    asked = request.POST.get("measurement_set") or request.GET.get("set")
    return next((row for row in shown if str(row.pk) == asked), shown[0] if shown else None)


def _measures_that_matter(kind: str, shown: list[Any]) -> list[tuple[str, list[str]]]:
    """The points a kind of garment is cut by: a name, and its value in each set, in its unit."""
    taken = [(row.lengths(), row.unit) for row in shown]
    rows = []
    for point in points.POINTS:
        for side in point.sides if kind in point.garments else ():
            values = [lengths.get((point.key, side)) for lengths, _ in taken]
            if any(value is not None for value in values):
                texts = [
                    value.text(unit) if value is not None else "–"
                    for value, (_, unit) in zip(values, taken, strict=True)
                ]
                rows.append((f"{point.name} {seams.SIDE_NAMES[side]}".strip(), texts))
    return rows
