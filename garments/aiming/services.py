"""The one way in for a wish about a garment, and for the measures of the garment itself."""

import uuid
from collections.abc import Iterator, Mapping

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from customers.lengths import LONGEST, Length
from garments import cutting
from garments.models import FinishedMeasure, Garment, GarmentWish

MOST_WISHED = Length.inches(12)  # beyond it the amount is mistyped; the house's own limit


@transaction.atomic
def record_wish(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    point: str,
    amount: Length,
    accepted_by: User | None = None,
    note: str = "",
    by: User,
) -> GarmentWish:
    """Enter what the customer wishes otherwise at a point; it strikes an older wish for it.

    ``amount`` below nothing makes the finished measure smaller. Sent twice it is kept once.
    ValidationError keyed by field: a point this garment has not, no amount or an absurd one.
    """
    row = Garment.objects.held(garment.pk)
    if kept := already_kept(GarmentWish, entry_id, by, garment=row):
        return kept
    wrong = {}
    if point not in {each.key for each in cutting.POINTS[row.kind]}:
        wrong["point"] = f"A {row.get_kind_display()} has no such measure."
    if not Length(0) < abs(amount) <= MOST_WISHED:
        wrong["amount"] = "Write by how much: more than nothing, at most 12 in."
    if wrong:
        raise ValidationError(wrong)
    return GarmentWish.objects.create(
        id=entry_id,
        garment=row,
        point=point,
        amount=amount,
        accepted_by=accepted_by,
        note=note.strip(),
        strikes=GarmentWish.objects.standing().filter(garment=row, point=point).first(),
        by=by,
    )


@transaction.atomic
def strike_wish(*, entry_id: uuid.UUID, wish: GarmentWish, by: User) -> GarmentWish:
    """Take a wish back. ValidationError when it does not stand any more."""
    row = Garment.objects.held(wish.garment.pk)
    if kept := already_kept(GarmentWish, entry_id, by, garment=row):
        return kept
    if not GarmentWish.objects.standing().filter(pk=wish.pk).exists():
        raise ValidationError("This wish does not stand any more.")
    return take_back(wish, entry_id=entry_id, by=by, same=("garment", "point", "amount"))


@transaction.atomic
def record_finished_measures(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    where: str,
    values: Mapping[tuple[str, str], Length],
    by: User,
) -> list[FinishedMeasure]:
    """Enter points measured on the garment, by (point, side): all are kept, or none.

    One entry each; sent twice they are kept once. ValidationError keyed by place (``sleeve-L``): a
    point or side this garment has not, nothing, or more than any tape; and when none is given.
    """
    row = Garment.objects.held(garment.pk)
    wrong = dict(_refusals(row, where, values))
    if wrong:
        raise ValidationError(wrong)
    kept = []
    for (point, side), value in values.items():
        own_id = uuid.uuid5(entry_id, f"{point}-{side}")
        before = already_kept(FinishedMeasure, own_id, by, garment=row)
        kept.append(
            before
            or FinishedMeasure.objects.create(
                id=own_id, garment=row, point=point, side=side, value=value, where=where, by=by
            )
        )
    return kept


def _refusals(
    garment: Garment, where: str, values: Mapping[tuple[str, str], Length]
) -> Iterator[tuple[str, str]]:
    places = {(p.key, side) for p in cutting.POINTS[garment.kind] for side in p.sides}
    if where not in FinishedMeasure.Where.values:
        yield "where", "Say whether it lay on the board or was on the customer."
    if not values:
        yield "__all__", "Write at least one measure."
    for (point, side), value in values.items():
        field = f"{point}-{side}".rstrip("-")
        if (point, side) not in places:
            yield field, f"A {garment.get_kind_display()} has no such measure."
        elif not Length(0) < value <= Length.inches(LONGEST["in"]):
            yield field, "A measure of a garment is more than nothing, and at most 120 in."
