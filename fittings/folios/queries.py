"""What the customer's and the garment's page show. Constant queries, whatever the data."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from customers import points
from customers.ledger import LedgerQuerySet
from customers.lengths import Length
from customers.models import Consent, Customer, MeasurementSet
from customers.queries import standing_sets
from fittings.folios import wording
from fittings.models import Booking, Fitting, Photograph
from garments import seams
from garments.models import Garment, GarmentQuerySet, Remake, TicketRevision
from garments.workroom.queries import State, newest_revisions, open_alterations, with_state

OTHER_UNIT = {"in": "cm", "cm": "in"}
EARLIER_SHOWN = 3
PHOTOGRAPHS_SHOWN = 12
CHEST, WAIST = ("chest", ""), ("waist", "")


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One measure over time: newest first, and by how much it changed since the set before."""

    name: str
    side: str
    newest: str
    newest_other: str
    change: str
    earlier: list[str]


@dataclass(frozen=True, slots=True)
class Figure:
    """What the measures say: read off, never guessed at."""

    sets: Sequence[MeasurementSet]
    groups: list[tuple[str, list[MeasureRow]]]
    drop: str

    @property
    def newest(self) -> MeasurementSet:
        return self.sets[0]

    @property
    def shown(self) -> Sequence[MeasurementSet]:
        return self.sets[: EARLIER_SHOWN + 1]


def figure_of(customer: Customer, unit: str) -> Figure | None:
    """The customer's standing sets as a table in ``unit``, None if never measured. Two queries."""
    sets = standing_sets(customer)
    if not sets:
        return None
    taken = [one.lengths() for one in sets[: EARLIER_SHOWN + 1]]
    groups: dict[str, list[MeasureRow]] = {}
    for point in points.POINTS:
        for side in point.sides:
            values = [lengths.get((point.key, side)) for lengths in taken]
            if any(value is not None for value in values):
                row = _measure_row(point.name, seams.SIDE_NAMES[side], values, unit)
                groups.setdefault(point.group, []).append(row)
    return Figure(sets=sets, groups=list(groups.items()), drop=_drop_text(taken[0], unit))


def _measure_row(name: str, side: str, values: list[Length | None], unit: str) -> MeasureRow:
    newest, *earlier = values
    before = earlier[0] if earlier else None
    change = ""
    if newest is not None and before is not None:
        change = (newest - before).text(unit, signed=True) if newest != before else "as before"
    texts = ["" if value is None else value.text(unit) for value in values]
    other = "" if newest is None else newest.text(OTHER_UNIT[unit])
    return MeasureRow(name, side, texts[0], other, change, texts[1:])


def _drop_text(lengths: Any, unit: str) -> str:
    """Chest minus waist, as measured; empty when one of the two was not."""
    if CHEST not in lengths or WAIST not in lengths:
        return ""
    drop = lengths[CHEST] - lengths[WAIST]
    return f"{drop.text(unit)} ({drop.text(OTHER_UNIT[unit])})"


def consents_of(customer: Customer) -> list[tuple[str, Consent | None]]:
    """Of each kind of consent the newest answer, None where nobody asked. One query."""
    answers = Consent.objects.standing().filter(customer=customer)
    newest = {answer.kind: answer for answer in answers.order_by("at", "pk")}
    return [(kind.label, newest.get(kind.value)) for kind in Consent.Kind]


@dataclass(frozen=True, slots=True)
class GarmentLine:
    """A garment in a list: how far it is and when it is promised, in words."""

    garment: Garment
    promise: str
    late: bool


def garment_lines(rows: GarmentQuerySet, today: datetime.date) -> list[GarmentLine]:
    return [garment_line(garment, today) for garment in rows]


def garment_line(garment: Garment, today: datetime.date) -> GarmentLine:
    promised = garment.promised_on
    late = not garment.delivered and promised is not None and promised < today
    promise = wording.promise_text(promised, today, over=garment.delivered)
    return GarmentLine(garment, promise, late)


def bookings_to_come(customer: Customer) -> QuerySet[Booking]:
    """What the diary holds for the customer from today on, soonest first. Two queries."""
    rows = Booking.objects.filter(
        customer=customer,
        state__in=[Booking.State.BOOKED, Booking.State.ARRIVED],
        starts_at__gte=_start_of_today(),
    )
    return rows.select_related("fitter", "room").prefetch_related("garments")


def fittings_held(customer: Customer) -> QuerySet[Fitting]:
    """The customer's sessions, newest first. Two queries."""
    rows = Fitting.objects.filter(customer=customer).select_related("fitter")
    return rows.prefetch_related(Prefetch("garments", queryset=Garment.objects.order_by("serial")))


def bookings_not_kept(customer: Customer) -> QuerySet[Booking]:
    """Times that were booked and missed or cancelled, newest first."""
    rows = Booking.objects.filter(
        customer=customer, state__in=[Booking.State.MISSED, Booking.State.CANCELLED]
    )
    return rows.select_related("fitter").order_by("-starts_at")


def photographs_of(customer: Customer) -> LedgerQuerySet[Photograph]:
    """The newest standing photographs."""
    rows = Photograph.objects.standing().filter(customer=customer).select_related("garment")
    return rows.order_by("-at", "-pk")[:PHOTOGRAPHS_SHOWN]


@dataclass(frozen=True, slots=True)
class TicketMention:
    """A ticket in a list: its newest revision, how far it is, and the colour that repeats it."""

    revision: TicketRevision
    state: str
    tone: str


TONES = {State.IN_HAND: "chalk", State.ASKS: "warn", State.SENT_BACK: "bad", State.DONE: "good"}


def tickets_of(garment: Garment) -> list[TicketMention]:
    """The garment's tickets, newest first. One query."""
    rows = with_state(newest_revisions().filter(ticket__garment=garment))
    newest_first = rows.select_related("ticket").order_by("-ticket__serial")
    return [
        TicketMention(row, State(row.state).label, TONES.get(row.state, "")) for row in newest_first
    ]


def alterations_untold(garment: Garment, unit: str) -> list[str]:
    """What was decided and stands on no ticket yet, in words. One query."""
    return [
        wording.alteration_text(alteration, garment.kind, unit)
        for alteration in open_alterations(garment)
    ]


def remakes_of(garment: Garment) -> LedgerQuerySet[Remake]:
    """What it replaces, what replaces it, and its pieces cut again. One query."""
    rows = Remake.objects.standing().filter(Q(replaces=garment) | Q(garment=garment))
    return rows.select_related("replaces", "garment")


def bookings_of(garment: Garment) -> QuerySet[Booking]:
    """What the diary holds for the garment from today on."""
    rows = garment.bookings.filter(
        state__in=[Booking.State.BOOKED, Booking.State.ARRIVED], starts_at__gte=_start_of_today()
    )
    return rows.select_related("fitter", "room")


def _start_of_today() -> datetime.datetime:
    return timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
