"""One garment of the demo on its way: the rows that the garments' services would have written."""

import datetime
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User

from customers.lengths import Length
from customers.models import Customer, MeasurementSet
from fittings.demo.record import Record
from fittings.demo.truth import Hidden
from fittings.models import Observation
from garments import memory, seams
from garments.models import (
    Alteration,
    Answer,
    Cloth,
    CutVersion,
    Garment,
    InlayMovement,
    Remake,
    Stage,
    StageEntry,
    Ticket,
    TicketLine,
    TicketRevision,
)
from garments.workroom.inlay import walk

Moment = datetime.datetime


@dataclass(slots=True)
class Taken:
    """An alteration decided and not yet judged, with what it is in truth."""

    alteration: Alteration
    hidden: Hidden | None
    right: bool
    enough: bool
    done: bool = False


@dataclass(frozen=True)
class Wish:
    """What was ordered."""

    customer: Customer
    kind: str
    cut_version: CutVersion
    cloth: str
    pattern: str
    cutter: User
    promised_on: datetime.date
    notes: str = ""


# What is taken off the roll for a piece: the usual lengths, common practice, no source.
CLOTH = {
    "coat": Length.of_cm(210),
    "overcoat": Length.of_cm(320),
    "waistcoat": Length.of_cm(110),
    "trousers": Length.of_cm(150),
}


WIDTH, REPEAT = Length.of_cm(150), Length.of_cm(4)


class Work:
    """A garment, its inlays as they are now, and the causes hidden in it."""

    def __init__(self, record: Record, wish: Wish, at: Moment, by: User) -> None:
        """Take the order: its number, its first stage, the inlays normally left."""
        self.record = record
        self.hidden: list[Hidden] = []
        self.waiting: list[Taken] = []
        self.newest: TicketRevision | None = None
        self.been_finished = False
        # What the pattern's memory asks of it later.
        self.cut_on: datetime.date | None = None
        self.left, self.pieces, self.carries = False, False, True
        self.decided: list[Alteration] = []
        self.verdicts: dict[uuid.UUID, str] = {}
        self.carried: list[memory.Carried] = []
        self.garment = record.numbered(
            Garment,
            "G",
            customer=wish.customer,
            kind=wish.kind,
            cut_version=wish.cut_version,
            cloth=wish.cloth,
            cloth_pattern=wish.pattern,
            cloth_length=CLOTH[wish.kind],
            cloth_width=WIDTH,
            cloth_repeat=REPEAT if wish.pattern == Cloth.CHECK else None,
            cutter=wish.cutter,
            ordered_on=at.date(),
            promised_on=wish.promised_on,
            notes=wish.notes,
        )
        self.enter(Stage.ORDERED, at, by)
        self.inlays = seams.normal_inlays(wish.kind)
        self.planned = dict(self.inlays)  # once what is decided is done
        for (seam, side), left in self.inlays.items():
            reason = InlayMovement.Reason.LEFT
            self._move_inlay(seam, side, left, reason=reason, at=at, by=by)

    @property
    def stage(self) -> str:
        return self.garment.stage

    def enter(
        self,
        stage: Stage,
        at: Moment,
        by: User,
        reason: str = "",
        *,
        entry_id: uuid.UUID | None = None,
    ) -> None:
        self.record.entry(
            StageEntry,
            pk=entry_id or self.record.new_id(),
            garment=self.garment,
            stage=stage,
            reason=reason,
            at=at,
            by=by,
        )
        self.garment.stage, self.garment.stage_since = stage, at
        if stage == Stage.DELIVERED and not self.left:
            self.garment.promised_when_delivered = self.garment.promised_on
        self.been_finished |= stage == Stage.FINISHED
        self.left |= stage == Stage.DELIVERED

    def cut(self, measures: MeasurementSet, at: Moment, by: User) -> None:
        self.enter(Stage.CUT, at, by, f"From the {measures}")
        self.garment.measurement_set = measures
        self.cut_on = at.date()

    def take(self, work: Taken, seen: Iterable[Observation], at: Moment, by: User) -> None:
        """Decide an alteration: it waits to be done and judged."""
        alteration = work.alteration
        alteration.garment, alteration.at, alteration.by = self.garment, at, by
        alteration.pk = self.record.new_id()
        self.record.add(alteration)
        self.decided.append(alteration)
        self.verdicts[alteration.pk] = ""
        for observation in seen:
            self.answer_seen(observation, alteration)
        (span,) = walk([alteration], self.planned, self.garment.kind)
        for side, change in span.changes.items():
            self.planned[alteration.seam, side] += change
        self.waiting.append(work)

    def answer_seen(self, observation: Observation, alteration: Alteration) -> None:
        self.record.tie(Observation.alterations.through, observation, alteration)

    def issue(self, due_on: datetime.date, at: Moment, by: User, note: str = "") -> TicketRevision:
        """A ticket for every alteration that waits and is not done."""
        ticket = self.record.numbered(Ticket, "T", garment=self.garment)
        lines = [work.alteration for work in self.waiting if not work.done]
        return self._revision(ticket, 1, lines, due_on=due_on, at=at, by=by, note=note)

    def revise(self, due_on: datetime.date, at: Moment, by: User, reason: str) -> TicketRevision:
        """The same lines again, with the reason; the revision before is struck."""
        old = self.newest
        if old is None:
            raise ValueError("No ticket has been issued yet.")
        lines = [work.alteration for work in self.waiting if not work.done]
        number = old.revision + 1
        return self._revision(
            old.ticket, number, lines, due_on=due_on, at=at, by=by, reason=reason, strikes=old
        )

    def _revision(
        self, ticket: Ticket, number: int, lines: Sequence[Alteration], **values: object
    ) -> TicketRevision:
        revision = self.record.entry(TicketRevision, ticket=ticket, revision=number, **values)
        ordered = seams.working_order(lines)
        spans = walk(ordered, self.inlays, self.garment.kind)
        for position, (line, span) in enumerate(zip(ordered, spans, strict=True), start=1):
            self.record.add(
                TicketLine(
                    revision=revision,
                    position=position,
                    alteration=line,
                    inlay_before=span.before,
                    inlay_after=span.after,
                )
            )
        self.newest = revision
        return revision

    def answer(self, kind: Answer.Kind, at: Moment, by: User, reason: str = "") -> None:
        """The bench speaks: in hand, done with what follows from it, or back to the fitter."""
        revision = self.newest
        self.record.entry(Answer, revision=revision, kind=kind, reason=reason, at=at, by=by)
        if revision is None or kind != Answer.Kind.DONE:
            return
        undone = [work for work in self.waiting if not work.done]
        lines = seams.working_order([work.alteration for work in undone])
        spans = walk(lines, self.inlays, self.garment.kind)
        for line, span in zip(lines, spans, strict=True):
            for side, change in span.changes.items():
                self._use_inlay(line, side, change, at, by)
        for work in undone:
            work.done = True
        if self.stage == Stage.ALTERING:
            stage = Stage.FINISHED if self.been_finished else Stage.BASTED
            self.enter(stage, at, by, f"Ticket {revision.ticket.number} done")

    def _use_inlay(self, line: Alteration, side: str, change: Length, at: Moment, by: User) -> None:
        reason = InlayMovement.Reason.USED if change.nm < 0 else InlayMovement.Reason.FREED
        self.inlays[line.seam, side] += change
        self._move_inlay(line.seam, side, change, reason=reason, at=at, by=by, alteration=line)

    def _move_inlay(
        self,
        seam: str,
        side: str,
        amount: Length,
        *,
        reason: InlayMovement.Reason,
        at: Moment,
        by: User,
        alteration: Alteration | None = None,
    ) -> None:
        self.record.entry(
            InlayMovement,
            garment=self.garment,
            seam=seam,
            side=side,
            amount=amount,
            reason=reason,
            alteration=alteration,
            at=at,
            by=by,
        )

    def cut_piece_again(self, piece: str, reason: str, at: Moment, by: User) -> None:
        self.pieces = True
        self.enter(Stage.ALTERING, at, by, f"{piece} cut again: {reason}")
        self.record.entry(Remake, replaces=self.garment, piece=piece, reason=reason, at=at, by=by)

    def replace_by(self, new: "Work", reason: str, at: Moment, by: User) -> None:
        self.enter(Stage.REMADE, at, by, reason)
        self.record.entry(
            Remake, replaces=self.garment, garment=new.garment, reason=reason, at=at, by=by
        )
