"""What every write of a session stands on."""

import uuid

from django.core.exceptions import ValidationError

from fittings.models import Decision, Fitting
from garments.models import Garment


def hold(fitting: Fitting) -> None:
    """Let the writers of one session take turns, where the database lets two write at once."""
    Fitting.objects.select_for_update().values_list("pk", flat=True).get(pk=fitting.pk)


def refuse_closed(fitting: Fitting, garment: Garment) -> None:
    """ValidationError unless the garment is in the session and its next step is undecided."""
    if not fitting.garments.filter(pk=garment.pk).exists():
        raise ValidationError({"garment": "That garment is not in this session."})
    decided = Decision.objects.standing().filter(fitting=fitting, garment=garment)
    if decided.exists():
        raise ValidationError(
            {"garment": "The next step is decided already: take it back to go on."}
        )


def derived(entry_id: uuid.UUID, part: str) -> uuid.UUID:
    """An id for a row one tap makes besides its own: the same tap always makes the same."""
    return uuid.uuid5(entry_id, part)
