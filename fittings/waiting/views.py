"""The waiting list, a new entry, and a time given to who waits."""

import datetime
import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.form_fields import EntryForm
from customers.models import Customer
from customers.requests import CONFLICT, UNPROCESSABLE, status_of
from customers.versions import ChangedMeanwhileError
from fittings.diary.forms import NEXT_LOOK, CustomerForm, Purpose
from fittings.diary.services import SlotTakenError
from fittings.models import Booking, Waiting
from fittings.waiting import queries, services
from fittings.waiting.forms import GiveForm, WaitForm
from garments.forms import add_errors
from garments.models import Garment, Stage
from garments.requests import person_of

USUAL_SPAN = datetime.timedelta(days=14)


@require_safe
def waiting_list(request: HttpRequest) -> HttpResponse:
    """Who waits, and times that came free with whom they would suit."""
    return _list(request)


def _list(request: HttpRequest, wrong: str = "", status: int = 200) -> HttpResponse:
    now = timezone.now()
    everyone = queries.WaitingList(now)
    freed = [(freed, everyone.fitting(freed)) for freed in queries.freed_lately(now)]
    context = {
        "rows": everyone.rows,
        "freed": freed,
        "new_id": uuid.uuid4,  # called anew by each form that is drawn
        "wrong": wrong,
    }
    return render(request, "waiting/waiting_list.html", context, status=status)


@require_http_methods(["GET", "POST"])
def waiting_create(request: HttpRequest) -> HttpResponse:
    """Put a customer on the list, perhaps for an earlier time than one they have."""
    asked = CustomerForm(request.POST if request.method == "POST" else request.GET)
    if not asked.is_valid():
        messages.error(request, "Find the customer first: the list is on their page.")
        return redirect("customers:customer_find")
    customer: Customer = asked.cleaned_data["customer"]
    held = _held(request, customer)
    garments = customer.garments.exclude(stage=Stage.REMADE).order_by("-serial")
    if request.method == "POST":
        form = WaitForm(request.POST, garments=garments)
        if form.is_valid() and _wait(request, customer, held, form):
            messages.success(request, f"{customer.name} waits.")
            return redirect("waiting:waiting_list")
    else:
        form = WaitForm(initial=_first_choice(customer, held), garments=garments)
    context = {"form": form, "customer": customer, "held": held}
    return render(request, "waiting/waiting_form.html", context, status=status_of(form))


def _held(request: HttpRequest, customer: Customer) -> Booking | None:
    """The booking that an earlier time would take the place of, if the page names one of theirs."""
    asked = request.POST if request.method == "POST" else request.GET
    try:
        pk = uuid.UUID(asked.get("booking", ""))
    except ValueError:
        return None
    rows = customer.bookings.select_related("fitter").prefetch_related("garments")
    held = rows.filter(pk=pk).first()
    if held is None and request.method == "POST":  # somebody else's booking is no slip
        raise Http404
    return held if held is not None and held.state == Booking.State.BOOKED else None


def _first_choice(customer: Customer, held: Booking | None) -> dict[str, Any]:
    today = timezone.localdate()
    if held is not None:
        return {
            "purpose": held.purpose,
            "garments": [row.pk for row in held.garments.all()],
            "fitter": held.fitter_id,
            "first": today,
            "last": timezone.localdate(held.starts_at),
        }
    first: dict[str, Any] = {"first": today, "last": today + USUAL_SPAN}
    in_work: list[Garment] = list(customer.garments.in_work())
    if len(in_work) == 1:
        first |= {"garments": [in_work[0].pk], "purpose": NEXT_LOOK[Stage(in_work[0].stage)]}
    elif not in_work:
        first["purpose"] = Purpose.MEASURE
    return first


def _wait(request: HttpRequest, customer: Customer, held: Booking | None, form: WaitForm) -> bool:
    try:
        services.wait_for_time(
            customer=customer, instead_of=held, by=person_of(request), **form.cleaned_data
        )
    except ValidationError as error:
        add_errors(form, error)
        return False
    return True


@require_POST
def waiting_withdraw(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Take a customer off the list."""
    waiting = get_object_or_404(Waiting.objects.select_related("customer"), pk=pk, void=False)
    form = EntryForm(request.POST)
    if not form.is_valid():
        return _list(request, "That page is old: try again.", UNPROCESSABLE)
    try:
        services.withdraw_waiting(
            entry_id=form.cleaned_data["entry_id"], waiting=waiting, by=person_of(request)
        )
    except ValidationError as error:
        return _list(request, " ".join(error.messages), UNPROCESSABLE)
    messages.success(request, f"{waiting.customer.name} waits no more.")
    return redirect("waiting:waiting_list")


@require_POST
def waiting_give(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Give somebody who waits a time that came free: one tap."""
    rows = Waiting.objects.select_related("customer", "instead_of")
    waiting = get_object_or_404(rows, pk=pk, void=False)
    form = GiveForm(request.POST)
    if not form.is_valid():
        return _list(request, "That time cannot be given any more.", UNPROCESSABLE)
    try:
        booking = services.give_time(
            entry_id=form.cleaned_data["entry_id"],
            waiting=waiting,
            starts_at=form.starts_at,
            fitter=form.cleaned_data["fitter"],
            room=form.cleaned_data["room"],
            by=person_of(request),
        )
    except (SlotTakenError, ChangedMeanwhileError) as refused:
        return _list(request, str(refused), CONFLICT)
    except ValidationError as error:
        return _list(request, " ".join(error.messages), UNPROCESSABLE)
    messages.success(request, f"Booked: {waiting.customer.name}. Tell them now.")
    return redirect(booking)
