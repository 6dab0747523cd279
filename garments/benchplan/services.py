"""The one way in for the lines of a plan: all are decided, or none."""

import uuid
from collections.abc import Iterator, Mapping, Sequence

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.models import House
from garments import seams
from garments.altering import record_alteration
from garments.benchplan.queries import key_of
from garments.models import Alteration, Garment
from garments.planning import Step
from garments.queries import inlays_of
from garments.workroom.inlay import walk
from garments.workroom.queries import open_alterations


@transaction.atomic
def take_lines(
    *, entry_id: uuid.UUID, garment: Garment, lines: Sequence[Step], why: str = "", by: User
) -> list[Alteration]:
    """Decide the lines of a plan, one alteration each; sent twice they are kept once.

    ValidationError: no line, one that asks more of a seam than its inlay has (by the field
    ``amount-<key>``), or what ``record_alteration`` refuses.
    """
    if not lines:
        raise ValidationError({"lines": "Take at least one line."})
    # The same tap sent twice at one moment: the second waits, and finds them kept.
    garment = Garment.objects.held(garment.pk)
    kept = {
        key_of(line): record_alteration(
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
    }
    if missing := dict(_beyond_the_inlay(garment, kept)):
        raise ValidationError(missing)
    return list(kept.values())


def _beyond_the_inlay(
    garment: Garment, kept: Mapping[str, Alteration]
) -> Iterator[tuple[str, str]]:
    """What is missing for a line, after all that was decided before it, by its field."""
    unit = House.get().unit
    ordered = seams.working_order(open_alterations(garment))
    spans = walk(ordered, inlays_of(garment), garment.kind)
    short = {row.pk: span.short for row, span in zip(ordered, spans, strict=True)}
    for key, row in kept.items():
        if missing := short.get(row.pk):
            words = f"{missing.text(unit)} of inlay is missing: make it less, or count the inlay"
            yield f"amount-{key}", f"{words} again if there is more."
