"""The one way in for each write about trips."""

import datetime
import uuid
from collections.abc import Iterable, Sequence
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers.ledger import already_kept, refuse_used
from customers.models import House
from customers.people import name_of
from fittings.diary.queries import house_hours
from fittings.diary.slots import Hours, Span
from fittings.models import Absence, Booking, Room, Trip, TripCalledOff
from fittings.opendays.queries import away_text, spans_away
from fittings.spoken import date_text, weekday_text
from fittings.travelling.days import DAY, ONCE, WEEK, WEEKLY, Pattern, Run
from fittings.travelling.journeys import AHEAD, Journey
from fittings.travelling.packing import bookings_in, outing_of
from fittings.travelling.queries import (
    MINUTE,
    booked_at,
    journey_of,
    journeys_from,
)

LONGEST = 14  # days of one run; house rule
NAMED = 5  # bookings named in one sentence
SAID = ("first", "last", "repeats", "every", "until", "opens", "closes", "there", "back")


@transaction.atomic
def plan_trip(
    *,
    entry_id: uuid.UUID,
    town: str,
    place: str,
    address: str,
    fitters: Iterable[User],
    first: datetime.date,
    last: datetime.date,
    repeats: str = ONCE,
    every: int = 1,
    until: datetime.date | None = None,
    opens: datetime.time,
    closes: datetime.time,
    there: int,
    back: int,
    by: User,
) -> Trip:
    """Fitters go to a place in another town, ``there`` and ``back`` minutes on the way.

    ValidationError by field: days that are over, end before they begin or come back before they are
    over; a fitter who is away, on another trip or booked elsewhere then; a place that is a room of
    the house, lies in another town, or is used no more; a day the house has closed.
    """
    House.take_turns()  # nobody is booked for the days while a trip takes them
    values = (first, last, repeats, every, until, opens, closes, there, back)
    said: dict[str, Any] = dict(zip(SAID, values, strict=True))
    people = list(fitters)
    if kept := already_kept(Trip, entry_id, by, strikes=None):
        same = all(getattr(kept, name) == value for name, value in said.items())
        refuse_used(same=same and set(kept.fitters.all()) == set(people))
        return kept
    _refuse_days(first, last, repeats, every, until)
    if closes <= opens:
        raise ValidationError({"closes": "It must close after it opens."})
    if not people:
        raise ValidationError({"fitters": "Say who goes."})
    room = _room(town.strip(), place.strip(), address.strip())
    trip = Trip(pk=entry_id, room=room, by=by, **said)
    trip.clean_fields()
    names = {person.pk: name_of(person) for person in people}
    pattern = Pattern(first, last, repeats, every, until)
    ways = (there * MINUTE, back * MINUTE)
    journey = Journey(entry_id, room.pk, room.name, room.town, names, pattern, opens, closes, *ways)
    _refuse_clashes(journey, house_hours())
    trip.save(force_insert=True)
    trip.fitters.set(people)
    return trip


def _refuse_days(
    first: datetime.date,
    last: datetime.date,
    repeats: str,
    every: int,
    until: datetime.date | None,
) -> None:
    today = timezone.localdate()
    if last < first:
        raise ValidationError(
            {"last": f"This ends on {date_text(last)}, before it starts on {date_text(first)}."}
        )
    if first < today:
        raise ValidationError({"first": "That day is over."})
    if first > today + AHEAD:
        raise ValidationError({"first": "That is more than a year ahead."})
    days = (last - first).days + 1
    if days > LONGEST:
        raise ValidationError({"last": f"A trip lasts {LONGEST} days at most: make it two."})
    if repeats == WEEKLY and days > every * WEEK - 1:
        raise ValidationError({"last": "It would come back before it is over."})
    if until is not None and repeats and until < last:
        raise ValidationError({"until": "It must not be before the last day."})


def _room(town: str, place: str, address: str) -> Room:
    """The place as a room that can be booked; the newest address of it holds."""
    room = Room.objects.filter(name__iexact=place).first()
    if room is None:
        room = Room(name=place, town=town, address=address)
        room.full_clean()
        room.save(force_insert=True)
        return room
    if not room.town:
        raise ValidationError({"place": f"{room} is a room of the house: name the place."})
    if room.town.casefold() != town.casefold():
        said = f"{room.name} is a place in {room.town}: name this one with its town."
        raise ValidationError({"place": said})
    if room.retired:
        said = f"{room} is not used any more. The owner can take it into use again under Rooms."
        raise ValidationError({"place": said})
    if address and room.address != address:
        room.address = address
        room.save(update_fields=["address"])
    return room


def _refuse_clashes(journey: Journey, hours: Hours) -> None:
    """What stands against the runs of the coming year: the house, absences, trips, bookings."""
    today = timezone.localdate()
    runs = list(journey.pattern.runs(today, today + AHEAD))
    if shut := hours.why_shut(runs[0].first):
        shown = weekday_text(runs[0].first)
        raise ValidationError({"first": f"The house is closed on {shown}: {shut}."})
    ways = [journey.away(run, hours) for run in runs]
    _refuse_absent(journey, ways[0], hours)
    _refuse_travelling(journey, ways, hours)
    if booked := booked_at(journey.fitters, ways, leaving_out=journey.room):
        raise ValidationError({"fitters": _booked_text(booked)})


def _refuse_absent(journey: Journey, away: Span, hours: Hours) -> None:
    """Leave in the way of a later run calls that run off by itself: only the first must be free."""
    first, last = hours.day_of(away.starts), hours.day_of(away.ends)
    rows = Absence.objects.standing().filter(person__in=journey.fitters)
    for row in rows.filter(first__lte=last, last__gte=first).select_related("person"):
        if any(away.meets(span) for span in spans_away(row, first, last)):
            raise ValidationError({"fitters": away_text(row)})


def _refuse_travelling(journey: Journey, ways: Sequence[Span], hours: Hours) -> None:
    others = [row for row in journeys_from().rows if set(row.fitters) & set(journey.fitters)]
    if not others:
        return
    for other in others:
        days = (hours.day_of(ways[0].starts) - 2 * DAY, hours.day_of(ways[-1].ends) + 2 * DAY)
        for run in other.pattern.runs(*days):
            if any(other.away(run, hours).meets(span) for span in ways):
                who = next(name for pk, name in other.fitters.items() if pk in journey.fitters)
                when = weekday_text(run.first)
                said = f"{who} travels to {other.town} then: {when}."
                raise ValidationError({"fitters": said})


def _booked_text(rows: Sequence[Booking]) -> str:
    """Which bookings are in the way, the first of them by name."""
    named = "; ".join(
        f"{name_of(row.fitter)} with {row.customer.number} on "
        f"{weekday_text(timezone.localtime(row.starts_at).date())}, "
        f"{timezone.localtime(row.starts_at):%H:%M}"
        for row in rows[:NAMED]
    )
    more = f"; and {len(rows) - NAMED} more" if len(rows) > NAMED else ""
    return f"Booked then already: {named}{more}. Move these first."


@transaction.atomic
def call_off_trip(
    *,
    entry_id: uuid.UUID,
    trip: Trip,
    first: datetime.date,
    onwards: bool,
    reason: str,
    anyway: bool = False,
    by: User,
) -> TripCalledOff:
    """The run that begins on ``first`` does not take place; with ``onwards`` none after it either.

    ValidationError by field: no such run, it is over, no reason, or bookings still in it unless
    ``anyway``: then they stay and are listed to be moved. What began before today cannot be called
    off.
    """
    House.take_turns()
    if kept := already_kept(TripCalledOff, entry_id, by, trip=trip):
        refuse_used(same=(kept.first, kept.onwards) == (first, onwards))
        return kept
    if not reason.strip():
        raise ValidationError({"reason": "Say why it is called off."})
    journey, hours, today = journey_of(trip), house_hours(), timezone.localdate()
    if first < today:
        raise ValidationError({"first": "Those days have begun: nothing of them is called off."})
    run = journey.pattern.run_on(first) if first <= today + 2 * AHEAD else None
    if run is None or run.first != first:
        raise ValidationError({"first": "There is no such trip any more: open its page again."})
    if not anyway and (booked := _still_booked(journey, run, hours, onwards=onwards)):
        named = _booked_text(booked).removesuffix(" Move these first.")
        raise ValidationError(
            {"anyway": f"{named} Move or cancel these first, or keep them to be moved."}
        )
    row = TripCalledOff(
        pk=entry_id, trip=trip, first=first, onwards=onwards, reason=reason.strip(), by=by
    )
    row.clean_fields()
    row.save(force_insert=True)
    return row


def _still_booked(journey: Journey, run: Run, hours: Hours, *, onwards: bool) -> list[Booking]:
    if not onwards:
        rows = bookings_in(outing_of(journey, run, hours), hours)
        return list(rows.filter(state__in=Booking.COMING))
    since = hours.whole_day(run.first).starts
    rows = Booking.objects.filter(
        room=journey.room,
        fitter__in=journey.fitters,
        starts_at__gte=since,
        state__in=Booking.COMING,
    ).select_related("customer", "fitter", "room")
    return [row for row in rows if journey.pattern.run_on(hours.day_of(row.starts_at))]
