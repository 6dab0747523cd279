"""One run of a trip as pages show it: who is where, what is booked there, what is packed for it."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from customers.models import Customer
from fittings.diary.queries import house_hours
from fittings.diary.slots import Hours, Span
from fittings.models import Booking, Room
from fittings.travelling.days import DAY, Run
from fittings.travelling.journeys import CLOSED_AT_MOST, Journey, Journeys
from fittings.travelling.queries import journeys_from
from garments.models import Garment

RUNG_UP = 20  # customers of a town that a trip's page names


@dataclass(frozen=True)
class Outing:
    """One run of a trip as pages show it: where, who, which days, when to pack and be back."""

    journey: Journey
    run: Run
    away: Span
    packing: datetime.date
    back_on: datetime.date
    shut: str

    @property
    def who(self) -> str:
        return " and ".join(self.journey.fitters.values())

    @property
    def query(self) -> str:
        return f"day={self.run.first.isoformat()}"


def outing_of(journey: Journey, run: Run, hours: Hours) -> Outing:
    return Outing(
        journey,
        run,
        journey.away(run, hours),
        journey.packing_day(run, hours),
        journey.back_on(run, hours),
        hours.why_shut(run.first) if run.first == run.last else "",
    )


def outings_around(
    day: datetime.date, journeys: Journeys, hours: Hours
) -> tuple[list[Outing], list[Outing]]:
    """Who is on a trip on ``day``, and what is packed on it for a trip to come."""
    near = list(_near(day, journeys, hours))
    away = [
        row
        for row in near
        if hours.day_of(row.away.starts) <= day <= hours.day_of(row.away.ends) and not row.shut
    ]
    return away, [row for row in near if row.packing == day]


def _near(day: datetime.date, journeys: Journeys, hours: Hours) -> Iterable[Outing]:
    # A house closed for weeks packs weeks ahead: what it packs for is looked for so far.
    for journey in journeys.rows:
        for run in journey.pattern.runs(day - 2 * DAY, day + CLOSED_AT_MOST * DAY):
            yield outing_of(journey, run, hours)


def bookings_in(outing: Outing, hours: Hours) -> QuerySet[Booking]:
    """The bookings of one run at its place, whatever became of them. Two queries."""
    garments = Prefetch("garments", queryset=Garment.objects.order_by("serial"))
    starts, ends = hours.whole_day(outing.run.first), hours.whole_day(outing.run.last)
    return (
        Booking.objects.filter(
            room=outing.journey.room,
            fitter__in=outing.journey.fitters,
            starts_at__gte=starts.starts,
            starts_at__lt=ends.ends,
        )
        .select_related("customer", "fitter", "room", "fitting")
        .prefetch_related(garments)
    )


def also_of(town: str, booked: Iterable[int]) -> list[Customer]:
    """Customers of the town with something in work who are not ``booked`` (by key). One query."""
    rows = Customer.objects.filter(town__iexact=town, garments__in=Garment.objects.in_work())
    return list(rows.exclude(pk__in=set(booked)).distinct()[:RUNG_UP])


def outing_at(room: Room, day: datetime.date) -> Outing | None:
    """The run that has the place on ``day``. Three queries for the trips, four for the house."""
    hours = house_hours()
    for journey in journeys_from(day).at(room.pk, day):
        if run := journey.pattern.run_on(day):
            return outing_of(journey, run, hours)
    return None
