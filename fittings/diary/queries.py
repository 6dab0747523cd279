"""What the diary asks of the record. Each question is a fixed number of queries."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from typing import NamedTuple, Self

from django.contrib.auth.models import User
from django.db.models import Prefetch, Q, QuerySet, Subquery
from django.urls import reverse
from django.utils import timezone

from fittings.config.access import FITTER, OWNER
from fittings.diary.slots import Hours, Span, next_free
from fittings.models import Booking, Room
from fittings.opendays.queries import absent_within, entered, spans_away
from fittings.travelling.journeys import Journeys
from fittings.travelling.queries import house_clock, journeys_from
from garments.models import Answer, Garment, Kind
from garments.workroom.queries import ANSWERS, STATE_OF, State, unfinished

FIRST_ROOM = "Fitting room"
# No booking is longer than a day: where to begin to look for those that reach into a span.
REACH = datetime.timedelta(days=1)
OFFERED_OVER = 42  # days
PEOPLE = ("customer", "fitter", "room", "fitting")


def fitters() -> QuerySet[User]:
    """Those who can be booked: fitters and owners who still work here."""
    people = User.objects.filter(groups__name__in=[FITTER, OWNER], is_active=True)
    return people.distinct().order_by("first_name", "last_name", "pk")


def rooms_in_use() -> list[Room]:
    """The house's own rooms that can be booked; a house that has none yet gets its first."""
    own = Room.objects.filter(town="")
    rooms = list(own.filter(retired=False))
    if not rooms and not own.exists():
        rooms = [Room.objects.get_or_create(name=FIRST_ROOM)[0]]
    return rooms


def house_hours() -> Hours:
    """When the house is open, by its calendar and the clock on its own wall.

    Two queries, and two more when first asked about a closed day.
    """
    kept = entered()
    opens, closes = zip(*kept.week.values(), strict=True)
    zone = timezone.get_default_timezone()
    return Hours(min(opens), max(closes), zone, kept.week, kept.why_closed, kept.why_shut)


def bookings_within(span: Span) -> QuerySet[Booking]:
    """Every booking that meets ``span``, whatever became of it, with all a list shows of it."""
    garments = Prefetch("garments", queryset=Garment.objects.order_by("serial"))
    return (
        Booking.objects.filter(
            starts_at__gt=span.starts - REACH, starts_at__lt=span.ends, ends_at__gt=span.starts
        )
        .select_related(*PEOPLE)
        .prefetch_related(garments)
    )


def booking_with_all() -> QuerySet[Booking]:
    """Bookings with all that a page about one shows."""
    garments = Prefetch("garments", queryset=Garment.objects.order_by("serial"))
    return Booking.objects.select_related(*PEOPLE).prefetch_related(garments)


def spoken_for(wished: Booking, what: str) -> Booking | None:
    """The booking that holds the fitter or the room (``what``) of ``wished`` in its time."""
    holding = Booking.objects.filter(
        state__in=Booking.HOLDING,
        starts_at__gt=wished.starts_at - REACH,
        starts_at__lt=wished.ends_at,
        ends_at__gt=wished.starts_at,
        **{what: getattr(wished, what)},
    )
    return holding.exclude(pk=wished.pk).select_related("customer", "fitter", "room").first()


FOR_THE_FITTER = Q(answered__in=[Answer.Kind.ASKS, Answer.Kind.CANNOT])


class Owed(NamedTuple):
    """A ticket that the workroom has not done yet, with what a list shows of it."""

    number: str
    due_on: datetime.date
    garment_pk: int
    kind: str
    garment: str
    given_name: str
    family_name: str
    revision: int
    answered: str | None
    said: str | None

    @property
    def asks(self) -> bool:
        """Whether the bench waits for the fitter's word."""
        return self.state in {State.ASKS, State.SENT_BACK}

    @property
    def state(self) -> str:
        """How far it is, by its newest answer."""
        return STATE_OF[Answer.Kind(self.answered)] if self.answered else State.ISSUED

    @property
    def kind_name(self) -> str:
        return str(Kind(self.kind).label)

    @property
    def url(self) -> str:
        return reverse("workroom:ticket_detail", args=[self.number])


def owed(bookings: Iterable[Booking], day: datetime.date | None = None) -> list[Owed]:
    """Tickets not done of the garments that ``bookings`` bring; all due on ``day``, all that ask.

    The longest overdue first. One query, or none where there is nothing to ask. Plain columns:
    this is on everyone's first page, and building the rows would be half of what it costs.
    """
    garments = {garment.pk for booking in bookings for garment in booking.garments.all()}
    wanted = Q(ticket__garment__in=garments) if garments else Q()
    if day is not None:
        wanted |= Q(due_on__lte=day) | FOR_THE_FITTER
    return _owed(wanted) if wanted else []


def asked_of(garment: Garment) -> list[Owed]:
    """The tickets of one garment on which the bench waits for the fitter's word. One query."""
    return _owed(Q(ticket__garment=garment) & FOR_THE_FITTER)


def _owed(wanted: Q) -> list[Owed]:
    rows = unfinished().annotate(answered=Subquery(ANSWERS.values("kind")[:1]))
    rows = rows.filter(wanted).order_by("due_on", "ticket__serial")
    found = rows.values_list(
        "ticket__number",
        "due_on",
        "ticket__garment_id",
        "ticket__garment__kind",
        "ticket__garment__number",
        "ticket__garment__customer__given_name",
        "ticket__garment__customer__family_name",
        "revision",
        "answered",
        Subquery(ANSWERS.values("reason")[:1]),
    )
    return [Owed(*row) for row in found]


def by_garment(tickets: Iterable[Owed]) -> dict[int, str]:
    """The number of a ticket by garment: those garments will not be ready."""
    return {ticket.garment_pk: ticket.number for ticket in tickets}


@dataclass
class Taken:
    """Who and what is taken when, over some span. Two queries for all of it.

    Who is away is taken for the whole day or its hours. Who travels is taken ``at_home`` alone, at
    the price of a query where the trips are not given.
    """

    span: Span
    journeys: Journeys | None = None

    fitters: dict[int, list[Span]] = field(default_factory=lambda: defaultdict(list))
    rooms: dict[int, list[Span]] = field(default_factory=lambda: defaultdict(list))

    @classmethod
    def within(
        cls,
        span: Span,
        *,
        leaving_out: Booking | None = None,
        journeys: Journeys | None = None,
    ) -> Self:
        """``leaving_out`` is a booking about to move: its own time counts as free."""
        rows = Booking.objects.filter(
            state__in=Booking.HOLDING,
            starts_at__gt=span.starts - REACH,
            starts_at__lt=span.ends,
            ends_at__gt=span.starts,
        )
        if leaving_out is not None:
            rows = rows.exclude(pk=leaving_out.pk)
        taken = cls(span, journeys)
        for fitter, room, starts, ends in rows.values_list(
            "fitter_id", "room_id", "starts_at", "ends_at"
        ):
            taken.fitters[fitter].append(Span(starts, ends))
            taken.rooms[room].append(Span(starts, ends))
        days = [timezone.localdate(at) for at in (span.starts, span.ends)]
        for away in absent_within(*days):
            taken.fitters[away.person_id] += spans_away(away, *days)
        return taken

    def at_home(self, fitter: int) -> list[Span]:
        """When a fitter cannot be booked at the house."""
        return [*self.fitters[fitter], *self._travels.get(fitter, ())]

    @cached_property
    def _travels(self) -> dict[int, list[Span]]:
        clock, found = house_clock(), defaultdict(list)
        first, last = clock.day_of(self.span.starts), clock.day_of(self.span.ends)
        for way in (self.journeys or journeys_from(first)).ways(first, last, clock):
            for fitter in way.journey.fitters:
                found[fitter].append(way.away)
        return found

    def of_rooms(self, rooms: Iterable[Room]) -> list[list[Span]]:
        return [self.rooms[room.pk] for room in rooms]

    def is_free(self, room: Room, span: Span) -> bool:
        return not any(span.meets(other) for other in self.rooms[room.pk])


def free_times(
    *,
    fitter: User,
    rooms: list[Room],
    since: datetime.datetime,
    length: datetime.timedelta,
    hours: Hours,
    leaving_out: Booking | None = None,
    most: int = 3,
    journeys: Journeys | None = None,
) -> list[datetime.datetime]:
    """The next times from ``since`` on that fit the fitter and one of ``rooms``. Two queries."""
    span = _horizon(since, hours)
    taken = Taken.within(span, leaving_out=leaving_out, journeys=journeys)
    return list(
        islice(
            next_free(
                taken.at_home(fitter.pk),
                taken.of_rooms(rooms),
                since=since,
                days=OFFERED_OVER,
                hours=hours,
                length=length,
            ),
            most,
        )
    )


def next_slot(
    people: list[User],
    rooms: list[Room],
    *,
    since: datetime.datetime,
    length: datetime.timedelta,
    hours: Hours,
    journeys: Journeys,
) -> tuple[datetime.datetime, User] | None:
    """The first time at which anybody is free, and who. Two queries."""
    taken = Taken.within(_horizon(since, hours), journeys=journeys)
    used = taken.of_rooms(rooms)

    def firsts() -> Iterator[tuple[datetime.datetime, User]]:
        for person in people:
            busy = taken.at_home(person.pk)
            times = next_free(
                busy, used, since=since, days=OFFERED_OVER, hours=hours, length=length
            )
            yield from ((start, person) for start in islice(times, 1))

    return min(firsts(), key=lambda found: found[0], default=None)


def free_room(rooms: list[Room], span: Span, *, leaving_out: Booking | None = None) -> Room | None:
    """The first of ``rooms`` that nobody has in ``span``. Two queries."""
    taken = Taken.within(span, leaving_out=leaving_out)
    return next((room for room in rooms if taken.is_free(room, span)), None)


def free_fitter(
    span: Span, room: Room, *, journeys: Journeys, last: int | None = None
) -> User | None:
    """Who is free in ``span``, the one with the key ``last`` first; at a trip's place who goes.

    Three queries.
    """
    taken = Taken.within(span, journeys=journeys)
    day = house_clock().day_of(span.starts)
    there = journeys.at(room.pk, day)

    def is_free(person: int) -> bool:
        if there and not journeys.goes_to(room.pk, person, day):
            return False
        busy = taken.fitters[person] if there else taken.at_home(person)
        return not any(span.meets(own) for own in busy)

    free = [person for person in fitters() if is_free(person.pk)]
    return min(free, key=lambda person: person.pk != last, default=None)


def _horizon(since: datetime.datetime, hours: Hours) -> Span:
    last = hours.day_of(since) + datetime.timedelta(days=OFFERED_OVER)
    return Span(since, hours.whole_day(last).starts)
