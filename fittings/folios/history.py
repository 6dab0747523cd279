"""The whole history of a garment as one list in time order: a constant number of queries."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import User
from django.db.models import F, Q
from django.urls import reverse

from customers.ledger import LedgerEntry
from customers.people import name_of
from fittings.folios import wording
from fittings.folios.prepared import Prepared
from fittings.housebook.queries import one_book
from fittings.models import (
    Booking,
    BookingChange,
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
    Remark,
    SpotAnswer,
)
from garments.models import (
    Alteration,
    Answer,
    CarryAnswer,
    FinishedMeasure,
    Garment,
    GarmentWish,
    InlayMovement,
    PassedLine,
    Remake,
    StageEntry,
    TicketRevision,
)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to the garment. ``struck`` says who struck it out, and when."""

    at: datetime.datetime
    who: str
    what: str
    text: str
    note: str = ""
    struck: str = ""
    url: str = ""


@dataclass(frozen=True, slots=True)
class Day:
    """The events of one day, each under the time on the house's clock."""

    title: str
    events: list[tuple[str, Event]]


STAGES = Prepared(lambda pk: StageEntry.objects.filter(garment=pk).order_by("at"))
MOVEMENTS = Prepared(lambda pk: InlayMovement.objects.filter(garment=pk).order_by("at"))
REMAKES = Prepared(
    lambda pk: (
        Remake.objects.filter(Q(replaces=pk) | Q(garment=pk))
        .annotate(old=F("replaces__number"), new=F("garment__number"))
        .order_by("at")
    )
)
BOOKINGS = Prepared(
    lambda pk: (
        BookingChange.objects.filter(booking__garments=pk)
        .annotate(purpose=F("booking__purpose"), where=F("room__name"))
        .order_by("at")
    )
)
FITTINGS = Prepared(lambda pk: Fitting.objects.filter(garments=pk).order_by("started_at"))
JUDGEMENTS = Prepared(lambda pk: Judgement.objects.filter(alteration__garment=pk).order_by("at"))
OBSERVATIONS = Prepared(lambda pk: Observation.objects.filter(garment=pk).order_by("at"))
REMARKS = Prepared(lambda pk: Remark.objects.filter(garment=pk).order_by("at"))
CAUSES = Prepared(lambda pk: CauseTaken.objects.filter(garment=pk).order_by("at"))
SPOT_ANSWERS = Prepared(lambda pk: SpotAnswer.objects.filter(garment=pk).order_by("at"))
PHOTOGRAPHS = Prepared(lambda pk: Photograph.objects.filter(garment=pk).order_by("at"))
ALTERATIONS = Prepared(lambda pk: Alteration.objects.filter(garment=pk).order_by("at"))
DECISIONS = Prepared(lambda pk: Decision.objects.filter(garment=pk).order_by("at"))
TICKETS = Prepared(
    lambda pk: (
        TicketRevision.objects.filter(ticket__garment=pk)
        .annotate(number=F("ticket__number"))
        .order_by("at")
    )
)
ANSWERS = Prepared(
    lambda pk: (
        Answer.objects.filter(revision__ticket__garment=pk)
        .annotate(number=F("revision__ticket__number"))
        .order_by("at")
    )
)


WISHES = Prepared(lambda pk: GarmentWish.objects.filter(garment=pk).order_by("at"))
PASSED = Prepared(lambda pk: PassedLine.objects.filter(garment=pk).order_by("at"))
MEASURED = Prepared(lambda pk: FinishedMeasure.objects.filter(garment=pk).order_by("at"))
CARRIED = Prepared(lambda pk: CarryAnswer.objects.filter(garment=pk).order_by("at", "pk"))


PEOPLE = Prepared(lambda _: User.objects.only("first_name", "last_name", "username"))


class Record:
    """Everything entered about one garment, read once. Each list is in the order it was entered.

    An entry and the one that strikes it are always of the same garment, so who struck what is read
    off the rows themselves (``strikers``, by the struck entry's id); the lists leave out the void.
    """

    def __init__(self, garment: Garment) -> None:
        self.garment = garment
        self.strikers: dict[Any, Any] = {}
        self.stages = self._said(STAGES)
        self.movements = self._said(MOVEMENTS)
        self.remakes = self._said(REMAKES)
        self.bookings = self._said(BOOKINGS)
        self.fittings = list(FITTINGS(garment.pk))
        self.judgements = self._said(JUDGEMENTS)
        self.observations = self._said(OBSERVATIONS)
        self.spot_answers = self._said(SPOT_ANSWERS)
        self.remarks = self._said(REMARKS)
        self.causes = self._said(CAUSES)
        self.photographs = self._said(PHOTOGRAPHS)
        self.alterations = self._said(ALTERATIONS)
        self.decisions = self._said(DECISIONS)
        self.tickets = self._said(TICKETS)
        self.answers = self._said(ANSWERS)
        self.wishes = self._said(WISHES)
        self.measured = self._said(MEASURED)
        self.carried = self._said(CARRIED)
        self.passed = self._said(PASSED)
        self.names = names_of_people()

    def _said(self, question: Prepared) -> list[Any]:
        entries = list(question(self.garment.pk))
        self.strikers |= {entry.strikes_id: entry for entry in entries if entry.strikes_id}
        return [entry for entry in entries if not entry.void]

    def stands(self, entry: LedgerEntry) -> bool:
        """Whether no later entry strikes it."""
        return entry.pk not in self.strikers


@dataclass(frozen=True, slots=True)
class _Teller:
    """Tells a record in words and one unit, with the links one may open."""

    record: Record
    unit: str
    opens: Callable[[str], bool]
    paths: dict[str, str] = field(default_factory=dict)

    def events(self) -> Iterator[Event]:
        """Entries of the same instant keep this order."""
        yield from self.stages()
        yield from self.inlays()
        yield from self.remakes()
        yield from self.bookings()
        yield from self.fittings()
        yield from self.judgements()
        yield from self.observations()
        yield from self.spot_answers()
        yield from self.remarks()
        yield from self.causes()
        yield from self.photographs()
        yield from self.alterations()
        yield from self.decisions()
        yield from self.tickets()
        yield from self.answers()
        yield from self.wishes()
        yield from self.measured()
        yield from self.carried()
        yield from self.passed()

    def stages(self) -> Iterator[Event]:
        for entry in self.record.stages:
            yield self.event(entry, "Stage", entry.get_stage_display().capitalize(), entry.reason)

    def inlays(self) -> Iterator[Event]:
        left = [e for e in self.record.movements if e.reason == InlayMovement.Reason.LEFT]
        for entry in self.record.movements:
            if entry.reason != InlayMovement.Reason.LEFT:
                text = wording.inlay_text(entry, self.record.garment.kind, self.unit)
                yield self.event(entry, "Inlay", text)
        if left:
            yield self.event(left[0], "Inlay", f"Normal inlays left in {len(left)} places")

    def remakes(self) -> Iterator[Event]:
        for entry in self.record.remakes:
            kind = self.record.garment.get_kind_display()
            if entry.garment_id == self.record.garment.pk:
                text, number = f"Made in place of {kind} {entry.old}", entry.old
            elif entry.new:
                text, number = f"Replaced by {kind} {entry.new}", entry.new
            else:
                text, number = f"{entry.piece.capitalize()} cut again", entry.old
            url = self.address("folios:garment_folio", number)
            yield self.event(entry, "Remake", text, entry.reason, url=url)

    def bookings(self) -> Iterator[Event]:
        for entry in self.record.bookings:
            purpose = Booking.Purpose(entry.purpose).label
            fitter = self.record.names[entry.fitter_id]
            when = f"{wording.moment(entry.starts_at)}, {entry.where}, {fitter}"
            text = f"{purpose.capitalize()} {entry.get_what_display()}: {when}"
            url = self.address("diary:booking_detail", entry.booking_id)
            yield self.event(entry, "Diary", text, entry.reason, url=url)

    def fittings(self) -> Iterator[Event]:
        for row in self.record.fittings:
            who = self.record.names[row.fitter_id]
            text = f"{row.get_purpose_display().capitalize()} begun"
            url = self.address("session:fitting_detail", row.pk)
            yield Event(row.started_at, who, "Fitting", text, url=url)

    def judgements(self) -> Iterator[Event]:
        judged = {entry.pk: entry for entry in self.record.alterations}
        for entry in self.record.judgements:
            told = self.alteration(judged[entry.alteration_id])
            text = f"{entry.get_verdict_display().capitalize()}: {told}"
            yield self.event(entry, "Judged", text, entry.note)

    def remarks(self) -> Iterator[Event]:
        for entry in self.record.remarks:
            yield self.event(entry, "Said", entry.text)

    def observations(self) -> Iterator[Event]:
        for entry in self.record.observations:
            text = wording.observation_text(entry, self.record.garment.kind, self.unit)
            yield self.event(entry, "Seen", text, entry.note)

    def spot_answers(self) -> Iterator[Event]:
        for entry in self.record.spot_answers:
            yield self.event(entry, "Test", wording.spot_answer_text(entry))

    def causes(self) -> Iterator[Event]:
        for entry in self.record.causes:
            yield self.event(entry, "Cause", *wording.cause_text(entry))

    def photographs(self) -> Iterator[Event]:
        for entry in self.record.photographs:
            url = self.address("session:photograph", entry.pk)
            yield self.event(entry, "Photograph", entry.caption or "Taken", url=url)

    def alterations(self) -> Iterator[Event]:
        for entry in self.record.alterations:
            yield self.event(entry, "Decided", self.alteration(entry), entry.why)

    def decisions(self) -> Iterator[Event]:
        for entry in self.record.decisions:
            text = f"Next: {entry.get_step_display()}"
            yield self.event(entry, "Next step", text, entry.note)

    def tickets(self) -> Iterator[Event]:
        for entry in self.record.tickets:
            issued = "issued" if entry.revision == 1 else f"changed: revision {entry.revision}"
            text = f"{entry.number} {issued}, due {entry.due_on:%-d %b %Y}"
            note = " ".join(part for part in (entry.reason, entry.note) if part)
            url = self.address("workroom:ticket_detail", entry.number)
            yield self.event(entry, "Ticket", text, note, url=url)

    def answers(self) -> Iterator[Event]:
        for entry in self.record.answers:
            text = f"{entry.number} {entry.get_kind_display()}"
            url = self.address("workroom:ticket_detail", entry.number)
            yield self.event(entry, "Workroom", text, entry.reason, url=url)

    def wishes(self) -> Iterator[Event]:
        for entry in self.record.wishes:
            text = wording.wish_text(entry, self.record.garment.kind, self.unit)
            if entry.accepted_by_id:
                text += f", accepted by {self.record.names[entry.accepted_by_id]}"
            yield self.event(entry, "Wish", text, entry.note)

    def measured(self) -> Iterator[Event]:
        for entry in self.record.measured:
            text = wording.measured_text(entry, self.record.garment.kind, self.unit)
            yield self.event(entry, "Measured", text)

    def carried(self) -> Iterator[Event]:
        for entry in self.record.carried:
            text = wording.carried_text(entry, self.record.garment.kind, self.unit)
            yield self.event(entry, "Pattern", text, entry.reason)

    def passed(self) -> Iterator[Event]:
        for entry in self.record.passed:
            yield self.event(entry, "Taken on", f"Before the shears: {entry.told}", entry.reason)

    def alteration(self, entry: Alteration) -> str:
        return wording.alteration_text(entry, self.record.garment.kind, self.unit)

    def address(self, page: str, key: Any) -> str:
        """The address of a page, empty for who may not open it; written once for each page."""
        if page not in self.paths:
            path = reverse(page, args=[key]).replace(str(key), "{}")
            self.paths[page] = path if self.opens(page) else ""
        return self.paths[page].format(key)

    def event(self, entry: Any, what: str, text: str, note: str = "", *, url: str = "") -> Event:
        names, striker, struck = self.record.names, self.record.strikers.get(entry.pk), ""
        if striker:
            verb = "struck out" if striker.void else "corrected"
            struck = f"{verb} by {names[striker.by_id]}, {wording.moment(striker.at)}"
        return Event(entry.at, names[entry.by_id], what, text, note, struck, url)


@one_book()
def history_of(record: Record, unit: str, opens: Callable[[str], bool]) -> list[Event]:
    """Everything that was ever entered about a garment, oldest first, lengths in ``unit``.

    Struck entries are told with who struck them out and when; the striking itself is no event of
    its own. ``opens`` says which pages the reader may open.
    """
    return sorted(_Teller(record, unit, opens).events(), key=lambda event: event.at)


def by_day(events: Iterable[Event]) -> list[Day]:
    """Events under the day they happened on, by the house's own clock."""
    days: dict[datetime.date, Day] = {}
    for event in events:
        at = wording.house_time(event.at)
        day = days.setdefault(at.date(), Day(f"{at:%A %-d %B %Y}", []))
        day.events.append((f"{at:%H:%M}", event))
    return list(days.values())


def names_of_people() -> Mapping[int, str]:
    """What everyone of the house goes by: a house has a handful of people, a history many rows."""
    return {user.pk: name_of(user) for user in PEOPLE(0)}
