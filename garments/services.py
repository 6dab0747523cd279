"""The one way in for each write about a garment."""

import uuid
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.db.models import Max

from customers.ledger import already_kept
from customers.numbers import next_number
from garments.models import Garment, Stage, StageEntry

FIRST_SERIAL = 1000  # numbers of four figures from the first day
TRIES = 50  # each try lost is a number someone else took: more writers than this never meet

Numbered = TypeVar("Numbered", bound=models.Model)


def create_numbered(model: type[Numbered], prefix: str, **values: Any) -> Numbered:
    """A new row with the next free number. Call it inside a transaction.

    Where two write at once (PostgreSQL) one of them finds the serial taken, and tries the next.
    IntegrityError when something else than the serial is in the way.
    """
    rows = model._default_manager
    for left in reversed(range(TRIES)):
        last = rows.aggregate(last=Max("serial"))["last"] or FIRST_SERIAL
        number, serial = next_number(prefix, last)
        try:
            with transaction.atomic():
                return rows.create(number=number, serial=serial, **values)
        except IntegrityError:
            if not left:
                raise
    raise AssertionError  # the loop returns or raises


@transaction.atomic
def enter_stage(
    *, entry_id: uuid.UUID, garment: Garment, stage: str, reason: str = "", by: User
) -> StageEntry:
    """Enter that a garment reached a stage, and show it on the garment: the two never differ.

    Sent twice it is kept once. ValidationError for a stage that does not exist.
    """
    if kept := already_kept(StageEntry, entry_id, by):
        return kept
    if stage not in Stage.values:
        raise ValidationError({"stage": f"There is no stage called “{stage}”."})
    entry = StageEntry.objects.create(
        id=entry_id, garment=garment, stage=stage, reason=reason, by=by
    )
    garment.stage = entry.stage
    garment.stage_since = entry.at
    garment.save(update_fields=["stage", "stage_since"])
    return entry
