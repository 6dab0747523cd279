"""The whole history of a garment as one list in time order: a constant number of queries."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.contrib.auth.models import User
from django.db.models import Q
from django.urls import reverse

from customers.ledger import LedgerEntry
from fittings.folios import wording
from fittings.models import (
    Booking,
    BookingChange,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
)
from garments.models import (
    Alteration,
    Answer,
    Garment,
    InlayMovement,
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


# What an entry's sentence says beyond its own row.
JOINED: Final[Mapping[type[LedgerEntry], tuple[str, ...]]] = {
    Remake: ("replaces", "garment"),
    BookingChange: ("booking", "room"),
    TicketRevision: ("ticket",),
    Answer: ("revision__ticket",),
}


class Record:
    """Everything entered about one garment, read once. Each list is in the order it was entered.

    An entry and the one that strikes it are always of the same garment, so who struck what is read
    off the rows themselves (``strikers``, by the struck entry's id); the lists leave out the void.
    """

    def __init__(self, garment: Garment) -> None:
        self.garment = garment
        self.strikers: dict[Any, LedgerEntry] = {}
        self.stages = self._said(StageEntry, garment=garment)
        self.movements = self._said(InlayMovement, garment=garment)
        self.remakes = self._said(Remake, Q(replaces=garment) | Q(garment=garment))
        self.bookings = self._said(BookingChange, booking__garments=garment)
        self.fittings = list(Fitting.objects.filter(garments=garment).order_by("started_at"))
        self.judgements = self._said(Judgement, alteration__garment=garment)
        self.observations = self._said(Observation, garment=garment)
        self.photographs = self._said(Photograph, garment=garment)
        self.alterations = self._said(Alteration, garment=garment)
        self.decisions = self._said(Decision, garment=garment)
        self.tickets = self._said(TicketRevision, ticket__garment=garment)
        self.answers = self._said(Answer, revision__ticket__garment=garment)
        self.names = names_of_people()

    def _said(self, model: type[LedgerEntry], *where: Q, **of: Any) -> list[Any]:
        rows = model._default_manager.filter(*where, **of).order_by("at")
        entries: list[Any] = list(rows.select_related(*JOINED[model]) if model in JOINED else rows)
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

    def events(self) -> Iterator[Event]:
        """Entries of the same instant keep this order."""
        yield from self.stages()
        yield from self.inlays()
        yield from self.remakes()
        yield from self.bookings()
        yield from self.fittings()
        yield from self.judgements()
        yield from self.observations()
        yield from self.photographs()
        yield from self.alterations()
        yield from self.decisions()
        yield from self.tickets()
        yield from self.answers()

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
            if entry.garment_id == self.record.garment.pk:
                text, other = f"Made in place of {entry.replaces}", entry.replaces
            elif entry.garment:
                text, other = f"Replaced by {entry.garment}", entry.garment
            else:
                text, other = f"{entry.piece.capitalize()} cut again", entry.replaces
            url = other.get_absolute_url()
            yield self.event(entry, "Remake", text, entry.reason, url=url)

    def bookings(self) -> Iterator[Event]:
        for entry in self.record.bookings:
            purpose = Booking.Purpose(entry.booking.purpose).label
            fitter = self.record.names[entry.fitter_id]
            when = f"{wording.moment(entry.starts_at)}, {entry.room}, {fitter}"
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

    def observations(self) -> Iterator[Event]:
        for entry in self.record.observations:
            text = wording.observation_text(entry, self.record.garment.kind, self.unit)
            yield self.event(entry, "Seen", text, entry.note)

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
            text = f"{entry.ticket} {issued}, due {entry.due_on:%-d %b %Y}"
            note = " ".join(part for part in (entry.reason, entry.note) if part)
            url = self.address("workroom:ticket_detail", entry.ticket.number)
            yield self.event(entry, "Ticket", text, note, url=url)

    def answers(self) -> Iterator[Event]:
        for entry in self.record.answers:
            text = f"{entry.revision.ticket} {entry.get_kind_display()}"
            url = self.address("workroom:ticket_detail", entry.revision.ticket.number)
            yield self.event(entry, "Workroom", text, entry.reason, url=url)

    def alteration(self, entry: Alteration) -> str:
        return wording.alteration_text(entry, self.record.garment.kind, self.unit)

    def address(self, page: str, *args: Any) -> str:
        return reverse(page, args=args) if self.opens(page) else ""

    def event(self, entry: Any, what: str, text: str, note: str = "", *, url: str = "") -> Event:
        names, striker, struck = self.record.names, self.record.strikers.get(entry.pk), ""
        if striker:
            verb = "struck out" if striker.void else "corrected"
            struck = f"{verb} by {names[striker.by_id]}, {wording.moment(striker.at)}"
        return Event(entry.at, names[entry.by_id], what, text, note, struck, url)


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
    rows = User.objects.values_list("pk", "first_name", "last_name", "username")
    return {pk: f"{first} {last}".strip() or username for pk, first, last, username in rows}
