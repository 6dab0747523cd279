"""A list is written: every row of it, or nothing, in one transaction.

The rows are those the services of one customer, set or garment make (`register_customer`,
`save_measurement_set`, `order_garment`), with the same columns and ledger entries, made in bulk:
five thousand calls would hold everyone else's writing for a minute. The same fields refused the
same things when the rows were checked.
"""

import datetime
import logging
import uuid
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from typing import Any, Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models, transaction

from customers.models import Customer, Measurement, MeasurementSet
from customers.models.customer import PREFIX
from customers.numbering import create_many_numbered
from fittings.bringing import kept, progress
from fittings.bringing.checking import ledger_people
from fittings.bringing.standing import Fates, fates_of
from fittings.lists import Index, Plan
from fittings.lists.people import place
from fittings.models import Brought, Import, Upload, UploadRow
from garments import seams
from garments.models import Garment, InlayMovement, Stage, StageEntry

BATCH: Final = 500
# The stage an order stands at is entered after the order itself, so that the history reads right.
AFTER: Final = datetime.timedelta(milliseconds=1)
AS_BROUGHT: Final = "As it stood when the list was brought in"
Tell = Callable[[int], None]
TellOf = Callable[[uuid.UUID, int, int], None]

logger = logging.getLogger("ledger.bringing")


@dataclass
class _Work:
    """The rows that go in, with whom they are for, as the writing goes along."""

    upload: Upload
    by: User
    at: datetime.datetime
    plans: list[tuple[UploadRow, Plan]]
    fates: Fates
    customers: dict[int, int]  # key of the ledger by the row that made the customer
    brought: list[Brought]
    entry: Import

    def customer_of(self, row: int) -> int:
        fate = self.fates.by_row[row]
        return self.customers[fate.leader] if fate.leader is not None else fate.customer or 0

    def bring(self, row: int, **what: Any) -> None:
        self.brought.append(Brought(import_entry=self.entry, row=row, **what))


def write_list(*, upload: Upload, seen: int, by: User, tell: TellOf = progress.tell) -> Import:
    """Write the whole list; the upload is gone with it. Written before, that import is returned.

    ``seen`` is the version of the upload that was looked at. ValidationError when it changed since,
    when a row still waits, when nothing goes in, or when someone like a new customer was registered
    meanwhile. ``tell`` hears all the while how far it is: of which list, how much, of how much.
    """
    try:
        return _write(upload, seen, by, tell)
    finally:
        progress.forget(upload.pk)


@transaction.atomic
def _write(upload: Upload, seen: int, by: User, tell: TellOf) -> Import:
    row = Upload.objects.select_for_update().filter(pk=upload.pk).first()
    if row is None:
        return Import.objects.get(pk=upload.pk)
    fates = fates_of(row)
    _refuse_unready(row, seen, fates)
    plans = [
        (each, kept.plan_again(each.row, each.plan))
        for each in row.rows_read.order_by("row")
        if fates.by_row[each.row].goes_in
    ]
    _refuse_strangers(plans, fates)
    entry = Import(id=row.pk, name=row.name, digest=row.digest, counts=dict(fates.counts), by=by)
    work = _Work(row, by, entry.at, plans, fates, {}, [], entry)
    entry.save(force_insert=True)
    steps = (_write_customers, _write_sets, _write_garments, _write_brought)
    for done, step in enumerate(steps):
        step(work, partial(_tell_part, tell, row.pk, done, len(steps)))
    row.delete()
    logger.info("list %s brought in by user %s: %s", entry.pk, by.pk, entry.counts)
    return entry


def _tell_part(tell: TellOf, upload: uuid.UUID, done: int, of: int, part: int) -> None:
    """Tells hundredths of the whole, each step being an equal part of it."""
    tell(upload, done * 100 + part, of * 100)


def _refuse_unready(upload: Upload, seen: int, fates: Fates) -> None:
    if upload.version != seen:
        raise ValidationError("It was changed since you looked: look at it again.")
    if upload.checked < upload.rows or not upload.mapped:
        raise ValidationError("Not every row is checked yet.")
    if fates.waiting:
        raise ValidationError(
            f"{fates.waiting} rows still wait: put right or leave out what is wrong, and choose"
            " who those perhaps known are."
        )
    if not fates.going_in:
        raise ValidationError("Every row is left out: nothing would be brought in.")


def _refuse_strangers(plans: Sequence[tuple[UploadRow, Plan]], fates: Fates) -> None:
    """ValidationError when the ledger has come to know someone like a new customer since."""
    ledger = Index(ledger_people())
    for row, plan in plans:
        if fates.by_row[row.row].leader != row.row:
            continue
        shown = {proposal["known"]["pk"] for proposal in row.proposals}
        for proposal in place(plan, ledger, Index()).perhaps:
            if proposal.known.pk not in shown:
                raise ValidationError(
                    f"{proposal.known.shown} ({proposal.known.number}) is in the ledger since the"
                    f" list was checked, and may be row {row.row}: check the list again."
                )


def _write_customers(work: _Work, tell: Tell) -> None:
    made = {}
    for row, plan in work.plans:
        if work.fates.by_row[row.row].leader == row.row:
            customer = Customer(form_id=_own_id(work, "customer", row), **asdict(plan.person))
            customer.notes = plan.notes
            customer.fold_for_finding()
            made[row.row] = customer
    tell(10)
    create_many_numbered(Customer, PREFIX, list(made.values()), batch=BATCH)
    for row_number, customer in made.items():
        work.customers[row_number] = customer.pk
        work.bring(row_number, customer=customer.pk, number=customer.number)
    tell(100)


def _write_sets(work: _Work, tell: Tell) -> None:
    sets, measures = [], []
    for row, plan in work.plans:
        if (taken := plan.taken) is None:
            continue
        made = MeasurementSet(
            id=_own_id(work, "set", row),
            customer_id=work.customer_of(row.row),
            taken_on=taken.taken_on,
            taken_by_id=taken.taken_by or work.by.pk,
            unit=taken.unit,
            note=taken.note,
            by=work.by,
            at=work.at,
        )
        sets.append(made)
        measures += [
            Measurement(in_set=made, point=point, side=side, value=length)
            for (point, side), length in taken.measures.items()
        ]
        work.bring(row.row, measurement_set=made.pk)
    _in_batches(MeasurementSet, sets, lambda part: tell(part // 4))
    _in_batches(Measurement, measures, lambda part: tell(25 + part * 3 // 4))


def _write_garments(work: _Work, tell: Tell) -> None:
    made = {}
    for row, plan in work.plans:
        if (order := plan.order) is None:
            continue
        stage = Stage(order.stage)
        made[row.row] = Garment(
            form_id=_own_id(work, "garment", row),
            customer_id=work.customer_of(row.row),
            kind=order.kind,
            cut_version_id=order.cut,
            cloth=order.cloth,
            cloth_pattern=order.cloth_pattern,
            cutter_id=order.cutter,
            ordered_on=order.ordered_on,
            promised_on=order.promised_on,
            notes=order.notes,
            stage=stage,
            stage_since=work.at if stage == Stage.ORDERED else work.at + AFTER,
        )
    create_many_numbered(Garment, "G", list(made.values()), batch=BATCH)
    for row_number, garment in made.items():
        work.bring(row_number, garment=garment.pk, number=garment.number)
    _in_batches(StageEntry, list(_stages(work, made.values())), lambda part: tell(part // 4))
    inlays = [
        InlayMovement(
            garment=garment,
            seam=seam,
            side=side,
            amount=left,
            reason=InlayMovement.Reason.LEFT,
            by=work.by,
            at=work.at,
        )
        for garment in made.values()
        for (seam, side), left in seams.normal_inlays(garment.kind).items()
    ]
    _in_batches(InlayMovement, inlays, lambda part: tell(25 + part * 3 // 4))


def _stages(work: _Work, garments: Any) -> Iterator[StageEntry]:
    for garment in garments:
        yield StageEntry(garment=garment, stage=Stage.ORDERED, by=work.by, at=work.at)
        if garment.stage != Stage.ORDERED:
            yield StageEntry(
                garment=garment,
                stage=garment.stage,
                reason=AS_BROUGHT,
                by=work.by,
                at=work.at + AFTER,
            )


def _write_brought(work: _Work, tell: Tell) -> None:
    _in_batches(Brought, work.brought, tell)


def _in_batches(model: type[models.Model], rows: Sequence[Any], tell: Tell) -> None:
    for start in range(0, len(rows), BATCH):
        model._default_manager.bulk_create(rows[start : start + BATCH])
        tell(min(100, (start + BATCH) * 100 // len(rows)))
    tell(100)


def _own_id(work: _Work, what: str, row: UploadRow) -> uuid.UUID:
    """The same row of the same upload always makes the same thing."""
    return uuid.uuid5(work.upload.pk, f"{what}:{row.row}")
