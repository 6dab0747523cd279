"""Which times came free, and whom they would suit.

The rule: of those who wait, whoever the time fits in every respect (days, hours, fitter, length,
garments that hang by then, the promise, nothing else booked), first the one whose garment's latest
day is nearest, then who has waited longest. House rule.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.contrib.auth.models import User
from django.db.models import Prefetch
from django.utils import timezone

from fittings.diary.lasting import minutes_for
from fittings.diary.promised import Bounds, WorkPlan, bounds
from fittings.diary.slots import Span, next_quarter
from fittings.models import Booking, BookingChange, Room, Waiting
from fittings.travelling.journeys import Place
from fittings.travelling.packing import outing_at
from fittings.travelling.queries import house_clock, journeys_from, place_of
from garments.models import Garment

MINUTE = datetime.timedelta(minutes=1)
SHOWN = 10  # freed times on the list's page


@dataclass(frozen=True)
class Freed:
    """A time that somebody gave back, with the fitter and the room it leaves."""

    span: Span
    fitter: User
    room: Room

    @property
    def day(self) -> datetime.date:
        return timezone.localdate(self.span.starts)


@dataclass(frozen=True)
class Match:
    """Somebody whom a freed time suits, and from when they would take it."""

    waiting: Waiting
    starts: datetime.datetime
    latest: datetime.date | None

    @property
    def rank(self) -> tuple[datetime.date, datetime.datetime]:
        return self.latest or datetime.date.max, self.waiting.at


def waiting_with_all(now: datetime.datetime) -> list[Waiting]:
    """Everyone who still waits, with all a list shows. Two queries."""
    garments = Prefetch("garments", queryset=Garment.objects.order_by("serial"))
    rows = Waiting.objects.standing().filter(last__gte=timezone.localdate(now))
    return list(
        rows.select_related("customer", "fitter", "instead_of")
        .prefetch_related(garments)
        .order_by("at", "pk")
    )


class WaitingList:
    """Everyone who waits, asked once; then matched with as many freed times as one likes."""

    def __init__(self, now: datetime.datetime) -> None:
        self.now = now
        self._bounds: dict[object, Bounds] = {}
        self._between: dict[Freed, tuple[datetime.date, datetime.date]] = {}
        self._plan = WorkPlan()

    @cached_property
    def rows(self) -> list[Waiting]:
        return waiting_with_all(self.now)

    @cached_property
    def _own(self) -> dict[int, list[tuple[object, Span]]]:
        """When those who wait are booked already. One query."""
        found: dict[int, list[tuple[object, Span]]] = {}
        rows = Booking.objects.filter(
            customer__in={row.customer_id for row in self.rows},
            state__in=Booking.HOLDING,
            ends_at__gt=self.now,
        )
        for customer, pk, starts, ends in rows.values_list(
            "customer_id", "pk", "starts_at", "ends_at"
        ):
            found.setdefault(customer, []).append((pk, Span(starts, ends)))
        return found

    def fitting(self, freed: Freed) -> list[Match]:
        """Whom it suits, best first."""
        found = (self._match(row, freed) for row in self.rows)
        return sorted((match for match in found if match), key=lambda match: match.rank)

    def _match(self, row: Waiting, freed: Freed) -> Match | None:
        starts = _begin(row, freed)
        length = minutes_for(row.purpose, len(row.garments.all()) or 1) * MINUTE
        span = Span(starts, starts + length)
        if not (_wants(row, freed) and _within(row, span, freed) and self._is_free(row, span)):
            return None
        if row.pk not in self._bounds:
            self._bounds[row.pk] = bounds(row.garments.all(), row.purpose, self._plan)
        ready, latest = self._bounds[row.pk]
        hangs, back = self._days(freed)
        if (ready and hangs < ready) or (latest and back > latest):
            return None
        return Match(row, starts, latest)

    def _days(self, freed: Freed) -> tuple[datetime.date, datetime.date]:
        """When a garment must hang for the time, and when it is at the house after it."""
        if freed not in self._between:
            trip = outing_at(freed.room, freed.day) if freed.room.town else None
            days = (trip.packing, trip.back_on) if trip else (freed.day, freed.day)
            self._between[freed] = days
        return self._between[freed]

    def _is_free(self, row: Waiting, span: Span) -> bool:
        own = self._own.get(row.customer_id, [])
        return not any(pk != row.instead_of_id and span.meets(other) for pk, other in own)


def _begin(row: Waiting, freed: Freed) -> datetime.datetime:
    """As early as the freed time and the customer's day allow, on a quarter."""
    if row.since is None:
        return freed.span.starts
    wished = timezone.make_aware(datetime.datetime.combine(freed.day, row.since))
    return next_quarter(max(freed.span.starts, wished))


def _wants(row: Waiting, freed: Freed) -> bool:
    held = row.instead_of
    earlier = held is None or held.state not in Booking.COMING or freed.span.starts < held.starts_at
    same_fitter = row.fitter_id in {None, freed.fitter.pk}
    return row.first <= freed.day <= row.last and same_fitter and earlier and _goes_to(row, freed)


def _goes_to(row: Waiting, freed: Freed) -> bool:
    """To another town comes who is of that town, or is booked there already."""
    town, held = freed.room.town.casefold(), row.instead_of
    of_town = row.customer.town.strip().casefold() == town
    return not town or of_town or (held is not None and held.room_id == freed.room.pk)


def _within(row: Waiting, span: Span, freed: Freed) -> bool:
    ends = timezone.localtime(span.ends).time()
    return span.ends <= freed.span.ends and (row.until is None or ends <= row.until)


def freed_by(booking: Booking, now: datetime.datetime) -> Freed | None:
    """What a booking left when cancelled or last moved, if nobody has it yet. Two queries."""
    left = _left(booking)
    return next(iter(_still_free([left], now)), None) if left else None


def freed_lately(now: datetime.datetime) -> list[Freed]:
    """Times ahead that were cancelled and that nobody has yet, the next first. Two queries."""
    rows = Booking.objects.filter(state=Booking.State.CANCELLED, starts_at__gt=now)
    left = [
        Freed(Span(row.starts_at, row.ends_at), row.fitter, row.room)
        for row in rows.select_related("fitter", "room")[: 3 * SHOWN]
    ]
    return _still_free(left, now)[:SHOWN]


def _left(booking: Booking) -> Freed | None:
    if booking.state == Booking.State.CANCELLED:
        span = Span(booking.starts_at, booking.ends_at)
        return Freed(span, booking.fitter, booking.room)
    if booking.state != Booking.State.BOOKED:
        return None
    changes = list(booking.changes.select_related("fitter", "room").order_by("-at", "-pk")[:2])
    if len(changes) < 2 or changes[0].what != BookingChange.What.MOVED:  # noqa: PLR2004 - the two last
        return None
    before = changes[1]
    return Freed(Span(before.starts_at, before.ends_at), before.fitter, before.room)


def _still_free(left: Sequence[Freed], now: datetime.datetime) -> list[Freed]:
    ahead = [freed for freed in left if freed.span.starts > now and not freed.room.retired]
    if not ahead:
        return []
    taken, trips, clock = _taken(ahead), journeys_from(), house_clock()
    there = [freed for freed in ahead if trips.is_there(_place(freed), freed.span, clock)]
    return [freed for freed in there if not any(_meets(freed, row) for row in taken)]


def _place(freed: Freed) -> Place:
    return place_of(freed.room, freed.fitter)


def _taken(ahead: Iterable[Freed]) -> list[Booking]:
    spans = [freed.span for freed in ahead]
    first, last = min(span.starts for span in spans), max(span.ends for span in spans)
    rows = Booking.objects.filter(state__in=Booking.HOLDING, starts_at__lt=last, ends_at__gt=first)
    return list(rows)


def _meets(freed: Freed, row: Booking) -> bool:
    same = row.fitter_id == freed.fitter.pk or row.room_id == freed.room.pk
    return same and freed.span.meets(Span(row.starts_at, row.ends_at))
