"""The trips: which there are, one of them with its bookings and what is packed, a new one."""

import datetime
import uuid
from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from customers.paper import answer_paper, render_paper
from customers.requests import status_of
from fittings.diary.hanging import packed
from fittings.diary.queries import by_garment, house_hours, owed
from fittings.diary.slots import Hours
from fittings.diary.views import doors
from fittings.diary.visits import visits_of
from fittings.models import Booking, Trip
from fittings.spoken import weekday_text
from fittings.travelling import services
from fittings.travelling.forms import CallOffForm, DayForm, TripForm
from fittings.travelling.journeys import AHEAD
from fittings.travelling.packing import Outing, also_of, bookings_in, outing_of
from fittings.travelling.queries import journey_of, journeys_from, trips_with_all
from garments.forms import add_errors
from garments.requests import person_of

SHOWN = datetime.timedelta(days=92)  # trips to come that the list names
OTHERS = 6  # further days of a trip that its page names


@require_safe
def trip_list(request: HttpRequest) -> HttpResponse:
    """Every time somebody goes in the next three months, the nearest first."""
    today, hours = timezone.localdate(), house_hours()
    rows = journeys_from(today).rows
    runs = [
        outing_of(row, run, hours) for row in rows for run in row.pattern.runs(today, today + SHOWN)
    ]
    counts = _booked(runs, hours)
    shown = sorted(zip(runs, counts, strict=True), key=lambda pair: pair[0].run)
    named = {outing.journey.key for outing in runs}
    later = [row for row in rows if row.key not in named and row.pattern.next_run(today, AHEAD)]
    context = {"outings": shown, "later": later}
    return render(request, "travelling/trip_list.html", context)


def _booked(outings: Iterable[Outing], hours: Hours) -> list[int]:
    """How many bookings each run has. One query for all of them."""
    outings = list(outings)
    rooms = {outing.journey.room for outing in outings}
    rows = Booking.objects.filter(room__in=rooms, state__in=Booking.HOLDING)
    rows = rows.filter(starts_at__gte=hours.whole_day(timezone.localdate()).starts)
    booked = [
        (room, fitter, hours.day_of(starts))
        for room, fitter, starts in rows.values_list("room_id", "fitter_id", "starts_at")
    ]
    return [
        sum(
            room == row.journey.room and fitter in row.journey.fitters and day in row.run
            for room, fitter, day in booked
        )
        for row in outings
    ]


@require_http_methods(["GET", "POST"])
def trip_create(request: HttpRequest) -> HttpResponse:
    form = TripForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            trip = services.plan_trip(by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Planned: {trip.room}, {weekday_text(trip.first)}.")
            return redirect(trip)
    context = {"form": form}
    return render(request, "travelling/trip_form.html", context, status=status_of(form))


@require_safe
def trip_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One run of a trip, the next one unless another is named."""
    trip, hours = _trip(pk), house_hours()
    journey = journey_of(trip)
    outing = _outing(request, trip, hours)
    context: dict[str, Any] = {"trip": trip, "journey": journey, "outing": outing}
    context |= {"off": trip.called_off.all(), **doors(request)}
    if outing:
        since = outing.run.last + datetime.timedelta(days=1)
        ahead = journey.pattern.runs(max(since, timezone.localdate()), since + AHEAD)
        context["others"] = [run for run, _ in zip(ahead, range(OTHERS), strict=False)]
        context["may_end"] = outing.run.first >= timezone.localdate()
        context |= _packed(outing, hours)
    if context["desk"] and context.get("may_end"):
        booked = [visit.booking.customer_id for visit in context["visits"]]
        context["also"] = also_of(trip.room.town, booked)
    return render(request, "travelling/trip_detail.html", context)


@require_safe
def packing_pdf(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """What is packed and who comes, on A4."""
    trip, hours = _trip(pk), house_hours()
    outing = _outing(request, trip, hours)
    if outing is None:
        raise Http404
    context = {"trip": trip, "outing": outing, "printed_on": timezone.localdate()}
    html = render_to_string("travelling/packing_paper.html", context | _packed(outing, hours))
    return answer_paper(render_paper(html, "print/packing.css"), f"packing-{outing.run.first}")


def _trip(pk: uuid.UUID) -> Trip:
    return get_object_or_404(trips_with_all(), pk=pk)


def _outing(request: HttpRequest, trip: Trip, hours: Hours) -> Outing | None:
    """The run asked for; the next, or else the last there was, where none or none such is."""
    form, journey = DayForm(request.GET), journey_of(trip)
    day = (form.cleaned_data["day"] if form.is_valid() else None) or timezone.localdate()
    first, today = trip.first, timezone.localdate()
    near = first <= day <= today + 2 * AHEAD
    run = journey.pattern.run_on(day) if near else None
    run = run or journey.pattern.next_run(today, AHEAD)
    if run is None:
        run = max(journey.pattern.runs(max(first, today - 2 * AHEAD), today), default=None)
    return outing_of(journey, run, hours) if run else None


def _packed(outing: Outing, hours: Hours) -> dict[str, Any]:
    """Who comes in a run, and what is packed for them. Three queries."""
    rows = list(bookings_in(outing, hours))
    tickets = owed(rows)
    visits = visits_of(rows, timezone.now(), by_garment(tickets))
    held = [visit for visit in visits if visit.booking.state in Booking.HOLDING]
    return {"visits": held, "pegs": packed(held, tickets)}


@require_http_methods(["GET", "POST"])
def trip_call_off(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One run does not take place, or none from it on; what is booked in it is told first."""
    trip, hours = _trip(pk), house_hours()
    outing = _outing(request, trip, hours)
    initial = {"first": outing.run.first if outing else None}
    form = CallOffForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            services.call_off_trip(trip=trip, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Called off: {trip.room}.")
            return redirect("travelling:trip_list")
    context = {"form": form, "trip": trip, "outing": outing}
    return render(request, "travelling/trip_call_off.html", context, status=status_of(form))
