"""The ways in for an inlay that is lost, or comes back with a piece cut again."""

import uuid
from collections.abc import Mapping

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept
from customers.lengths import Length
from garments import seams
from garments.models import Garment, InlayMovement
from garments.queries import inlays_of

SPOILT = (
    InlayMovement.Reason.SNIPPED,
    InlayMovement.Reason.SOILED,
    InlayMovement.Reason.FADED,
    InlayMovement.Reason.TRIMMED,
)
Place = tuple[str, str]


@transaction.atomic
def spoil_inlay(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    seam: str,
    side: str,
    reason: str,
    amount: Length | None = None,
    by: User,
) -> InlayMovement:
    """Enter that an inlay cannot be used: ``amount`` of it, all that is there when None.

    ValidationError keyed by field: a seam without an inlay on that side, no such reason, more than
    is there, or nothing there to lose.
    """
    row = Garment.objects.held(garment.pk)
    if kept := already_kept(InlayMovement, entry_id, by, garment=row):
        return kept
    now = inlays_of(row).get((seam, side))
    wrong = {}
    if reason not in SPOILT:
        wrong["reason"] = "Say whether it is snipped, soiled, faded or trimmed away."
    if now is None:
        wrong["place"] = "This garment has no inlay there."
    elif now <= Length(0):
        wrong["place"] = "Nothing is left in that seam."
    elif amount is not None and not Length(0) < amount <= now:
        wrong["amount"] = "More than nothing, and no more than is in the seam."
    if wrong or now is None:
        raise ValidationError(dict(wrong))
    return InlayMovement.objects.create(
        id=entry_id,
        garment=row,
        seam=seam,
        side=side,
        amount=Length(0) - (now if amount is None else amount),
        reason=reason,
        by=by,
    )


def bring_back_inlays(
    *, garment: Garment, normal: Mapping[Place, Length], by: User
) -> list[InlayMovement]:
    """New cloth in these seams: each holds again what is normally left. The garment is held."""
    now = inlays_of(garment)
    return InlayMovement.objects.bulk_create(
        InlayMovement(
            garment=garment,
            seam=seam,
            side=side,
            amount=left - now.get((seam, side), Length(0)),
            reason=InlayMovement.Reason.RECUT,
            by=by,
        )
        for (seam, side), left in normal.items()
        if left != now.get((seam, side))
    )


def normal_of(kind: str, seam: str, side: str) -> dict[Place, Length]:
    """What is normally left in a seam, on the side named or on all it has."""
    return {
        place: left
        for place, left in seams.normal_inlays(kind).items()
        if place[0] == seam and (side in ("both", "") or place[1] in (side, ""))
    }
