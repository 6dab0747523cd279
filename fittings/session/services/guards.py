"""What every write of a session stands on."""

import uuid
from collections.abc import Iterable
from typing import TypeVar, cast

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models

from customers.ledger import Said, already_kept, take_back
from fittings.models import CauseTaken, Decision, Fitting, Observation, Remark, SpotAnswer
from garments.models import Garment

Seen = TypeVar("Seen", Observation, CauseTaken, SpotAnswer, Remark)


def hold(fitting: Fitting) -> None:
    """Let the writers of one session take turns, where the database lets two write at once."""
    Fitting.objects.select_for_update().values_list("pk", flat=True).get(pk=fitting.pk)


def is_decided(fitting: Fitting, garment: Garment) -> bool:
    """Whether the garment's next step is decided: its part of the session is then closed."""
    return Decision.objects.standing().filter(fitting=fitting, garment=garment).exists()


def refuse_closed(fitting: Fitting, garment: Garment) -> None:
    """ValidationError unless the garment is in the session and its next step is undecided."""
    if not fitting.garments.filter(pk=garment.pk).exists():
        raise ValidationError({"garment": "That garment is not in this session."})
    if is_decided(fitting, garment):
        raise ValidationError(
            {"garment": "The next step is decided already: take it back to go on."}
        )


def struck_before(row: Said, fitting: Fitting, *, entry_id: uuid.UUID, by: User) -> Said | None:
    """Hold the session; the entry that struck ``row`` already, this very one or another's."""
    hold(fitting)
    if kept := already_kept(type(row), entry_id, by, strikes=row):
        return kept
    return cast("Said | None", type(row)._default_manager.filter(strikes=row).first())


def strike(row: Seen, *, entry_id: uuid.UUID, by: User, same: Iterable[str]) -> Seen:
    """Take back what was entered in a session; struck already, the entry that struck it.

    ``same`` are the columns the striking entry names again besides session and garment.
    """
    if struck := struck_before(row, row.fitting, entry_id=entry_id, by=by):
        return struck
    refuse_closed(row.fitting, row.garment)
    return take_back(row, entry_id=entry_id, by=by, same=("fitting", "garment", *same))


def refuse_other_words(kept: models.Model, **said: object) -> None:
    """ValidationError when the entry kept under an id says something else than is said now."""
    # A page gone back to and sent again with another fault must not pass for kept.
    if any(getattr(kept, name) != value for name, value in said.items()):
        raise ValidationError({"entry_id": "This page was used already: load it again."})


def derived(entry_id: uuid.UUID, part: str) -> uuid.UUID:
    """An id for a row one tap makes besides its own: the same tap always makes the same."""
    return uuid.uuid5(entry_id, part)
