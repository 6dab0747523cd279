"""Looking at the diary: today, one day, one week, one booking."""

import datetime
import uuid
from typing import Any

from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from customers.models import Customer
from fittings.config.access import may_open
from fittings.diary import calling, queries
from fittings.diary.forms import AskForm
from fittings.diary.hanging import hanging, walk_ins
from fittings.diary.lasting import USUAL, Purpose
from fittings.diary.sheet import Look, Scene, day_sheet, not_holding, week_list, week_sheet
from fittings.diary.slots import DAY, Hours, Span
from fittings.diary.visits import Visit, visits_of
from fittings.models import Booking
from fittings.opendays.queries import absent_within
from fittings.travelling.journeys import Journeys
from fittings.travelling.packing import outings_around
from fittings.travelling.queries import journeys_from
from fittings.waiting.queries import WaitingList, freed_by
from garments.requests import person_of

WEEK = 7 * DAY


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Who comes today and what for, what the workroom owes today, and the next free time."""
    now, hours, open_doors = timezone.now(), queries.house_hours(), doors(request)
    day = hours.day_of(now)
    whole = hours.whole_day(day)
    rows = list(queries.bookings_within(Span(whole.starts, hours.whole_day(day + DAY).ends)))
    owed = queries.owed(rows, day if open_doors["bench"] else None)
    visits = visits_of(rows, now, queries.by_garment(owed))
    todays = [visit for visit in visits if visit.booking.starts_at < whole.ends]
    journeys = journeys_from(day)
    travelling, packing = outings_around(day, journeys, hours)
    context = {
        "day": day,
        "now": now,
        "expected": [visit for visit in todays if not visit.is_over],
        "over": [visit for visit in todays if visit.is_over],
        "tomorrow": [v for v in visits if v.booking.starts_at >= whole.ends and not v.is_over],
        "tickets": [row for row in owed if row.due_on <= day] if open_doors["bench"] else [],
        "asking": [row for row in owed if row.asks] if open_doors["fits"] else [],
        "new_id": uuid.uuid4,  # called anew by each form that is drawn
        "hanging": hanging((v for v in todays if not v.booking.room.town), owed),
        "travelling": travelling,
        "packing": packing,
        "walked_in": walk_ins(whole) if open_doors["desk"] else [],
        "missed": calling.to_call(now) if open_doors["desk"] else [],
        "slot": _next_slot(now, hours, journeys) if open_doors["desk"] else None,
        "is_new": not rows and not Customer.objects.exists(),
        **open_doors,
    }
    return render(request, "diary/today.html", context)


def _next_slot(
    now: datetime.datetime, hours: Hours, journeys: Journeys
) -> tuple[datetime.datetime, User] | None:
    """The next half hour that the desk can give away, and with whom."""
    return queries.next_slot(
        list(queries.fitters()),
        queries.rooms_in_use(),
        since=now,
        length=datetime.timedelta(minutes=USUAL[Purpose.FORWARD]),
        hours=hours,
        journeys=journeys,
    )


def doors(request: HttpRequest) -> dict[str, Any]:
    """Which parts of a page about bookings open for who asks."""
    user = person_of(request)
    return {
        "desk": may_open(user, "diary:booking_mark"),
        "bench": may_open(user, "workroom:ticket_list"),
        "fits": may_open(user, "session:fitting_start"),
        "owns": may_open(user, "customers:house_update"),
    }


@require_safe
def day(request: HttpRequest) -> HttpResponse:
    """One day in quarters of an hour, a column for each fitter."""
    form, look, hours = _asked(request)
    shown, moving = form.day, _moving(request)
    more = {"moving": f"{moving.pk}"} if moving else {}
    rows = list(queries.bookings_within(hours.whole_day(shown)))
    away = absent_within(shown, shown)
    trips = journeys_from(shown)
    scene = Scene(rows, queries.rooms_in_use(), hours, timezone.now(), away, trips)
    context = {
        "form": form,
        "day": shown,
        "rows": day_sheet(shown, look, list(queries.fitters()), scene),
        "closed": hours.why_closed(shown),
        "away": [*scene.away(shown), *scene.travels(shown)],
        "not_held": not_holding(rows, look),
        "earlier": look.query(date=f"{shown - DAY}", **more),
        "later": look.query(date=f"{shown + DAY}", **more),
        "same": look.query(date=f"{shown}", **more),
        "others": look.query(**more),
        "moving": moving,
    }
    return render(request, "diary/day.html", context)


@require_safe
def week(request: HttpRequest) -> HttpResponse:
    """One week: of a fitter or room as a sheet, of everyone as a list for each day."""
    form, look, hours = _asked(request)
    monday, moving = form.day - form.day.weekday() * DAY, _moving(request)
    more = {"moving": f"{moving.pk}"} if moving else {}
    whole = Span(hours.whole_day(monday).starts, hours.whole_day(monday + WEEK - DAY).ends)
    rows = list(queries.bookings_within(whole))
    everyone = look.fitter is None and look.room is None
    away = absent_within(monday, monday + WEEK - DAY)
    trips = journeys_from(monday)
    scene = Scene(rows, queries.rooms_in_use(), hours, timezone.now(), away, trips)
    context = {
        "form": form,
        "monday": monday,
        "sunday": monday + WEEK - DAY,
        "today": form.today,
        "days": week_list(monday, scene) if everyone else [],
        "rows": [] if everyone else week_sheet(monday, look, scene),
        "not_held": not_holding(rows, look),
        "earlier": look.query(date=f"{monday - WEEK}", **more),
        "later": look.query(date=f"{monday + WEEK}", **more),
        "same": look.query(date=f"{form.day}", **more),
        "others": look.query(**more),
        "moving": moving,
        "owns": may_open(person_of(request), "diary:room_create"),
    }
    return render(request, "diary/week.html", context)


def _moving(request: HttpRequest) -> Booking | None:
    """The booking whose new time is being chosen: every free time leads to its move then."""
    try:
        pk = uuid.UUID(request.GET.get("moving", ""))
    except ValueError:
        return None
    rows = Booking.objects.filter(pk=pk, state=Booking.State.BOOKED)
    return rows.select_related("customer").first()


def _asked(request: HttpRequest) -> tuple[AskForm, Look, Hours]:
    hours = queries.house_hours()
    today = hours.day_of(timezone.now())
    form = AskForm({"date": f"{today}"} | request.GET.dict(), today=today)
    form.is_valid()
    chosen = form.cleaned_data
    return form, Look(chosen.get("fitter"), chosen.get("room")), hours


@require_safe
def booking_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One booking: what it is, what may be said of it, and all that was."""
    booking = get_object_or_404(queries.booking_with_all(), pk=pk)
    now = timezone.now()
    freed = freed_by(booking, now)
    context = {
        "visit": Visit(booking, now, queries.by_garment(queries.owed([booking]))),
        "booking": booking,
        "freed": freed,
        "suits": WaitingList(now).fitting(freed) if freed else [],
        "call": calling.Missed(booking) if booking.state == Booking.State.MISSED else None,
        "new_id": uuid.uuid4,
        "changes": booking.changes.select_related("by", "fitter", "room"),
        **doors(request),
    }
    return render(request, "diary/booking_detail.html", context)
