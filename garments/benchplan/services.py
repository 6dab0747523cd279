"""The one way in for the lines of a plan: all are decided, or none."""

import uuid
from collections.abc import Sequence

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from garments.altering import record_alteration
from garments.benchplan.queries import key_of
from garments.models import Alteration, Garment
from garments.planning import Step


@transaction.atomic
def take_lines(
    *, entry_id: uuid.UUID, garment: Garment, lines: Sequence[Step], why: str = "", by: User
) -> list[Alteration]:
    """Decide the lines of a plan, one alteration each; sent twice they are kept once.

    ValidationError: no line, or what ``record_alteration`` refuses.
    """
    if not lines:
        raise ValidationError({"lines": "Take at least one line."})
    # The same tap sent twice at one moment: the second waits, and finds them kept.
    garment = Garment.objects.held(garment.pk)
    return [
        record_alteration(
            entry_id=uuid.uuid5(entry_id, key_of(line)),
            garment=garment,
            operation=line.operation,
            seam=line.seam,
            side=line.side,
            amount=line.amount,
            why=why,
            by=by,
        )
        for line in lines
    ]
