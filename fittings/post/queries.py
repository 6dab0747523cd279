"""What the post asks of the record. Each question is a fixed number of queries."""

import datetime
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import Max, Prefetch, QuerySet, Subquery
from django.db.models.expressions import OuterRef
from django.utils import timezone

from customers.models import Consent, Customer, House
from fittings.clock import midnight
from fittings.models import Booking, BookingChange, Message, MessageKind, PostRules, Wording
from fittings.opendays.queries import Entered, entered
from fittings.post.hours import SendingHours
from fittings.post.wording import Words, shipped
from fittings.spoken import date_text
from garments.models import Garment, Stage, StageEntry

DAY = datetime.timedelta(days=1)
NEWLY = 7 * DAY  # a booking older than that was confirmed some other way; house rule
MOST = 50  # lines of a list
READY = (Stage.FINISHED, Stage.FINAL_LOOK)
State = Message.State
Kind = MessageKind


def sending_hours(house: House, rules: PostRules | None = None) -> SendingHours:
    """In which hours, and whether on open days alone. A query where the rules are not given."""
    on_all = (rules or PostRules.get()).on_closed_days
    why_closed = None if on_all else OpenDays().why_closed
    return SendingHours.of_house(house.opens, house.closes, why_closed)


class OpenDays:
    """Why the house is closed on a day; the calendar is read when the first day is asked for."""

    def __init__(self) -> None:
        self._said: dict[datetime.date, str] = {}

    @cached_property
    def _entered(self) -> Entered:
        return entered()

    def why_closed(self, day: datetime.date) -> str:
        if day not in self._said:
            self._said[day] = self._entered.why_closed(day)
        return self._said[day]


def may_write(customers: Iterable[int]) -> dict[int, bool]:
    """The last word of each customer on messages; who was never asked is not in it. One query."""
    said = Consent.objects.standing().filter(
        customer__in=set(customers), kind=Consent.Kind.MESSAGES
    )
    return dict(said.order_by("given_on", "at").values_list("customer_id", "given"))


def words_of(kind: str) -> tuple[Words, int]:
    """How that kind of message reads now, and the version; version 0 came with the program."""
    row = newest_wording(kind)
    if row is None:
        return shipped()[kind], 0
    return Words(row.subject, row.body, row.short), row.number


def newest_wording(kind: str) -> Wording | None:
    return Wording.objects.filter(kind=kind).order_by("-number").first()


def last_move(booking: Booking) -> BookingChange | None:
    moves = booking.changes.filter(what=BookingChange.What.MOVED)
    return moves.order_by("-at", "-pk").first()


def time_before(booking: Booking, move: BookingChange | None) -> str:
    """The day and time the booking had before its last move, by the house's clock."""
    if move is None:
        return "another time"
    earlier = booking.changes.filter(at__lt=move.at).order_by("-at", "-pk").first()
    if earlier is None:
        return "another time"
    at = timezone.localtime(earlier.starts_at)
    return f"{at:%A} {date_text(at)}, {at:%H:%M}"


def occasion(kind: str, about: Booking | Garment) -> str:
    """What one message of that kind tells of: one message, and no second, for each."""
    if isinstance(about, Garment):
        entered = StageEntry.objects.standing().filter(garment=about, stage=Stage.FINISHED)
        newest = entered.order_by("-at").values_list("pk", flat=True).first()
        return f"{kind}:{about.pk}:{newest or ''}"
    move = last_move(about) if kind == Kind.CHANGE else None
    return _occasion_of(kind, about, move.pk if move else None)


def _occasion_of(kind: str, booking: Booking, moved_by: uuid.UUID | None) -> str:
    if kind == Kind.REMINDER:
        return f"{kind}:{booking.pk}:{booking.starts_at.astimezone(datetime.UTC):%Y%m%dT%H%M}"
    if kind == Kind.CHANGE:
        return f"{kind}:{booking.pk}:{moved_by or ''}"
    return f"{kind}:{booking.pk}"


@dataclass(frozen=True)
class Offer:
    """A message that someone may look at and send. ``agreed`` is None where nobody asked."""

    kind: str
    about: Any
    agreed: bool | None

    @property
    def label(self) -> str:
        return str(MessageKind(self.kind).label)

    @property
    def customer(self) -> Customer:
        customer: Customer = self.about.customer
        return customer

    @property
    def is_of_garment(self) -> bool:
        return isinstance(self.about, Garment)


def reminders_due(now: datetime.datetime, rules: PostRules) -> QuerySet[Booking]:
    """Bookings so near that their reminder is due: at most the rule's days ahead."""
    last = _reminded_before(now, rules)
    return coming(now).filter(state=Booking.State.BOOKED, starts_at__lt=last)


def _reminded_before(now: datetime.datetime, rules: PostRules) -> datetime.datetime:
    """Reminders of bookings before then are due.

    What would be due on a closed day that messages keep free is due on the open day before it:
    after it would be too late for the morning.
    """
    next_day = sending_hours(House.get(), rules).next_day(timezone.localdate(now))
    return midnight(next_day + rules.reminder_days * DAY)


def coming(now: datetime.datetime) -> QuerySet[Booking]:
    """Bookings ahead, with their garments and when they were made and last moved."""
    garments = Prefetch("garments", queryset=Garment.objects.order_by("serial"))
    changes = BookingChange.objects.filter(booking=OuterRef("pk"))
    moved = changes.filter(what=BookingChange.What.MOVED).order_by("-at", "-pk")
    return (
        Booking.objects.filter(starts_at__gt=now)
        .select_related("customer", "fitter", "room")
        .prefetch_related(garments)
        .annotate(
            booked_at=Subquery(changes.order_by("at").values("at")[:1]),
            moved_by=Subquery(moved.values("pk")[:1]),
        )
        .order_by("starts_at", "pk")
    )


def offers(now: datetime.datetime, rules: PostRules) -> list[Offer]:
    """What there is to tell, the nearest fitting first, then garments ready. Five queries."""
    near = list(coming(now).filter(starts_at__lt=now + 60 * DAY))
    ready = list(
        Garment.objects.filter(stage__in=READY)
        .select_related("customer")
        .annotate(finished_at=Max("stage_entries__at"))
        .order_by("-finished_at")[:MOST]
    )
    told: dict[Any, set[str]] = {}
    about = Message.objects.filter(booking__in=[row.pk for row in near])
    for booking, what in about.values_list("booking_id", "occasion"):
        told.setdefault(booking, set()).add(what)
    done = set(
        Message.objects.filter(kind=Kind.READY, garment__in=ready).values_list("garment", flat=True)
    )
    customers = [row.customer_id for row in near] + [row.customer_id for row in ready]
    agreed = may_write(customers)
    last = _reminded_before(now, rules)
    found = []
    for row in near:
        kind = _kind_due(row, told.get(row.pk, set()), now, last)
        if kind:
            found.append(Offer(kind, row, agreed.get(row.customer_id)))
    found += [
        Offer(Kind.READY, row, agreed.get(row.customer_id)) for row in ready if row.pk not in done
    ]
    return found


def _kind_due(row: Any, told: set[str], now: datetime.datetime, last: datetime.datetime) -> str:
    """What should be told of a booking ahead, "" for nothing."""

    def is_told(kind: Kind) -> bool:
        return _occasion_of(kind, row, row.moved_by) in told

    if row.state == Booking.State.CANCELLED:
        return Kind.CANCELLATION if told and not is_told(Kind.CANCELLATION) else ""
    if row.state != Booking.State.BOOKED:
        return ""
    if row.moved_by and told and not is_told(Kind.CHANGE):
        return Kind.CHANGE
    if row.starts_at < last:
        return "" if is_told(Kind.REMINDER) else Kind.REMINDER
    new = row.booked_at is not None and row.booked_at > now - NEWLY
    return Kind.CONFIRMATION if new and not told else ""


def kinds_for(booking: Booking) -> list[str]:
    """The kinds of message that make sense of the booking as it is."""
    if booking.state == Booking.State.CANCELLED:
        return [Kind.CANCELLATION]
    if booking.state == Booking.State.BOOKED:
        return [Kind.CONFIRMATION, Kind.CHANGE, Kind.REMINDER]
    return []


def lately(states: Iterable[str]) -> list[Message]:
    rows = Message.objects.filter(state__in=list(states)).select_related("customer")
    return list(rows[:MOST])


def states_in_words() -> Mapping[str, str]:
    return {str(state.value): str(state.label) for state in State}
