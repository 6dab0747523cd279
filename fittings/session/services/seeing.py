"""What is seen at a zone, and the alteration that answers it."""

import uuid
from collections.abc import Iterable

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept
from customers.lengths import Length
from fittings.housebook.queries import house_catalogue
from fittings.models import Fitting, Observation
from fittings.session import looking
from fittings.session.services.guards import (
    derived,
    hold,
    refuse_closed,
    refuse_other_words,
    strike,
)
from garments.altering import record_alteration
from garments.models import Alteration, Garment

MOST = Length.inches(6)  # a fault further out than this is a slip of the finger; house rule


@transaction.atomic
def record_observation(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    zone: str,
    fault: str,
    side: str,
    amount: Length | None,
    note: str = "",
    by: User,
    strikes: Observation | None = None,
) -> Observation:
    """Keep a zone looked at: clean (no ``fault``), or one fault with its side and amount.

    What the fitter says last holds: the same fault on the same side seen again corrects the
    earlier entry, and a fault corrects a zone called clean before. ValidationError: a zone or fault
    this kind of garment has not, a side that does not fit, an amount at or below nothing, clean
    where a fault still stands, an id that says something else already.
    """
    hold(fitting)
    if kept := already_kept(Observation, entry_id, by, fitting=fitting, garment=garment):
        refuse_other_words(kept, zone=zone, fault=fault, side=side, amount=amount)
        return kept
    refuse_closed(fitting, garment)
    wrong = looking.refusals(garment.kind, zone, fault, side) | _amount_refusal(fault, amount)
    if wrong:
        raise ValidationError(dict(wrong))
    new = Observation(
        pk=entry_id,
        fitting=fitting,
        garment=garment,
        zone=zone,
        fault=fault,
        side=side,
        amount=amount,
        note=note.strip(),
        by=by,
    )
    return _correct(new, strikes)


def _correct(new: Observation, strikes: Observation | None) -> Observation:
    """Save ``new`` in the place of what it corrects; the same said again is not said twice."""
    standing = list(
        Observation.objects.standing().filter(
            fitting=new.fitting, garment=new.garment, zone=new.zone
        )
    )
    if strikes is not None and strikes not in standing:
        raise ValidationError({"seen": "What this corrects does not stand any more."})
    earlier = strikes or _corrected(standing, new.fault, new.side)
    if not new.fault and earlier is None and any(seen.fault for seen in standing):
        raise ValidationError({"seen": "A fault stands here: strike it before calling it clean."})
    if earlier is not None and _says_the_same(earlier, new):
        return earlier
    new.strikes = earlier
    new.save(force_insert=True)
    if earlier is not None and earlier.fault == new.fault:
        new.alterations.set(earlier.alterations.all())
    return new


def _amount_refusal(fault: str, amount: Length | None) -> dict[str, str]:
    if amount is None:
        return {}
    if not fault:
        return {"amount": "A clean zone has no amount."}
    if amount <= Length(0):
        return {"amount": "An amount is more than nothing: leave it out instead."}
    if amount > MOST:
        return {"amount": f"At most {MOST} in: look at the amount again."}
    return {}


def _corrected(standing: Iterable[Observation], fault: str, side: str) -> Observation | None:
    """The standing entry of the zone that the new one takes the place of."""
    for seen in standing:
        if seen.fault == fault and seen.side == side:
            return seen
    if not fault:
        return None
    return next((seen for seen in standing if not seen.fault), None)


def _says_the_same(one: Observation, other: Observation) -> bool:
    names = ("fault", "side", "amount", "note")
    return all(getattr(one, name) == getattr(other, name) for name in names)


@transaction.atomic
def record_rest_clean(
    *, entry_id: uuid.UUID, fitting: Fitting, garment: Garment, by: User
) -> list[Observation]:
    """Keep every zone of the garment not spoken of yet in this session as looked at and clean.

    Each zone's id is derived from the tap's, so the tap sent twice adds nothing.
    """
    refuse_closed(fitting, garment)
    spoken_of = set(
        Observation.objects.standing()
        .filter(fitting=fitting, garment=garment)
        .values_list("zone", flat=True)
    )
    return [
        record_observation(
            entry_id=derived(entry_id, zone.key),
            fitting=fitting,
            garment=garment,
            zone=zone.key,
            fault="",
            side="",
            amount=None,
            by=by,
        )
        for zone in house_catalogue().zones_of(garment.kind)
        if zone.key not in spoken_of
    ]


@transaction.atomic
def strike_observation(*, entry_id: uuid.UUID, observation: Observation, by: User) -> Observation:
    """Take an observation back; struck already, the entry that struck it is returned."""
    return strike(observation, entry_id=entry_id, by=by, same=("zone", "fault", "side"))


def answer_observation(*, observation: Observation, alteration: Alteration) -> None:
    """Say that ``alteration`` answers what was seen. ValidationError: not the same garment."""
    if observation.garment_id != alteration.garment_id:
        raise ValidationError({"observation": "That was seen on another garment."})
    observation.alterations.add(alteration)


@transaction.atomic
def take_alteration(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    operation: str,
    seam: str,
    side: str,
    amount: Length | None,
    observation: Observation | None = None,
    cause: str = "",
    why: str = "",
    by: User,
) -> Alteration:
    """Decide an alteration in the fitting room and tie it to the fault it answers, if to one."""
    hold(fitting)
    if kept := already_kept(Alteration, entry_id, by, garment=garment):
        return kept
    refuse_closed(fitting, garment)
    work = (operation, seam, side, amount)
    if observation is not None and (same := _same_answer(observation, work)):
        return same
    alteration = record_alteration(
        entry_id=entry_id,
        garment=garment,
        operation=operation,
        seam=seam,
        side=side,
        amount=amount,
        cause=cause,
        why=why,
        by=by,
    )
    if observation is not None:
        answer_observation(observation=observation, alteration=alteration)
    return alteration


def _same_answer(
    observation: Observation, work: tuple[str, str, str, Length | None]
) -> Alteration | None:
    """The standing answer that says just this: the key was touched twice."""
    for row in observation.alterations.filter(struck_by__isnull=True, void=False):
        if (row.operation, row.seam, row.side, row.amount) == work:
            return row
    return None
