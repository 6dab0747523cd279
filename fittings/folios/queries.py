"""What the customer's and the garment's page show. Constant queries, whatever the data."""

import datetime
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import QuerySet
from django.utils import timezone

from customers import points
from customers.ledger import LedgerQuerySet
from customers.lengths import Length
from customers.models import Consent, Customer, MeasurementSet
from customers.queries import standing_sets
from fittings.folios import wording
from fittings.models import Booking, Fitting, Photograph
from garments import seams
from garments.models import Garment, GarmentQuerySet, TicketRevision
from garments.workroom.queries import State, newest_revisions, open_alterations, with_state

OTHER_UNIT = {"in": "cm", "cm": "in"}
EARLIER_SHOWN = 3
PHOTOGRAPHS_SHOWN = 12
Names = Mapping[int, str]
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


def garments_of(customer: Customer) -> GarmentQuerySet:
    """The customer's garments, newest first, each with its cut."""
    return Garment.objects.filter(customer=customer).select_related("cut_version__cut")


def garment_line(garment: Garment, today: datetime.date) -> GarmentLine:
    promised = garment.promised_on
    late = not garment.delivered and promised is not None and promised < today
    promise = wording.promise_text(promised, today, over=garment.delivered)
    return GarmentLine(garment, promise, late)


@dataclass(frozen=True, slots=True)
class Visit:
    """A booking or a fitting of the customer: which garments, and with whom."""

    row: Booking | Fitting
    fitter: str
    garments: list[Garment]


@dataclass(frozen=True, slots=True)
class Visits:
    """To come, soonest first; held, and booked but missed or cancelled, both newest first."""

    to_come: list[Visit]
    held: list[Visit]
    not_kept: list[Booking]


COMING: Final = (Booking.State.BOOKED, Booking.State.ARRIVED)
NOT_KEPT: Final = (Booking.State.MISSED, Booking.State.CANCELLED)


def visits_of(customer: Customer, garments: Iterable[Garment], names: Names) -> Visits:
    """Every visit of the customer, told with their garments and the people's names. 4 queries."""
    by_pk = {garment.pk: garment for garment in garments}
    bookings = list(Booking.objects.filter(customer=customer).select_related("room"))
    brought = _garments_by(Booking.garments.through, "booking", customer, by_pk)
    fittings = Fitting.objects.filter(customer=customer)
    tried = _garments_by(Fitting.garments.through, "fitting", customer, by_pk)
    today = _start_of_today()
    return Visits(
        to_come=[
            Visit(row, names[row.fitter_id], brought[row.pk])
            for row in bookings
            if row.state in COMING and row.starts_at >= today
        ],
        held=[Visit(row, names[row.fitter_id], tried[row.pk]) for row in fittings],
        not_kept=[row for row in reversed(bookings) if row.state in NOT_KEPT],
    )


def _garments_by(
    links: Any, name: str, customer: Customer, by_pk: Mapping[int, Garment]
) -> Mapping[uuid.UUID, list[Garment]]:
    """The garments each booking or fitting of the customer was for, by its id."""
    found: dict[uuid.UUID, list[Garment]] = defaultdict(list)
    pairs = links.objects.filter(**{f"{name}__customer": customer}).order_by("garment_id")
    for visit, garment in pairs.values_list(f"{name}_id", "garment_id"):
        if garment in by_pk:
            found[visit].append(by_pk[garment])
    return found


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


def bookings_of(garment: Garment) -> QuerySet[Booking]:
    """What the diary holds for the garment from today on."""
    rows = garment.bookings.filter(state__in=COMING, starts_at__gte=_start_of_today())
    return rows.select_related("fitter", "room")


def _start_of_today() -> datetime.datetime:
    return timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
