"""The one way in for each write of the workroom: a ticket issued, changed, answered."""

import datetime
import uuid
from collections.abc import Collection, Sequence

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers.ledger import already_kept
from customers.lengths import Length
from customers.models import House
from customers.numbering import create_numbered
from customers.people import name_of
from garments import seams
from garments.inlays.services import bring_back_inlays, normal_of
from garments.models import (
    Alteration,
    Answer,
    Garment,
    InlayMovement,
    Stage,
    Ticket,
    TicketLine,
    TicketRevision,
)
from garments.queries import inlays_of
from garments.services import enter_stage
from garments.workroom.inlay import walk
from garments.workroom.queries import open_alterations, outstanding, still_standing

# Work may begin on a garment that stands at one of these; others have work under way already.
WAITING = frozenset(
    {
        Stage.CUT,
        Stage.BASTED,
        Stage.FIRST_FITTING,
        Stage.FORWARD_FITTING,
        Stage.FINISHED,
        Stage.FINAL_LOOK,
        Stage.RETURNED,
    }
)
RECUT = "recut"
USED, FREED, TRIMMED = (
    InlayMovement.Reason.USED,
    InlayMovement.Reason.FREED,
    InlayMovement.Reason.TRIMMED,
)
NEEDS_REASON = frozenset({Answer.Kind.CANNOT, Answer.Kind.ASKS})
FITTERS = frozenset({Answer.Kind.REPLIED})  # the fitter's word, not the bench's


@transaction.atomic
def issue_ticket(
    *,
    form_id: uuid.UUID,
    garment: Garment,
    alterations: Sequence[Alteration],
    due_on: datetime.date,
    note: str,
    by: User,
) -> Ticket:
    """A ticket with its first revision: the lines in working order, with the inlay of each.

    Sent twice it is issued once. ValidationError keyed by field: no line, a line of another
    garment, struck out or on another ticket, due in the past, a garment that has left the house.
    """
    garment = Garment.objects.held(garment.pk)
    if kept := already_kept(Ticket, form_id, by, id_field="form_id", garment=garment):
        return kept
    _refuse(garment, alterations, set(open_alterations(garment)), due_on)
    ticket = create_numbered(Ticket, "T", form_id=form_id, garment=garment)
    _write_revision(
        TicketRevision(ticket=ticket, due_on=due_on, note=note.strip(), by=by), alterations
    )
    return ticket


@transaction.atomic
def revise_ticket(
    *,
    entry_id: uuid.UUID,
    ticket: Ticket,
    alterations: Sequence[Alteration],
    due_on: datetime.date,
    note: str,
    reason: str,
    by: User,
    replaces: int | None = None,
) -> TicketRevision:
    """The next revision of a ticket; it strikes the one it replaces, whose paper no longer counts.

    ``replaces`` is the revision the person had before them: ValidationError when another has
    been issued meanwhile. Otherwise refuses what ``issue_ticket`` refuses, a missing reason, and
    a ticket that is done.
    """
    garment = Garment.objects.held(ticket.garment_id)
    if kept := already_kept(TicketRevision, entry_id, by, ticket=ticket):
        return kept
    old = TicketRevision.objects.standing().get(ticket=ticket)
    if replaces is not None and replaces != old.revision:
        raise ValidationError({"replaces": _told_of(old)})
    if last_answer(old) == Answer.Kind.DONE:
        raise ValidationError({"ticket": f"{ticket.number} is done: issue a new ticket."})
    allowed = set(open_alterations(garment)) | set(still_standing(old))
    _refuse(garment, alterations, allowed, due_on)
    if not reason.strip():
        raise ValidationError({"reason": "Say why it is changed: the workroom asks first."})
    return _write_revision(
        TicketRevision(
            id=entry_id,
            ticket=ticket,
            revision=old.revision + 1,
            strikes=old,
            due_on=due_on,
            note=note.strip(),
            reason=reason.strip(),
            by=by,
        ),
        alterations,
    )


def _told_of(newer: TicketRevision) -> str:
    """What somebody issued while another had the revision before it open."""
    count = newer.lines.count()
    said = [f"due {newer.due_on:%-d %B}", f"{count} line{'' if count == 1 else 's'}"]
    said += [f"“{newer.reason}”"] if newer.reason else []
    return (
        f"Revision {newer.revision} was issued by {name_of(newer.by)} while you had this open: "
        f"{', '.join(said)}. Keep yours again to issue it in its place."
    )


@transaction.atomic
def answer_ticket(
    *,
    entry_id: uuid.UUID,
    revision: TicketRevision,
    kind: str,
    reason: str,
    trimmed: Collection[uuid.UUID] = (),
    by: User,
) -> Answer:
    """Keep what the bench says to a revision, or the fitter to the bench, and what follows from it.

    Taken in hand enters the stage of being altered. Done uses or frees the inlay of every line;
    what was taken in and is among ``trimmed`` (alterations) was cut off, and a piece cut again
    brings its seam's inlay back. When nothing else of the garment is outstanding it is ready to be
    looked at again.
    ValidationError keyed by field: a revision that was replaced, an answer that cannot follow
    the last one, a line struck out, no reason where one is needed, more let out than there was.
    """
    garment = Garment.objects.held(revision.ticket.garment_id)
    if kept := already_kept(Answer, entry_id, by, revision=revision):
        return kept
    _refuse_answer(revision, garment, kind, reason.strip())
    answer = Answer(id=entry_id, revision=revision, kind=kind, reason=reason.strip(), by=by)
    answer.clean_fields(exclude={"revision", "by", "strikes"})
    answer.save(force_insert=True)
    if kind == Answer.Kind.TAKEN and garment.stage in WAITING:
        _enter(garment, Stage.ALTERING, f"Ticket {revision.ticket.number} in hand", by)
    if kind == Answer.Kind.DONE:
        _move_inlays(revision, garment, set(trimmed), by)
        _finish(revision, garment, by)
    return answer


def last_answer(revision: TicketRevision) -> str:
    """The kind of the newest answer to a revision, empty when the bench has not said anything."""
    newest = revision.answers.order_by("-at", "-id").first()
    return newest.kind if newest else ""


def _refuse(
    garment: Garment,
    alterations: Sequence[Alteration],
    allowed: set[Alteration],
    due_on: datetime.date,
) -> None:
    wrong: dict[str, str] = {}
    if garment.delivered:
        wrong["garment"] = f"{garment.number} is {garment.get_stage_display()}: take it back first."
    if not alterations:
        wrong["alterations"] = "Choose at least one line."
    elif any(line.garment_id != garment.pk for line in alterations):
        wrong["alterations"] = f"A line is of another garment than {garment.number}."
    elif not set(alterations) <= allowed:
        wrong["alterations"] = "A line was struck out or is on another ticket: look again."
    if due_on < timezone.localdate():
        wrong["due_on"] = "That day is past: choose today or later."
    if wrong:
        raise ValidationError(dict(wrong))


def _refuse_answer(revision: TicketRevision, garment: Garment, kind: str, reason: str) -> None:
    newest = TicketRevision.objects.standing().get(ticket=revision.ticket_id)
    if newest != revision:
        raise ValidationError(
            {
                "revision": f"Revision {revision.revision} was replaced:"
                f" work by revision {newest.revision} of {revision.ticket.number}."
            }
        )
    if garment.delivered:
        raise ValidationError({"revision": f"{garment} is {garment.get_stage_display()}."})
    if wrong := _cannot_follow(last_answer(revision), kind):
        raise ValidationError({"kind": wrong})
    if kind in FITTERS and not reason:
        raise ValidationError({"reason": "Write the answer: the bench waits for it."})
    if kind in NEEDS_REASON and not reason:
        raise ValidationError({"reason": "Say why, so that the fitter can answer."})
    working = kind in {Answer.Kind.TAKEN, Answer.Kind.DONE}
    if working and still_standing(revision).count() != revision.lines.count():
        raise ValidationError({"kind": "A line was struck out: the fitter must change the ticket."})


def _cannot_follow(last: str, kind: str) -> str:
    """Why an answer of this ``kind`` cannot follow the ``last`` one; empty when it can."""
    if kind not in Answer.Kind.values:
        return "Choose one of the answers."
    if last == Answer.Kind.DONE:
        return "It is done already."
    if kind in FITTERS and last not in NEEDS_REASON:
        return "The workroom asks nothing now: look at the ticket again."
    if last == Answer.Kind.TAKEN == kind:
        return "It is in hand already."
    if last in NEEDS_REASON and kind == Answer.Kind.DONE:
        return "It was sent back to the fitter: take it in hand first."
    return ""


def _write_revision(revision: TicketRevision, alterations: Sequence[Alteration]) -> TicketRevision:
    # Amounts of lines and Django's foreign keys are checked where they were made.
    revision.clean_fields(exclude={"ticket", "by", "strikes"})
    revision.save(force_insert=True)
    garment = revision.ticket.garment
    ordered = seams.working_order(dict.fromkeys(sorted(alterations, key=lambda a: (a.at, a.pk))))
    spans = walk(ordered, inlays_of(garment), garment.kind)
    TicketLine.objects.bulk_create(
        TicketLine(
            revision=revision,
            position=position,
            alteration=line,
            inlay_before=span.before,
            inlay_after=span.after,
        )
        for position, (line, span) in enumerate(zip(ordered, spans, strict=True), start=1)
    )
    return revision


def freeing(revision: TicketRevision) -> list[Alteration]:
    """The lines that take in a seam which holds an inlay: what became of the cloth is asked."""
    lines = [line.alteration for line in revision.lines.select_related("alteration")]
    return [line for line in lines if seams.operation(line.operation).inlay == seams.FREES]


def _move_inlays(
    revision: TicketRevision, garment: Garment, trimmed: Collection[uuid.UUID], by: User
) -> None:
    now = inlays_of(garment)
    for ticket_line in revision.lines.select_related("alteration"):
        line = ticket_line.alteration
        if line.operation == RECUT:
            normal = normal_of(garment.kind, line.seam, line.side)
            bring_back_inlays(garment=garment, normal=normal, by=by)
            now |= normal
            continue
        (span,) = walk([line], now, garment.kind)
        for side, change in span.changes.items():
            place = (line.seam, side)
            _refuse_below_nothing(garment, line, now[place], change)
            movements = [(change, USED if change.nm < 0 else FREED)]
            if line.pk in trimmed and change.nm > 0:
                movements.append((Length(0) - change, TRIMMED))
            for amount, reason in movements:
                now[place] += amount
                InlayMovement.objects.create(
                    garment=garment,
                    seam=line.seam,
                    side=side,
                    amount=amount,
                    reason=reason,
                    alteration=line,
                    by=by,
                )


def _refuse_below_nothing(garment: Garment, line: Alteration, now: Length, change: Length) -> None:
    if now + change < Length(0):
        seam, unit = seams.seam(garment.kind, line.seam).name, House.get().unit
        raise ValidationError(
            {
                "kind": f"{seam}: {abs(change).text(unit)} is let out, and on record there was only"
                f" {now.text(unit)}. Count what is in it now, then say done."
            }
        )


def _finish(revision: TicketRevision, garment: Garment, by: User) -> None:
    if garment.stage != Stage.ALTERING or outstanding().filter(ticket__garment=garment).exists():
        return
    # A coat that was finished once goes back to being finished, not to its basting.
    made = garment.stage_entries.standing().filter(stage=Stage.FINISHED).exists()
    stage = Stage.FINISHED if made else Stage.BASTED
    _enter(garment, stage, f"Ticket {revision.ticket.number} done", by)


def _enter(garment: Garment, stage: str, reason: str, by: User) -> None:
    enter_stage(entry_id=uuid.uuid4(), garment=garment, stage=stage, reason=reason, by=by)
