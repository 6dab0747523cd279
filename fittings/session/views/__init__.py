"""The fitting room: who is here, the start of a session, and the screen itself."""

import datetime
import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_POST, require_safe

from customers.models import Customer
from customers.requests import UNPROCESSABLE
from fittings.models import Booking
from fittings.session import queries, services
from fittings.session.forms import CustomerForm, StartForm
from fittings.session.page import find_place, whole_page
from garments.forms import add_errors
from garments.requests import person_of


@require_safe
def fitting_list(request: HttpRequest) -> HttpResponse:
    """Who is due with this fitter today, what is still open, and the door for a walk-in."""
    asked = CustomerForm(request.GET if "customer" in request.GET else None)
    start = None
    if asked.is_bound and asked.is_valid():
        customer = asked.cleaned_data["customer"]
        start = StartForm(garments=queries.garments_to_try(customer))
    return render(request, "session/fitting_list.html", _list(request, asked, start))


@require_POST
def fitting_start(request: HttpRequest) -> HttpResponse:
    """Begin from a booking with one tap, or for a walk-in with the garments chosen."""
    if "booking" in request.POST:
        return _start_booked(request)
    asked = CustomerForm(request.POST)
    if not asked.is_valid():
        return render(
            request, "session/fitting_list.html", _list(request, asked, None), status=UNPROCESSABLE
        )
    customer = asked.cleaned_data["customer"]
    form = StartForm(request.POST, garments=queries.garments_to_try(customer))
    if form.is_valid():
        try:
            fitting = services.start_fitting(
                fitting_id=form.cleaned_data["entry_id"],
                customer=customer,
                garments=list(form.cleaned_data["garments"]),
                fitter=person_of(request),
                purpose=form.cleaned_data["purpose"],
                by=person_of(request),
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            return redirect(fitting)
    return render(
        request, "session/fitting_list.html", _list(request, asked, form), status=UNPROCESSABLE
    )


def _start_booked(request: HttpRequest) -> HttpResponse:
    try:
        booking_id = uuid.UUID(request.POST["booking"])
    except ValueError:
        booking_id = uuid.UUID(int=0)
    booking = get_object_or_404(
        Booking.objects.select_related("customer").prefetch_related("garments"), pk=booking_id
    )
    try:
        fitting = services.start_fitting(
            # One booking, one session: the id follows from it, so two tablets begin the same one.
            fitting_id=queries.fitting_id_of(booking),
            customer=booking.customer,
            garments=list(booking.garments.all()),
            fitter=person_of(request),
            purpose=booking.purpose,
            booking=booking,
            by=person_of(request),
        )
    except ValidationError as error:
        context = _list(request, CustomerForm(), None) | {"refusals": error.messages}
        return render(request, "session/fitting_list.html", context, status=UNPROCESSABLE)
    return redirect(fitting)


@require_safe
@gzip_page
def fitting_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """The screen: asked first what became of the last alterations, then the coat."""
    place = find_place(request, pk, request.GET.get("garment", ""))
    return render(
        request, "session/fitting_detail.html", whole_page(place, request.GET.get("answers", ""))
    )


def _list(request: HttpRequest, asked: CustomerForm, start: StartForm | None) -> dict[str, Any]:
    today = timezone.localdate()
    bookings = queries.bookings_of_day(today)
    own, others = queries.fitters_first(bookings, person_of(request))
    since = timezone.now() - queries.OPEN_FOR
    customer: Customer | None = asked.cleaned_data.get("customer") if start else None
    return {
        "own": own,
        "others": others,
        "open_sessions": queries.open_sessions(since=since),
        "asked": asked,
        "customer": customer,
        "form": start or asked,
        "start": start,
        "today": today,
        "late": timezone.now() - datetime.timedelta(minutes=10),
    }
