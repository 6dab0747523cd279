"""What became of an alteration, and what is next for the garment."""

import uuid

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from fittings.models import Decision, Fitting, Judgement
from fittings.session.services.guards import derived, hold, refuse_closed
from garments.models import Alteration, Garment, Stage, StageEntry
from garments.services import enter_stage, take_back_stage

Step = Decision.Step

# The stage the next step puts it in. A remake changes stage by its own service, with its reason.
AFTER = {
    Step.ALTER: Stage.ALTERING,
    Step.FINISH: Stage.FINISHING,
    Step.DELIVER: Stage.DELIVERED,
}


@transaction.atomic
def judge_alteration(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    alteration: Alteration,
    verdict: str,
    note: str = "",
    by: User,
) -> Judgement:
    """Say what became of an alteration. Said again in the same session, the last word holds.

    ValidationError: an alteration struck out or of a garment not in the session, no such verdict.
    """
    hold(fitting)
    if kept := already_kept(Judgement, entry_id, by, fitting=fitting, alteration=alteration):
        return kept
    refuse_closed(fitting, alteration.garment)
    wrong = {}
    if verdict not in Judgement.Verdict.values:
        wrong["verdict"] = "Say cured, better, same or worse."
    if not Alteration.objects.standing().filter(pk=alteration.pk).exists():
        wrong["alteration"] = "That alteration was struck out."
    if wrong:
        raise ValidationError(dict(wrong))
    earlier = Judgement.objects.standing().filter(fitting=fitting, alteration=alteration).first()
    if earlier is not None and earlier.verdict == verdict and not note.strip():
        return earlier
    return Judgement.objects.create(
        pk=entry_id,
        fitting=fitting,
        alteration=alteration,
        verdict=verdict,
        note=note.strip(),
        strikes=earlier,
        by=by,
    )


@transaction.atomic
def decide_next_step(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    step: str,
    note: str = "",
    by: User,
) -> Decision:
    """Close the garment's part of the session and move it to the stage its next step means.

    ValidationError: no such step, a garment not in the session, or decided already.
    """
    hold(fitting)
    if kept := already_kept(Decision, entry_id, by, fitting=fitting, garment=garment):
        return kept
    refuse_closed(fitting, garment)
    if step not in Step.values:
        raise ValidationError({"step": "Say what is next."})
    decision = Decision.objects.create(
        pk=entry_id, fitting=fitting, garment=garment, step=step, note=note.strip(), by=by
    )
    stage = AFTER.get(Step(step))
    if stage is not None and garment.stage != stage:
        enter_stage(entry_id=derived(entry_id, "stage"), garment=garment, stage=stage, by=by)
    return decision


@transaction.atomic
def take_back_decision(*, entry_id: uuid.UUID, decision: Decision, by: User) -> Decision:
    """Open the garment's part of the session again, at the stage it had before.

    ValidationError when the workroom has moved the garment on meanwhile.
    """
    hold(decision.fitting)
    if kept := already_kept(Decision, entry_id, by, strikes=decision):
        return kept
    if struck := Decision.objects.filter(strikes=decision).first():
        return struck
    moved = StageEntry.objects.standing().filter(pk=derived(decision.pk, "stage"))
    newest = StageEntry.objects.standing().filter(garment=decision.garment).order_by("at", "pk")
    if moved.exists():
        if newest.last() != moved.get():
            raise ValidationError({"step": "The garment has moved on since: see its page."})
        take_back_stage(entry_id=derived(entry_id, "stage"), garment=decision.garment, by=by)
    return take_back(decision, entry_id=entry_id, by=by, same=("fitting", "garment", "step"))
