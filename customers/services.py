"""The one way in for each write about a customer and the house's own settings."""

import datetime
import logging
import uuid
from collections.abc import Iterable, Mapping
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from customers import points
from customers.ledger import already_kept
from customers.lengths import Length
from customers.models import (
    Changed,
    Consent,
    Customer,
    House,
    Measurement,
    MeasurementSet,
    ReadingConfirmed,
    Unit,
)
from customers.models.customer import PREFIX
from customers.numbering import create_numbered
from customers.people import refuse_erased
from customers.queries import asked_of
from customers.versions import save_unless_changed

Readings = Mapping[tuple[str, str], Length]

OLDEST_ENTRY = datetime.timedelta(days=100 * 366)  # before that the year is mistyped; house rule
FROZEN = "A garment was cut from that set, so it stays as it is. Take a new set instead."

logger = logging.getLogger("ledger.customers")


@transaction.atomic
def register_customer(*, form_id: uuid.UUID, values: dict[str, Any], by: User) -> Customer:
    """Add a customer with the next number; the same form sent twice gives the first one.

    ValidationError keyed by field when a value is none a customer can have.
    """
    rows = Customer.objects.filter(form_id=form_id)
    if kept := rows.first():
        return kept
    Customer(**values).clean_fields()
    try:
        customer = create_numbered(Customer, PREFIX, form_id=form_id, **values)
    except IntegrityError:
        # Where two may write at once, the same form may have come in meanwhile.
        if kept := rows.first():
            return kept
        raise
    keep_change(customer, customer.number, ["registered"], by)
    logger.info("customer %s registered by user %s", customer.number, by.pk)
    return customer


@transaction.atomic
def update_customer(
    *, customer: Customer, version: int, values: dict[str, Any], by: User
) -> Customer:
    """Change a customer unless someone else did since ``version``: ChangedMeanwhileError."""
    refuse_erased(customer)
    Customer(**values).clean_fields(exclude=_fields_besides(Customer, values))
    others = [name for name, value in values.items() if getattr(customer, name) != value]
    save_unless_changed(customer, version=version, values=values)
    keep_change(customer, customer.number, others, by)
    logger.info("customer %s changed by user %s", customer.number, by.pk)
    return customer


@transaction.atomic
def update_house(*, house: House, version: int, values: dict[str, Any], by: User) -> House:
    """Change the house's settings unless someone else did since ``version``."""
    House(**values).clean_fields(exclude=_fields_besides(House, values))
    others = [name for name, value in values.items() if getattr(house, name) != value]
    save_unless_changed(house, version=version, values=values)
    keep_change(None, "the house", others, by)
    logger.info("the house's settings changed by user %s", by.pk)
    return house


def keep_change(customer: Customer | None, about: str, columns: Iterable[str], by: User) -> None:
    """Say who changed which columns of a row that is no entry itself; nothing for no column."""
    named = ", ".join(name.replace("_", " ") for name in columns)
    if named:
        Changed.objects.create(customer=customer, about=about, columns=named[:300], by=by)


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
    # Two sendings of one form wait here for each other, where the database lets two write at once.
    Customer.objects.select_for_update().get(pk=customer.pk)
    if kept := already_kept(Consent, entry_id, by, customer=customer):
        return kept
    refuse_erased(customer)
    _refuse_day("given_on", given_on)
    consent = Consent(
        id=entry_id,
        customer=customer,
        kind=kind,
        given=given,
        given_on=given_on,
        wording=wording.strip(),
        by=by,
    )
    consent.clean_fields(exclude={"customer", "by", "strikes"})
    consent.save(force_insert=True)
    return consent


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
    confirmed: Mapping[tuple[str, str], str] | None = None,
) -> MeasurementSet:
    """Keep a set of measures as one, or nothing of it.

    ``measures`` and ``second`` (the second reading) are by (point key, side). ``corrects`` is
    struck out by the new set; ValidationError when a garment was cut from it. ``confirmed`` are
    the questions that ``by`` answered: the reading is as the tape said.
    """
    if kept := already_kept(MeasurementSet, entry_id, by, customer=customer):
        return kept
    refuse_erased(customer)
    _refuse_nonsense(taken_on, unit, measures, second or {})
    if corrects:
        refuse_correction(customer, corrects)
    row = MeasurementSet(
        id=entry_id,
        customer=customer,
        taken_on=taken_on,
        taken_by=taken_by,
        unit=unit,
        note=note.strip(),
        strikes=corrects,
        by=by,
    )
    try:
        with transaction.atomic():
            _write_whole(row, measures, second or {})
            ReadingConfirmed.objects.bulk_create(
                ReadingConfirmed(in_set=row, point=point, side=side, question=question[:500], by=by)
                for (point, side), question in (confirmed or {}).items()
            )
    except IntegrityError:
        # Kept, cut from or corrected by another since it was looked at: the database said no.
        if kept := already_kept(MeasurementSet, entry_id, by, customer=customer):
            return kept
        if corrects:
            refuse_correction(customer, corrects)
        raise
    return row


@transaction.atomic
def confirm_reading(
    *, entry_id: uuid.UUID, measurement_set: MeasurementSet, point: str, side: str, by: User
) -> ReadingConfirmed:
    """Enter that a reading in doubt is as the tape said; ``by`` answers for it.

    Said already, the answer that stands is returned. ValidationError for a reading nobody asks
    about.
    """
    # Two who answer at once wait here for each other, where the database lets two write at once.
    Customer.objects.select_for_update().get(pk=measurement_set.customer_id)
    # One page asks about several readings: each answer has an id of its own.
    own_id = uuid.uuid5(entry_id, f"{point}:{side}")
    if kept := already_kept(ReadingConfirmed, own_id, by, in_set=measurement_set):
        return kept
    for asked in asked_of(measurement_set):
        if (asked.point, asked.side) == (point, side):
            return asked.confirmed or ReadingConfirmed.objects.create(
                id=own_id,
                in_set=measurement_set,
                point=point,
                side=side,
                question=asked.question[:500],
                by=by,
            )
    raise ValidationError("Nothing is asked about that reading.")


def _write_whole(row: MeasurementSet, measures: Readings, second: Readings) -> None:
    row.save(force_insert=True)
    Measurement.objects.bulk_create(
        Measurement(in_set=row, point=point, side=side, reading=reading, value=value)
        for reading, readings in ((1, measures), (2, second))
        for (point, side), value in readings.items()
    )


def refuse_correction(customer: Customer, corrects: MeasurementSet) -> None:
    """ValidationError when the set is another customer's, corrected already, or cut from."""
    if corrects.customer_id != customer.pk:
        raise ValidationError("That set belongs to another customer.")
    # Asked of the database: the row in hand may be from before the other correction.
    if MeasurementSet.objects.filter(strikes=corrects).exists():
        raise ValidationError("That set was corrected already: correct the newer one.")
    if is_cut_from(corrects):
        raise ValidationError(FROZEN)


def is_cut_from(row: MeasurementSet) -> bool:
    """Whether a garment was cut from the set, which freezes it.

    Garments are a higher app: only the reverse of its relation is used here.
    """
    return row.garments.exists()


def _fields_besides(model: type[Customer | House], values: dict[str, Any]) -> set[str]:
    return {field.name for field in model._meta.fields} - set(values)


def _refuse_day(field: str, day: datetime.date) -> None:
    today = timezone.localdate()
    if day > today:
        raise ValidationError({field: "That day has not come yet."})
    if day < today - OLDEST_ENTRY:
        raise ValidationError({field: "That is more than a hundred years ago: look at the year."})


def _refuse_nonsense(
    taken_on: datetime.date, unit: str, measures: Readings, second: Readings
) -> None:
    if not measures:
        raise ValidationError("Take at least one measure before keeping the set.")
    for point, side in (*measures, *second):
        if point not in points.BY_KEY or side not in points.BY_KEY[point].sides:
            raise ValidationError(f"There is no measure “{point} {side}”.")
    if set(second) - set(measures):
        raise ValidationError("A second reading needs its first.")
    if any(length <= Length() for length in (*measures.values(), *second.values())):
        raise ValidationError("A measure is more than nothing.")
    if unit not in Unit.values:
        raise ValidationError({"unit": "Measure in inches or in centimetres."})
    _refuse_day("taken_on", taken_on)
