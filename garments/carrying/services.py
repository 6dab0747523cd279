"""The one way in for an answer to the pattern's memory."""

import uuid
from collections.abc import Iterable

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from customers.lengths import Length
from garments import memory, seams
from garments.carrying.queries import CarryLine, answers_of, carry_lines, may_be_carried
from garments.models import CarryAnswer, Garment

# What an answer taken back names again.
ABOUT = (
    *("garment", "operation", "seam", "side", "amount", "accepted"),
    *("proposed", "count", "sureness"),
)
NO_REASON = "Say why it is left out."
CUT_ALREADY = "It is cut already: what was carried into its pattern stays."
NOT_PROPOSED = "This is not proposed for the garment any more: open the page again."


@transaction.atomic
def answer_carry(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    operation: str,
    seam: str,
    side: str,
    amount: Length | None = None,
    accepted: bool,
    reason: str = "",
    by: User,
) -> CarryAnswer:
    """Carry a proposed change into the garment's pattern, or leave it out with the reason.

    ``amount``, on each side named, may differ from what is proposed; None is as proposed. A newer
    answer at the same place of the pattern strikes the older. Sent twice it is kept once.
    ValidationError keyed by field: a garment cut already, a change nobody proposes, an amount of
    nothing or beyond 6 in, no reason.
    """
    row = Garment.objects.held(garment.pk)
    if kept := already_kept(CarryAnswer, entry_id, by, garment=row):
        return _same_answer(kept, (operation, seam, side, accepted))
    if not may_be_carried(row):
        raise ValidationError({"garment": CUT_ALREADY})
    line = _proposed(row, operation, seam, side)
    amount = line.proposed if amount is None or not accepted else amount
    wrong = seams.refusals_by_field(row.kind, operation, seam, side, amount)
    if not accepted and not reason.strip():
        wrong["reason"] = NO_REASON
    if wrong:
        raise ValidationError(dict(wrong))
    answer = CarryAnswer(
        id=entry_id,
        garment=row,
        operation=operation,
        seam=seam,
        side=side,
        amount=amount,
        accepted=accepted,
        reason=reason.strip(),
        proposed=line.proposed,
        count=line.count,
        sureness=line.sureness,
        strikes=_struck(row, operation, seam, side, by),
        by=by,
    )
    answer.clean_fields(exclude={"garment", "by", "strikes"})
    answer.save(force_insert=True)
    return answer


def _same_answer(kept: CarryAnswer, said: tuple[str, str, str, bool]) -> CarryAnswer:
    """The answer kept, if it said the same: gone back to, a page must not lose another one."""
    if (kept.operation, kept.seam, kept.side, kept.accepted) != said:
        raise ValidationError({"entry_id": "This page was already answered: open it again."})
    return kept


def _proposed(garment: Garment, operation: str, seam: str, side: str) -> CarryLine:
    for line in carry_lines(garment):
        if (line.operation, line.seam, line.side) == (operation, seam, side):
            return line
    raise ValidationError({"operation": NOT_PROPOSED})


def _struck(garment: Garment, operation: str, seam: str, side: str, by: User) -> CarryAnswer | None:
    """The answer the new one strikes: at the same place. Others that overlap it are taken back."""
    standing = _overlapping(answers_of(garment), operation, seam, side)
    for other in standing[1:]:
        take_back(other, entry_id=uuid.uuid4(), by=by, same=ABOUT)
    return standing[0] if standing else None


def _overlapping(
    answers: Iterable[CarryAnswer], operation: str, seam: str, side: str
) -> list[CarryAnswer]:
    places = {place for place, _ in memory.places_of(operation, seam, side)}
    return [
        row
        for row in answers
        if places & {place for place, _ in memory.places_of(row.operation, row.seam, row.side)}
    ]
