"""What the desk can offer a customer: the best free times for this look at these garments."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from django.contrib.auth.models import User

from customers.models import Customer
from fittings.clock import midnight
from fittings.diary import queries
from fittings.diary.best import MOST, Free, choose, leaves_hole
from fittings.diary.forms import WhenForm
from fittings.diary.promised import Bounds, bounds
from fittings.diary.slots import DAY, Hours, Span, next_free
from fittings.models import Booking, Room
from fittings.spoken import weekday_text
from fittings.travelling.journeys import AHEAD, Journey, Journeys

WEEK = 7
WEEKS = queries.OFFERED_OVER // WEEK


class Slot(NamedTuple):
    """One offer. ``value`` is what its button sends: the time, and the fitter if any would do.

    ``place`` is where, when it is not at the house; its room is part of the value then.
    """

    start: datetime.datetime
    fitter: User
    value: str
    place: str = ""


@dataclass(frozen=True)
class Wish:
    """For whom and for how long a time is sought, from when on, with which fitters, where."""

    customer: Customer
    length: datetime.timedelta
    since: datetime.datetime
    people: Sequence[User]
    rooms: Sequence[Room]
    hours: Hours
    bounds: Bounds = field(default_factory=Bounds)
    moving: Booking | None = None
    journeys: Journeys = field(default_factory=Journeys)
    trips: Sequence[Journey] = ()
    at_home: bool = True

    def venues(self, until: datetime.date | None) -> Iterator["Venue"]:
        """The house, and the places of the trips asked for on days that suit the garments."""
        if self.at_home:
            yield Venue(self.rooms, self.hours)
        for trip in self.trips:
            hours = trip.hours(self.hours, ready=self.bounds.ready, latest=until)
            yield Venue([Room(pk=trip.room, name=trip.place, town=trip.town)], hours, trip)


class Venue(NamedTuple):
    """Where a time is sought; on a trip only with those who go."""

    rooms: Sequence[Room]
    hours: Hours
    trip: Journey | None = None

    def busy(self, person: User, taken: queries.Taken) -> list[Span]:
        return taken.fitters[person.pk] if self.trip else taken.at_home(person.pk)

    def takes(self, person: User) -> bool:
        return self.trip is None or person.pk in self.trip.fitters


def offers_for(
    form: WhenForm,
    customer: Customer,
    *,
    purpose: str,
    garments: Iterable[Any] = (),
    moving: Booking | None = None,
    any_fitter: bool = False,
) -> dict[str, Any]:
    """The best three; where a time was asked for that cannot be, the next ones after it."""
    if form.is_settled:
        return {}
    people = _wished_for(form, any_fitter=any_fitter)
    if not people:
        return {}
    rooms = queries.rooms_in_use()
    room = _pk(form, "room")
    named = [row for row in rooms if row.pk == room]
    there = form.journeys.of_room(room) if room else []
    if form.is_bound and form.data.get("time") and not (there or any_fitter):
        return _next(form, people[0], named or rooms, moving)
    wish = Wish(
        customer,
        form.lasts,
        form.wished_from(),
        people,
        named or rooms,
        form.hours,
        bounds(garments, purpose),
        moving,
        form.journeys,
        there or ([] if named else form.journeys.of_town(customer.town)),
        at_home=not there,
    )
    slots, said = best_slots(wish)
    chosen = people[0] if len(people) == 1 else None
    return _shown(slots, chosen, said)


def _wished_for(form: WhenForm, *, any_fitter: bool) -> list[User]:
    """Every fitter, or the one who was chosen; nobody before that."""
    people = list(queries.fitters())
    if any_fitter:
        return people
    # A fitter who is away was chosen all the same: their other days are what is asked for.
    wished = _pk(form, "fitter") or form.data.get("fitter")
    return [person for person in people if str(person.pk) == str(wished)]


def _next(
    form: WhenForm, person: User, rooms: list[Room], moving: Booking | None
) -> dict[str, Any]:
    times = queries.free_times(
        fitter=person,
        rooms=rooms,
        since=form.wished_from(),
        length=form.lasts,
        hours=form.hours,
        leaving_out=moving,
        journeys=form.journeys,
    )
    zone = form.hours.zone
    slots = [Slot(at, person, f"{at.astimezone(zone):%Y-%m-%dT%H:%M}") for at in times]
    return _shown(slots, person, "")


def _shown(slots: list[Slot], chosen: User | None, said: str) -> dict[str, Any]:
    times = [slot.start for slot in slots]
    return {"slots": slots, "times": times, "fitter": chosen, "said": said}


def _pk(form: WhenForm, name: str) -> Any:
    chosen = getattr(form, "cleaned_data", form.initial).get(name)
    return getattr(chosen, "pk", chosen)


def best_slots(wish: Wish) -> tuple[list[Slot], str]:
    """The best three by the rule of ``best``, and a sentence where the promise is not kept by them.

    None before the garments are ready, none while the customer is booked already.
    """
    found = _search(wish, until=wish.bounds.latest)
    if found or wish.bounds.latest is None:
        return found, ""
    latest = wish.bounds.latest
    day = weekday_text(latest)
    late = _search(wish, until=None)
    return late, f"Nothing is free by {day}, the latest day for the promise: these are after it."


def _search(wish: Wish, *, until: datetime.date | None) -> list[Slot]:
    since, hours = _begin(wish), wish.hours
    last = hours.day_of(since) + queries.OFFERED_OVER * DAY
    taken = queries.Taken.within(
        Span(since, hours.whole_day(last).starts),
        leaving_out=wish.moving,
        journeys=wish.journeys,
    )
    own = own_times(wish.customer, since, leaving_out=wish.moving)
    known = last_fitter(wish.customer) if len(wish.people) > 1 else None
    venues = list(wish.venues(until))
    chosen: list[Free] = []
    for week in range(WEEKS):
        free = [
            row
            for venue in venues
            for person in wish.people
            for row in _free(wish, venue, person, (taken, own, since), week)
            if until is None or hours.day_of(row.starts) <= until
        ]
        chosen = choose(free, hours.zone, known=known, before=chosen)
        if len(chosen) >= MOST:
            break
    by_pk = {person.pk: person for person in wish.people}
    places = {venue.rooms[0].pk: f"{venue.rooms[0]}" for venue in venues if venue.trip}
    return [_slot(row, by_pk, hours, places.get(row.place, "")) for row in chosen]


def _begin(wish: Wish) -> datetime.datetime:
    """From when on it is looked for: what hangs by then, and on a trip the next days of it."""
    since = wish.since
    if wish.bounds.ready is not None:
        since = max(since, midnight(wish.bounds.ready))
    if wish.at_home:
        return since
    day = wish.hours.day_of(since)
    runs = [run for trip in wish.trips if (run := trip.pattern.next_run(day, AHEAD))]
    return max([since, *(midnight(run.first) for run in sorted(runs)[:1])])


def _free(
    wish: Wish,
    venue: Venue,
    person: User,
    search: tuple[queries.Taken, list[Span], datetime.datetime],
    week: int,
) -> Iterator[Free]:
    if not venue.takes(person):
        return
    taken, own, since = search
    hours, used = venue.hours, taken.of_rooms(venue.rooms)
    booked = venue.busy(person, taken)
    busy = [*booked, *own]
    begins = hours.whole_day(hours.day_of(since) + week * WEEK * DAY).starts
    times = next_free(
        busy, used, since=max(since, begins), days=WEEK, hours=hours, length=wish.length
    )
    for start in times:
        opening = hours.on(hours.day_of(start))
        hole = leaves_hole(Span(start, start + wish.length), booked, opening)
        yield Free(start, person.pk, hole, venue.rooms[0].pk if venue.trip else 0)


def _slot(row: Free, people: dict[int, User], hours: Hours, place: str) -> Slot:
    at = f"{row.starts.astimezone(hours.zone):%Y-%m-%dT%H:%M}"
    value = at if len(people) == 1 and not row.place else f"{at} {row.fitter}"
    if row.place:
        value = f"{value} {row.place}"
    return Slot(row.starts, people[row.fitter], value, place)


def own_times(
    customer: Customer, since: datetime.datetime, *, leaving_out: Booking | None = None
) -> list[Span]:
    """When the customer is booked already, with whomever. One query."""
    rows = Booking.objects.filter(customer=customer, state__in=Booking.HOLDING, ends_at__gt=since)
    if leaving_out is not None:
        rows = rows.exclude(pk=leaving_out.pk)
    return [Span(*times) for times in rows.values_list("starts_at", "ends_at")]


def last_fitter(customer: Customer) -> int | None:
    """Who fitted the customer last, by key. One query."""
    kept = Booking.objects.filter(customer=customer, state=Booking.State.KEPT)
    return kept.order_by("-starts_at").values_list("fitter_id", flat=True).first()
