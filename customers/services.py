"""The one way in for each write about a customer."""

import datetime
import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers import points
from customers.ledger import already_kept
from customers.lengths import Length
from customers.models import Consent, Customer, Measurement, MeasurementSet
from customers.numbering import create_numbered
from customers.versions import save_unless_changed

Readings = Mapping[tuple[str, str], Length]


@transaction.atomic
def register_customer(*, form_id: uuid.UUID, values: dict[str, Any]) -> Customer:
    """Add a customer with the next number; the same form sent twice gives the first one."""
    kept = Customer.objects.filter(form_id=form_id).first()
    if kept:
        return kept
    return create_numbered(Customer, "C", form_id=form_id, **values)


@transaction.atomic
def update_customer(*, customer: Customer, version: int, values: dict[str, Any]) -> Customer:
    """Change a customer unless someone else did since ``version``: ChangedMeanwhileError."""
    save_unless_changed(customer, version=version, values=values)
    return customer


@transaction.atomic
def record_consent(
    *,
    entry_id: uuid.UUID,
    customer: Customer,
    kind: str,
    given: bool,
    given_on: datetime.date,
    wording: str,
    by: User,
) -> Consent:
    """Enter what the customer agreed to or refused, in which words and on which day."""
    if kept := already_kept(Consent, entry_id, by):
        return kept
    if given_on > timezone.localdate():
        raise ValidationError({"given_on": "That day has not come yet."})
    return Consent.objects.create(
        id=entry_id,
        customer=customer,
        kind=kind,
        given=given,
        given_on=given_on,
        wording=wording,
        by=by,
    )


@transaction.atomic
def save_measurement_set(
    *,
    entry_id: uuid.UUID,
    customer: Customer,
    taken_on: datetime.date,
    taken_by: User,
    unit: str,
    measures: Readings,
    by: User,
    second: Readings | None = None,
    note: str = "",
    corrects: MeasurementSet | None = None,
) -> MeasurementSet:
    """Keep a set of measures as one, or nothing of it.

    ``measures`` and ``second`` (the second reading) are by (point key, side). ``corrects`` is
    struck out by the new set; ValidationError when a garment was cut from it.
    """
    if kept := already_kept(MeasurementSet, entry_id, by):
        return kept
    _refuse_nonsense(customer, taken_on, measures, second or {}, corrects)
    row = MeasurementSet.objects.create(
        id=entry_id,
        customer=customer,
        taken_on=taken_on,
        taken_by=taken_by,
        unit=unit,
        note=note,
        strikes=corrects,
        by=by,
    )
    Measurement.objects.bulk_create(
        Measurement(in_set=row, point=point, side=side, reading=reading, value=value)
        for reading, readings in ((1, measures), (2, second or {}))
        for (point, side), value in readings.items()
    )
    return row


def _refuse_nonsense(
    customer: Customer,
    taken_on: datetime.date,
    measures: Readings,
    second: Readings,
    corrects: MeasurementSet | None,
) -> None:
    if not measures:
        raise ValidationError("Take at least one measure before keeping the set.")
    for point, side in (*measures, *second):
        if point not in points.BY_KEY or side not in points.BY_KEY[point].sides:
            raise ValidationError(f"There is no measure “{point} {side}”.")
    if set(second) - set(measures):
        raise ValidationError("A second reading needs its first.")
    if taken_on > timezone.localdate():
        raise ValidationError({"taken_on": "That day has not come yet."})
    if corrects:
        _refuse_correction(customer, corrects)


def _refuse_correction(customer: Customer, corrects: MeasurementSet) -> None:
    if corrects.customer_id != customer.pk:
        raise ValidationError("That set belongs to another customer.")
    if not corrects.stands:
        raise ValidationError("That set was corrected already: correct the newer one.")
    if is_cut_from(corrects):
        raise ValidationError(
            "A garment was cut from that set, so it stays as it is. Take a new set instead."
        )


def is_cut_from(row: MeasurementSet) -> bool:
    """Whether a garment was cut from the set, which freezes it.

    Garments are a higher app: only the reverse of its relation is used here.
    """
    return row.garments.exists()
