"""The customer's page and the garment's page: everything the house knows, in one place each."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from customers.form_fields import EntryForm
from customers.models import Customer, House
from customers.queries import unit_of
from fittings.config.access import may_open
from fittings.folios import queries
from fittings.folios.figure import changed_since_cut, figure_of
from fittings.folios.history import Record, by_day, history_of, names_of_people
from garments.aiming.queries import aims_of
from garments.carrying.queries import may_be_carried
from garments.models import Garment
from garments.queries import by_seam, inlay_table, inlays_from
from garments.shears.cloth import Piece
from garments.stages import next_by_hand

# Pages these two lead to: a door is drawn only for those who may open it.
DOORS = (
    "customers:consent_create",
    "customers:customer_update",
    "customers:measure_history",
    "customers:set_compare",
    "customers:set_create",
    "customers:set_detail",
    "diary:booking_create",
    "diary:booking_detail",
    "folios:customer_folio",
    "garments:carry_page",
    "garments:cutter_sheet",
    "garments:finished_create",
    "garments:garment_create",
    "garments:garment_cut",
    "garments:garment_update",
    "garments:inlay_update",
    "garments:plan_page",
    "garments:remake_create",
    "garments:stage_create",
    "garments:wish_create",
    "privacy:customer_held",
    "promising:promise_detail",
    "session:fitting_detail",
    "session:fitting_list",
    "session:photographs_delete",
    "session:thumbnail",
    "workroom:ticket_create",
    "workroom:ticket_detail",
)

# What an erased customer's page still leads to.
AFTERWARDS = {"customer_held", "set_detail", "booking_detail", "fitting_detail", "measure_history"}


def doors_of(request: HttpRequest) -> dict[str, bool]:
    """Which of those pages this person may open, by the page's own name."""
    return {page.partition(":")[2]: may_open(request.user, page) for page in DOORS}


@require_safe
def customer_folio(request: HttpRequest, number: str) -> HttpResponse:
    """One customer: contacts, consents, figure over time, garments, fittings, photographs."""
    customer = get_object_or_404(Customer, number=number)
    unit = unit_of(customer)
    doors = doors_of(request)
    if customer.erased_at:  # nothing is begun any more with somebody who is not there
        doors = {name: doors[name] and name in AFTERWARDS for name in doors}
    today = timezone.localdate()
    garments = list(queries.GARMENTS(customer.pk))
    context = {
        "customer": customer,
        "unit": unit,
        "consents": queries.consents_of(customer),
        "figure": figure_of(customer, unit),
        "garments": [queries.garment_line(garment, today) for garment in garments],
        "visits": queries.visits_of(customer, garments, names_of_people()),
        "photographs": list(queries.PHOTOGRAPHS(customer.pk)) if doors["thumbnail"] else [],
        "doors": doors,
    }
    return render(request, "folios/customer_folio.html", context)


@require_safe
def garment_folio(request: HttpRequest, number: str) -> HttpResponse:
    """One garment: what it is, where it is, its inlays, tickets, and its whole history.

    Everyone of the house opens it, so it shows no way to reach the customer but the name.
    """
    rows = Garment.objects.for_lists().select_related("measurement_set")
    garment = get_object_or_404(rows, number=number)
    unit = House.get().unit
    doors = doors_of(request)
    record = Record(garment)
    now = inlays_from(row for row in record.movements if record.stands(row))
    context = {
        "garment": garment,
        "line": queries.garment_line(garment, timezone.localdate()),
        "form": EntryForm(auto_id=False),
        "strike_form": EntryForm(auto_id=False),
        "next_stages": next_by_hand(garment.stage) if doors["stage_create"] else [],
        "may_carry": may_be_carried(garment),
        "carry": queries.carry_of(record, unit),
        "aims": aims_of(garment, unit),
        "inlays": by_seam(inlay_table(garment, now, unit)),
        "tickets": queries.tickets_of(garment),
        "untold": queries.alterations_untold(garment, unit),
        "piece": Piece.of(vars(garment)).told(unit),
        "remakes": record.remakes,
        "changed": changed_since_cut(garment, unit),
        "to_come": queries.bookings_of(garment),
        "days": by_day(history_of(record, unit, partial(may_open, request.user))),
        "doors": doors,
    }
    return render(request, "folios/garment_folio.html", context)
