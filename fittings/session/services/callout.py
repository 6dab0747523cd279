"""What was called out, kept in one go: every entry of a line, and what stayed unread as a note."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept
from customers.lengths import Length
from fittings.models import Fitting, Observation, Remark
from fittings.session.services.guards import derived, hold, refuse_closed, strike
from fittings.session.services.seeing import record_observation, record_rest_clean
from garments.models import Garment


@dataclass(frozen=True)
class Called:
    """One entry of a line, decided: a fault, a zone clean, or with neither all the rest clean."""

    zone: str = ""
    fault: str = ""
    side: str = ""
    amount: Length | None = None


@transaction.atomic
def keep_callout(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    called: Mapping[int, Called],
    note: str = "",
    by: User,
) -> list[Observation]:
    """Keep the entries of a line, all or none, in their order; all the rest clean comes last.

    ``called`` goes by the place of each entry in the line. Each row's id is derived from the tap's,
    so the tap sent twice adds nothing. ValidationError keyed ``chip-<place>`` for what one entry is
    refused for, else by field: ``note``, ``garment``, ``entry_id``.
    """
    hold(fitting)
    refuse_closed(fitting, garment)
    note = note.strip()
    if len(note) > (longest := Remark._meta.get_field("text").max_length or 0):
        raise ValidationError({"note": f"At most {longest} letters: shorten the note."})
    found: list[Observation] = []
    wrong: dict[str, Sequence[str]] = {}
    for place, entry in called.items():
        if not entry.zone:
            continue
        try:
            found.append(_keep(derived(entry_id, str(place)), fitting, garment, entry, by))
        except ValidationError as error:
            wrong[f"chip-{place}"] = error.messages
    if wrong:
        raise ValidationError(dict(wrong))
    if any(not entry.zone for entry in called.values()):
        rest = derived(entry_id, "rest")
        found += record_rest_clean(entry_id=rest, fitting=fitting, garment=garment, by=by)
    if note:
        keep_remark(
            entry_id=derived(entry_id, "note"), fitting=fitting, garment=garment, text=note, by=by
        )
    return found


def _keep(
    entry_id: uuid.UUID, fitting: Fitting, garment: Garment, entry: Called, by: User
) -> Observation:
    return record_observation(
        entry_id=entry_id,
        fitting=fitting,
        garment=garment,
        zone=entry.zone,
        fault=entry.fault,
        side=entry.side,
        amount=entry.amount,
        by=by,
    )


def keep_remark(
    *, entry_id: uuid.UUID, fitting: Fitting, garment: Garment, text: str, by: User
) -> Remark:
    """Keep what was said as it was said."""
    if kept := already_kept(Remark, entry_id, by, fitting=fitting, garment=garment):
        return kept
    return Remark.objects.create(pk=entry_id, fitting=fitting, garment=garment, text=text, by=by)


@transaction.atomic
def strike_remark(*, entry_id: uuid.UUID, remark: Remark, by: User) -> Remark:
    """Take a note back; struck already, the entry that struck it is returned."""
    return strike(remark, entry_id=entry_id, by=by, same=("text",))
