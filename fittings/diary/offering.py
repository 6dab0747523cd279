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

WEEK = 7
WEEKS = queries.OFFERED_OVER // WEEK


class Slot(NamedTuple):
    """One offer. ``value`` is what its button sends: the time, and the fitter if any would do."""

    start: datetime.datetime
    fitter: User
    value: str


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
    people = list(queries.fitters())
    # A fitter who is away was chosen all the same: their other days are what is asked for.
    wished = _pk(form, "fitter") or form.data.get("fitter")
    if not any_fitter:
        people = [person for person in people if str(person.pk) == str(wished)]
    if not people:
        return {}
    rooms = queries.rooms_in_use()
    room = _pk(form, "room")
    rooms = [row for row in rooms if row.pk == room] or rooms
    if form.is_bound and form.data.get("time"):
        return _next(form, people[0], rooms, moving)
    wish = Wish(
        customer,
        form.lasts,
        form.wished_from(),
        people,
        rooms,
        form.hours,
        bounds(garments, purpose),
        moving,
    )
    slots, said = best_slots(wish)
    chosen = people[0] if len(people) == 1 else None
    return _shown(slots, chosen, said)


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
    since, hours = wish.since, wish.hours
    if wish.bounds.ready is not None:
        since = max(since, midnight(wish.bounds.ready))
    last = hours.day_of(since) + queries.OFFERED_OVER * DAY
    taken = queries.Taken.within(Span(since, hours.whole_day(last).starts), leaving_out=wish.moving)
    own = own_times(wish.customer, since, leaving_out=wish.moving)
    known = last_fitter(wish.customer) if len(wish.people) > 1 else None
    used = taken.of_rooms(wish.rooms)
    chosen: list[Free] = []
    for week in range(WEEKS):
        free = [
            row
            for person in wish.people
            for row in _free(wish, person, (taken, own, used), since, week)
            if until is None or hours.day_of(row.starts) <= until
        ]
        chosen = choose(free, hours.zone, known=known, before=chosen)
        if len(chosen) >= MOST:
            break
    by_pk = {person.pk: person for person in wish.people}
    return [_slot(row, by_pk, hours) for row in chosen]


def _free(
    wish: Wish,
    person: User,
    busy_with: tuple[queries.Taken, list[Span], list[list[Span]]],
    since: datetime.datetime,
    week: int,
) -> Iterator[Free]:
    taken, own, used = busy_with
    hours = wish.hours
    busy = [*taken.fitters[person.pk], *own]
    begins = hours.whole_day(hours.day_of(since) + week * WEEK * DAY).starts
    times = next_free(
        busy, used, since=max(since, begins), days=WEEK, hours=hours, length=wish.length
    )
    for start in times:
        opening = hours.on(hours.day_of(start))
        hole = leaves_hole(Span(start, start + wish.length), taken.fitters[person.pk], opening)
        yield Free(start, person.pk, hole)


def _slot(row: Free, people: dict[int, User], hours: Hours) -> Slot:
    at = f"{row.starts.astimezone(hours.zone):%Y-%m-%dT%H:%M}"
    value = at if len(people) == 1 else f"{at} {row.fitter}"
    return Slot(row.starts, people[row.fitter], value)


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
