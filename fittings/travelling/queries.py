"""What is known of trips. Each question is a fixed number of queries, one where there are none."""

import datetime
from collections.abc import Iterable, Sequence

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from customers.people import name_of
from fittings.diary.slots import Hours, Span
from fittings.models import Booking, Room, Trip, TripCalledOff
from fittings.travelling.days import DAY, Pattern
from fittings.travelling.journeys import Journey, Journeys, Place

MINUTE = datetime.timedelta(minutes=1)


def trips_from(day: datetime.date) -> QuerySet[Trip]:
    """Those with a run that may not be over on ``day``, the way home counted."""
    ahead = Q(repeats=Trip.Repeats.ONCE, last__gte=day - 2 * DAY)
    ahead |= ~Q(repeats=Trip.Repeats.ONCE) & (
        Q(until=None) | Q(until__gte=day - datetime.timedelta(days=40))
    )
    return trips_with_all().filter(ahead)


def trips_with_all() -> QuerySet[Trip]:
    """Trips with who goes and what was called off. Three queries."""
    people = Prefetch("fitters", queryset=User.objects.order_by("first_name", "last_name", "pk"))
    called_off = TripCalledOff.objects.standing().select_related("by")
    rows = Trip.objects.standing().select_related("room", "by")
    return rows.prefetch_related(people, Prefetch("called_off", queryset=called_off))


def journeys_from(day: datetime.date | None = None) -> Journeys:
    """All trips not over on ``day``, or today where none is said. Three queries at most."""
    return Journeys([journey_of(trip) for trip in trips_from(day or timezone.localdate())])


def journey_of(trip: Trip) -> Journey:
    """The trip with those it takes along and what of it was called off."""
    return Journey(
        key=trip.pk,
        room=trip.room_id,
        place=trip.room.name,
        town=trip.room.town,
        fitters={person.pk: name_of(person) for person in trip.fitters.all()},
        pattern=pattern_of(trip),
        opens=trip.opens,
        closes=trip.closes,
        there=trip.there * MINUTE,
        back=trip.back * MINUTE,
    )


def pattern_of(trip: Trip) -> Pattern:
    off = list(trip.called_off.all())
    return Pattern(
        trip.first,
        trip.last,
        trip.repeats,
        trip.every,
        trip.until,
        frozenset(row.first for row in off if not row.onwards),
        min((row.first for row in off if row.onwards), default=None),
    )


def house_clock() -> Hours:
    """The house's zone, for who asks on which days somebody is away, and no more."""
    return Hours(datetime.time.min, datetime.time.max, timezone.get_default_timezone())


def rooms_to_choose() -> QuerySet[Room]:
    """The rooms of the house, and the places that somebody still travels to."""
    today = timezone.localdate()
    ended = TripCalledOff.objects.standing().filter(
        trip=OuterRef("pk"), onwards=True, first__lte=today
    )
    trips = Trip.objects.standing().filter(~Exists(ended), room=OuterRef("pk"))
    ahead = trips.filter(
        Q(repeats=Trip.Repeats.ONCE, last__gte=today)
        | ~Q(repeats=Trip.Repeats.ONCE) & (Q(until=None) | Q(until__gte=today))
    )
    return Room.objects.filter(Q(town="") | Exists(ahead), retired=False)


def place_of(room: Room, fitter: User) -> Place:
    return Place(room.pk, room.town, fitter.pk, name_of(fitter))


def booked_at(
    fitters: Iterable[int], spans: Sequence[Span], *, leaving_out: int | None = None
) -> list[Booking]:
    """What is booked with one of ``fitters`` in any of ``spans``, but not in ``leaving_out``."""
    if not spans:
        return []
    meets = Q()
    for span in spans:
        meets |= Q(starts_at__lt=span.ends, ends_at__gt=span.starts)
    rows = Booking.objects.filter(meets, fitter__in=list(fitters), state__in=Booking.COMING)
    return list(rows.exclude(room=leaving_out).select_related("customer", "fitter", "room"))
