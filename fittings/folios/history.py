"""The whole history of a garment as one list in time order: a constant number of queries."""

import datetime
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Count, Q
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
class _Teller:
    """Tells the entries of one garment, in its words and one unit, with the links one may open."""

    garment: Garment
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
        for entry in _said(StageEntry, garment=self.garment):
            yield _event(entry, "Stage", entry.get_stage_display().capitalize(), entry.reason)

    def inlays(self) -> Iterator[Event]:
        left: list[InlayMovement] = []
        for entry in _said(InlayMovement, garment=self.garment):
            if entry.reason == InlayMovement.Reason.LEFT:
                left.append(entry)
            else:
                text = wording.inlay_text(entry, self.garment.kind, self.unit)
                yield _event(entry, "Inlay", text)
        if left:
            yield _event(left[0], "Inlay", f"Normal inlays left in {len(left)} places")

    def remakes(self) -> Iterator[Event]:
        rows = _said(Remake, Q(replaces=self.garment) | Q(garment=self.garment))
        for entry in rows.select_related("replaces", "garment"):
            if entry.garment == self.garment:
                text, other = f"Made in place of {entry.replaces}", entry.replaces
            elif entry.garment:
                text, other = f"Replaced by {entry.garment}", entry.garment
            else:
                text, other = f"{entry.piece.capitalize()} cut again", self.garment
            yield _event(entry, "Remake", text, entry.reason, url=other.get_absolute_url())

    def bookings(self) -> Iterator[Event]:
        rows = _said(BookingChange, booking__garments=self.garment)
        for entry in rows.select_related("booking", "fitter", "room"):
            purpose = Booking.Purpose(entry.booking.purpose).label
            when = f"{wording.moment(entry.starts_at)}, {entry.room}, {name_of(entry.fitter)}"
            text = f"{purpose.capitalize()} {entry.get_what_display()}: {when}"
            url = self.address("diary:booking_detail", entry.booking_id)
            yield _event(entry, "Diary", text, entry.reason, url=url)

    def fittings(self) -> Iterator[Event]:
        for row in Fitting.objects.filter(garments=self.garment).select_related("fitter"):
            text = f"{row.get_purpose_display().capitalize()} begun"
            url = self.address("session:fitting_detail", row.pk)
            yield Event(row.started_at, name_of(row.fitter), "Fitting", text, url=url)

    def judgements(self) -> Iterator[Event]:
        rows = _said(Judgement, alteration__garment=self.garment).select_related("alteration")
        for entry in rows:
            told = wording.alteration_text(entry.alteration, self.garment.kind, self.unit)
            text = f"{entry.get_verdict_display().capitalize()}: {told}"
            yield _event(entry, "Judged", text, entry.note)

    def observations(self) -> Iterator[Event]:
        for entry in _said(Observation, garment=self.garment):
            text = wording.observation_text(entry, self.garment.kind, self.unit)
            yield _event(entry, "Seen", text, entry.note)

    def photographs(self) -> Iterator[Event]:
        for entry in _said(Photograph, garment=self.garment):
            url = self.address("session:photograph", entry.pk)
            yield _event(entry, "Photograph", entry.caption or "Taken", url=url)

    def alterations(self) -> Iterator[Event]:
        for entry in _said(Alteration, garment=self.garment):
            text = wording.alteration_text(entry, self.garment.kind, self.unit)
            yield _event(entry, "Decided", text, entry.why)

    def decisions(self) -> Iterator[Event]:
        for entry in _said(Decision, garment=self.garment):
            text = f"Next: {entry.get_step_display()}"
            yield _event(entry, "Next step", text, entry.note)

    def tickets(self) -> Iterator[Event]:
        rows = _said(TicketRevision, ticket__garment=self.garment)
        counted = rows.select_related("ticket").annotate(count=Count("lines"))
        for entry in counted.order_by("at", "revision"):
            issued = "issued" if entry.revision == 1 else f"changed: revision {entry.revision}"
            lines = "1 line" if entry.count == 1 else f"{entry.count} lines"
            text = f"{entry.ticket} {issued}, {lines}, due {entry.due_on:%-d %b %Y}"
            note = " ".join(part for part in (entry.reason, entry.note) if part)
            url = self.address("workroom:ticket_detail", entry.ticket.number)
            yield _event(entry, "Ticket", text, note, url=url)

    def answers(self) -> Iterator[Event]:
        rows = _said(Answer, revision__ticket__garment=self.garment)
        for entry in rows.select_related("revision__ticket"):
            text = f"{entry.revision.ticket} {entry.get_kind_display()}"
            url = self.address("workroom:ticket_detail", entry.revision.ticket.number)
            yield _event(entry, "Workroom", text, entry.reason, url=url)

    def address(self, page: str, *args: Any) -> str:
        return reverse(page, args=args) if self.opens(page) else ""


def history_of(garment: Garment, unit: str, opens: Callable[[str], bool]) -> list[Event]:
    """Everything that was ever entered about a garment, oldest first, lengths in ``unit``.

    Struck entries are told with who struck them out and when; the striking itself is no event of
    its own. ``opens`` says which pages the reader may open. Twelve queries, however long it is.
    """
    return sorted(_Teller(garment, unit, opens).events(), key=lambda event: event.at)


def name_of(user: User) -> str:
    return user.get_full_name() or user.get_username()


def _said(model: type[LedgerEntry], *where: Q, **of: Any) -> Any:
    """The entries that say something, struck or not, with who entered and who struck them."""
    rows: Any = model._default_manager.filter(*where, void=False, **of).order_by("at", "pk")
    return rows.select_related("by", "struck_by__by")


def _event(entry: LedgerEntry, what: str, text: str, note: str = "", *, url: str = "") -> Event:
    struck = ""
    if hasattr(entry, "struck_by"):
        by = entry.struck_by
        verb = "struck out" if by.void else "corrected"
        struck = f"{verb} by {name_of(by.by)}, {wording.moment(by.at)}"
    return Event(entry.at, name_of(entry.by), what, text, note, struck, url)


def by_day(events: Iterable[Event]) -> list[tuple[datetime.date, list[Event]]]:
    """Events under the day they happened on, in the house's own time."""
    days: dict[datetime.date, list[Event]] = {}
    for event in events:
        days.setdefault(wording.local_day(event.at), []).append(event)
    return list(days.items())
