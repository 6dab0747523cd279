"""The one way in for an alteration: decided, or struck out again."""

import uuid

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from customers.lengths import Length
from garments import seams
from garments.models import Alteration, Answer, Garment
from garments.workroom.queries import newest_revisions


@transaction.atomic
def record_alteration(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    operation: str,
    seam: str,
    side: str,
    amount: Length | None,
    cause: str = "",
    why: str = "",
    by: User,
) -> Alteration:
    """Keep an alteration of ``amount`` on each side named; the operation says the direction.

    Sent twice it is kept once. ValidationError keyed by field: an operation or seam this kind of
    garment does not have, a side that does not fit, an amount missing, zero or beyond 6 in, a
    garment that has left the house.
    """
    if kept := already_kept(Alteration, entry_id, by, garment=garment):
        return kept
    wrong = seams.refusals_by_field(garment.kind, operation, seam, side, amount)
    if garment.delivered:
        wrong["garment"] = f"{garment.number} is {garment.get_stage_display()}: take it back first."
    if wrong:
        raise ValidationError(dict(wrong))
    alteration = Alteration(
        id=entry_id,
        garment=garment,
        operation=operation,
        seam=seam,
        side=side,
        amount=amount,
        cause=cause,
        why=why.strip(),
        by=by,
    )
    alteration.clean_fields(exclude={"garment", "by", "strikes"})
    alteration.save(force_insert=True)
    return alteration


@transaction.atomic
def strike_alteration(*, entry_id: uuid.UUID, alteration: Alteration, by: User) -> Alteration:
    """Take an alteration back: a void entry that says who and when. The old one stays readable.

    ValidationError when it is struck already, done, or on a ticket the bench is working by.
    """
    # A ticket being issued for it waits here, and is told; or this waits for the ticket.
    Garment.objects.held(alteration.garment_id)
    if kept := already_kept(Alteration, entry_id, by, strikes=alteration):
        return kept
    _refuse_strike(alteration)
    about = ("garment", "operation", "seam", "side", "amount", "cause")
    return take_back(alteration, entry_id=entry_id, by=by, same=about)


def _refuse_strike(alteration: Alteration) -> None:
    if not Alteration.objects.standing().filter(pk=alteration.pk).exists():
        raise ValidationError({"alteration": "This alteration is already struck out."})
    on_ticket = newest_revisions().filter(lines__alteration=alteration)
    holding = on_ticket.select_related("ticket").first()
    if holding is None:
        return
    number = holding.ticket.number
    answer = holding.answers.standing().order_by("-at").first()
    kind = answer.kind if answer else ""
    if kind == Answer.Kind.DONE:
        raise ValidationError({"alteration": f"It is done (ticket {number}): judge it instead."})
    if kind not in {Answer.Kind.CANNOT, Answer.Kind.ASKS}:
        raise ValidationError(
            {"alteration": f"The workroom has it on ticket {number}: change the ticket first."}
        )
