"""What the customer's and the garment's page show. Constant queries, whatever the data."""

import datetime
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import F
from django.utils import timezone

from customers.models import Consent, Customer
from fittings.folios import wording
from fittings.folios.history import Record
from fittings.folios.prepared import Prepared
from fittings.models import Booking, Fitting, Photograph
from garments.carrying.queries import CarryLine, lines_of, needs_for
from garments.models import Garment
from garments.workroom.queries import State, newest_revisions, open_alterations, with_state

PHOTOGRAPHS_SHOWN = 12
Names = Mapping[int, str]


CONSENTS = Prepared(lambda pk: Consent.objects.standing().filter(customer=pk).order_by("at", "pk"))


def consents_of(customer: Customer) -> list[tuple[str, Consent | None]]:
    """Of each kind of consent the newest answer, None where nobody asked. One query."""
    newest = {answer.kind: answer for answer in CONSENTS(customer.pk)}
    return [(kind.label, newest.get(kind.value)) for kind in Consent.Kind]


@dataclass(frozen=True, slots=True)
class GarmentLine:
    """A garment in a list: how far it is and when it is promised, in words."""

    garment: Garment
    promise: str
    late: bool


GARMENTS = Prepared(
    lambda pk: (
        Garment.objects.filter(customer=pk)
        .annotate(cut=F("cut_version__cut__name"), cut_number=F("cut_version__version"))
        .order_by("-serial")
    )
)


def garment_line(garment: Garment, today: datetime.date) -> GarmentLine:
    promised = garment.promised_on
    late = not garment.delivered and promised is not None and promised < today
    promise = wording.promise_text(promised, today, over=garment.delivered)
    return GarmentLine(garment, promise, late)


@dataclass(frozen=True, slots=True)
class Visit:
    """A booking or a fitting of the customer: which garments, and with whom."""

    row: Any
    fitter: str
    garments: list[Garment]


@dataclass(frozen=True, slots=True)
class Visits:
    """To come, soonest first; held, and booked but missed or cancelled, both newest first."""

    to_come: list[Visit]
    held: list[Visit]
    not_kept: list[Visit]


NOT_KEPT: Final = (Booking.State.MISSED, Booking.State.CANCELLED)
# One row for each garment of a visit, or a single one where there is none.
BOOKINGS = Prepared(
    lambda pk: (
        Booking.objects.filter(customer=pk)
        .annotate(where=F("room__name"), brought=F("garments__pk"))
        .order_by("starts_at", "pk", "brought")
    )
)
FITTINGS = Prepared(
    lambda pk: (
        Fitting.objects.filter(customer=pk)
        .annotate(brought=F("garments__pk"))
        .order_by("-started_at", "pk", "brought")
    )
)


def visits_of(customer: Customer, garments: Iterable[Garment], names: Names) -> Visits:
    """Every visit of the customer, told with their garments and the people's names. Two queries."""
    by_pk = {garment.pk: garment for garment in garments}
    bookings = _visits(BOOKINGS(customer.pk), by_pk, names)
    today = start_of_today()
    return Visits(
        to_come=[v for v in bookings if v.row.state in Booking.COMING and v.row.starts_at >= today],
        held=_visits(FITTINGS(customer.pk), by_pk, names),
        not_kept=[v for v in reversed(bookings) if v.row.state in NOT_KEPT],
    )


def _visits(rows: Iterable[Any], by_pk: Mapping[int, Garment], names: Names) -> list[Visit]:
    found: dict[uuid.UUID, Visit] = {}
    for row in rows:
        visit = found.setdefault(row.pk, Visit(row, names[row.fitter_id], []))
        if row.brought in by_pk:
            visit.garments.append(by_pk[row.brought])
    return list(found.values())


PHOTOGRAPHS = Prepared(
    lambda pk: (
        Photograph.objects.standing()
        .filter(customer=pk)
        .annotate(of=F("garment__number"))
        .order_by("-at", "-pk")[:PHOTOGRAPHS_SHOWN]
    )
)


@dataclass(frozen=True, slots=True)
class TicketMention:
    """A ticket in a list: its newest revision, how far it is, and the colour that repeats it."""

    number: str
    revision: int
    due_on: datetime.date
    state: str
    tone: str


TONES = {
    State.IN_HAND: "chalk",
    State.ASKS: "warn",
    State.SENT_BACK: "bad",
    State.REPLIED: "chalk",
    State.DONE: "good",
}


TICKETS = Prepared(
    lambda pk: (
        with_state(newest_revisions().filter(ticket__garment=pk))
        .annotate(number=F("ticket__number"))
        .order_by("-ticket__serial")
    )
)
UNTOLD = Prepared(lambda pk: open_alterations(Garment(pk=pk)))
COMING_FOR = Prepared(
    lambda pk: (
        Booking.objects.filter(garments=pk, state__in=Booking.COMING)
        .annotate(where=F("room__name"))
        .order_by("starts_at")
    )
)


def tickets_of(garment: Garment) -> list[TicketMention]:
    """The garment's tickets, newest first. One query."""
    return [
        TicketMention(
            number=row.number,
            revision=row.revision,
            due_on=row.due_on,
            state=State(row.state).label,
            tone=TONES.get(row.state, ""),
        )
        for row in TICKETS(garment.pk)
    ]


def alterations_untold(garment: Garment, unit: str) -> list[str]:
    """What was decided and stands on no ticket yet, in words. One query."""
    return [
        wording.alteration_text(alteration, garment.kind, unit) for alteration in UNTOLD(garment.pk)
    ]


def carry_of(record: Record, unit: str) -> list[CarryLine]:
    """What is proposed for the garment's pattern and what was answered; no query once it is cut."""
    garment = record.garment
    unit = garment.customer.unit or unit
    answers = [row for row in record.carried if record.stands(row)]
    return lines_of(garment, needs_for(garment, unit), answers, unit)


def bookings_of(garment: Garment) -> list[Booking]:
    """What the diary holds for the garment from today on, each with ``where``. One query."""
    today = start_of_today()
    return [row for row in COMING_FOR(garment.pk) if row.starts_at >= today]


def start_of_today() -> datetime.datetime:
    return timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
