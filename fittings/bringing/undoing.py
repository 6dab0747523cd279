"""An import is taken back whole, as long as nothing was built on it.

Struck out, five thousand people of a wrong file would lie in the house's record for ever, found by
nobody and erased by nobody. So an import taken back is gone: its customers, sets, orders and their
entries. What stays is what the ledger must be able to say: that this list was brought in, by whom,
when, what each row became and under which number, and the entry that took it back. The database
lets these very rows go because of that entry, and no others (`way_back`).

Whatever was entered since keeps the import: a booking, a later set, a stage, a changed name. It
would be lost with it, and the foreign keys would not let it.
"""

import logging
import uuid
from collections.abc import Iterator
from typing import Any, Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from customers.ledger import already_kept, take_back
from customers.models import Customer, Measurement, MeasurementSet
from fittings.bringing.writing import AFTER
from fittings.models import Brought, GarmentCount, Import
from garments.models import Garment, InlayMovement, StageEntry

SAME: Final = ("name", "digest", "counts")
MEANWHILE: Final = "Something was entered for it just now. Look again at what stands in the way."

logger = logging.getLogger("ledger.bringing")


def take_back_import(*, entry_id: uuid.UUID, entry: Import, by: User) -> Import:
    """Take out everything an import wrote; the void entry that says so.

    ValidationError, a sentence for each thing in the way, when something was built on it, or when
    it was taken back before.
    """
    try:
        return _take_back(entry_id, entry, by)
    except IntegrityError as error:
        # The foreign keys found what was entered between the asking and the taking.
        raise ValidationError(MEANWHILE) from error


@transaction.atomic
def _take_back(entry_id: uuid.UUID, entry: Import, by: User) -> Import:
    row = Import.objects.select_for_update().get(pk=entry.pk)
    if kept := already_kept(Import, entry_id, by, strikes=row):
        return kept
    if row.void or Import.objects.filter(strikes=row).exists():
        raise ValidationError("It was taken back already.")
    if found := in_the_way(row):
        raise ValidationError(found)
    said = take_back(row, entry_id=entry_id, by=by, same=SAME)
    garments, sets, customers = (
        _of(row, what) for what in ("garment", "measurement_set", "customer")
    )
    for rows in (
        # What the review counted of them: no part of the record, and made anew from it alone.
        GarmentCount.objects.filter(garment_id__in=garments),
        InlayMovement.objects.filter(garment__in=garments),
        StageEntry.objects.filter(garment__in=garments),
        Garment.objects.filter(pk__in=garments),
        Measurement.objects.filter(in_set__in=sets),
        MeasurementSet.objects.filter(pk__in=sets),
        Customer.objects.filter(pk__in=customers),
    ):
        # Straight to the table: what refers to the rows is refused by the database, never followed.
        rows._raw_delete(rows.db)  # noqa: SLF001
    logger.info("import %s taken back by user %s", row.pk, by.pk)
    return said


def in_the_way(entry: Import) -> list[str]:
    """What was built on an import, a sentence each; empty when it can be taken back.

    Every table with a foreign key to what was brought is asked, those of rooms yet to come too.
    """
    return [
        sentence
        for what, model, owner in (
            ("customer", Customer, ""),
            ("measurement_set", MeasurementSet, "customer__"),
            ("garment", Garment, ""),
        )
        if entry.brought.filter(**{f"{what}__isnull": False}).exists()
        for sentence in _built_on(entry, what, model, owner)
    ]


def _built_on(entry: Import, what: str, model: type[models.Model], owner: str) -> Iterator[str]:
    things = _of(entry, what)
    if hasattr(model, "version"):
        changed = model._default_manager.filter(pk__in=things, version__gt=1)
        yield from _told(changed, "number", f"{model._meta.verbose_name} changed since")
    for relation in model._meta.get_fields(include_hidden=True):
        if not isinstance(relation, models.ManyToOneRel):
            continue
        later, field = relation.related_model, relation.field.name
        rows = _not_brought(entry, later._default_manager.filter(**{f"{field}__in": things}))
        yield from _told(rows, f"{field}__{owner}number", str(later._meta.verbose_name))


def _not_brought(entry: Import, rows: models.QuerySet[Any]) -> models.QuerySet[Any]:
    """Of rows that refer to what was brought, those that the import did not write itself."""
    if rows.model is Measurement:
        return rows.none()  # written with its set, and never after
    if rows.model in {StageEntry, InlayMovement}:
        return rows.exclude(at__in=(entry.at, entry.at + AFTER))
    own = {MeasurementSet: "measurement_set", Garment: "garment"}.get(rows.model)
    return rows.exclude(pk__in=_of(entry, own)) if own else rows


def _told(rows: models.QuerySet[Any], number: str, what: str) -> Iterator[str]:
    count = rows.count()
    if count:
        whose = sorted(set(rows.values_list(number, flat=True)[:50]))
        more = " and others" if len(whose) > 3 else ""  # noqa: PLR2004 - enough to go and look
        yield f"{count} × {what}: {', '.join(whose[:3])}{more}."


def _of(entry: Import, what: str) -> Any:
    """A subquery of the keys of one kind of thing that the import wrote."""
    return Brought.objects.filter(import_entry=entry, **{f"{what}__isnull": False}).values(what)
