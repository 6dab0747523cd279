"""The one way in for a line passed over before the shears."""

import uuid

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from customers.models import MeasurementSet
from customers.queries import unit_of
from garments.models import Garment, PassedLine, Stage
from garments.shears.queries import BeforeCut, before_cut, passed_lines

NOT_OPEN = "This is not open any more: look at the page again."
NO_REASON = "Say why it is taken on."


@transaction.atomic
def pass_line(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    measurement_set: MeasurementSet,
    line: str,
    told: str,
    reason: str,
    by: User,
) -> PassedLine:
    """Take a line on by name, for the words it ``told``; a newer entry strikes an older.

    Sent twice it is kept once. ValidationError keyed by field: a line that is clean, says
    something else by now, or may not be passed over; no reason; another customer's measures.
    """
    row = locked(garment)
    if kept := already_kept(PassedLine, entry_id, by, garment=row):
        return kept
    if measurement_set.customer_id != row.customer_id:
        raise ValidationError({"measurement_set": "Those are another customer's measures."})
    now = before_cut(row, measurement_set, unit_of(row.customer)).find(line)
    if now is None or now.clean or now.words != told:
        raise ValidationError({"line": NOT_OPEN})
    if not now.may_pass:
        raise ValidationError({"line": f"{now.title}: this must be put right, not passed over."})
    if not reason.strip():
        raise ValidationError({"reason": NO_REASON})
    older = [each for each in passed_lines(row, measurement_set) if each.line == line]
    entry = PassedLine(
        id=entry_id,
        garment=row,
        measurement_set=measurement_set,
        line=line,
        told=told,
        reason=reason.strip(),
        strikes=older[-1] if older else None,
        by=by,
    )
    entry.clean_fields(exclude={"garment", "measurement_set", "by", "strikes"})
    entry.save(force_insert=True)
    return entry


@transaction.atomic
def strike_pass(*, entry_id: uuid.UUID, passed: PassedLine, by: User) -> PassedLine:
    """Take back that a line was taken on. ValidationError when it stands no more, or it is cut."""
    row = locked(passed.garment)
    if kept := already_kept(PassedLine, entry_id, by, garment=row):
        return kept
    if row.stage != Stage.ORDERED or not PassedLine.objects.standing().filter(pk=passed.pk):
        raise ValidationError("It is cut, or this was taken back already.")
    about = ("garment", "measurement_set", "line", "told", "reason")
    return take_back(passed, entry_id=entry_id, by=by, same=about)


def refuse_unclean(garment: Garment, measurement_set: MeasurementSet) -> None:
    """ValidationError that names every line still open before the shears."""
    page: BeforeCut = before_cut(garment, measurement_set, unit_of(garment.customer))
    if page.open:
        raise ValidationError([f"{line.title}: {line.words}" for line in page.open])


def locked(garment: Garment) -> Garment:
    """The garment as it is now, held until the transaction ends, with what its lines need."""
    Garment.objects.held(garment.pk)
    return Garment.objects.select_related("customer", "cut_version__cut").get(pk=garment.pk)
