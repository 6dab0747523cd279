"""Photographs kept with consent, struck out, and deleted for good when somebody asks."""

import uuid
from collections.abc import Iterable
from typing import IO

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from customers.ledger import already_kept, refuse_used, take_back
from fittings.models import Fitting, Photograph, PhotographDeletion
from fittings.session.photographs import Prepared, prepare
from fittings.session.queries import may_photograph
from fittings.session.services.guards import derived, refuse_closed, struck_before
from garments.models import Garment

ABOUT = ("customer", "fitting", "garment")


def record_photograph(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    upload: IO[bytes],
    caption: str = "",
    by: User,
) -> Photograph:
    """Keep a photograph taken now. Sent twice it is kept once.

    ValidationError: no standing consent of the customer, a picture that cannot be kept.
    """
    if kept := already_kept(Photograph, entry_id, by, fitting=fitting, garment=garment):
        return kept
    refuse_closed(fitting, garment)
    if not may_photograph(fitting.customer):
        raise ValidationError({"photograph": "The customer has not agreed to photographs."})
    try:
        prepared = prepare(upload)
    except ValidationError as error:
        raise ValidationError({"photograph": error.messages}) from error
    photograph = Photograph(
        pk=entry_id,
        customer=fitting.customer,
        fitting=fitting,
        garment=garment,
        caption=caption.strip(),
        by=by,
    )
    try:
        return _keep(photograph, prepared)
    except IntegrityError:
        # The same tap came twice at once, and the other was faster.
        if kept := already_kept(Photograph, entry_id, by, fitting=fitting, garment=garment):
            return kept
        raise


def _keep(photograph: Photograph, prepared: Prepared) -> Photograph:
    """Files first, the row after: a row never points at a file that is not there."""
    # A file without a name counts as none: Django would read no size from it.
    photograph.image.save("", ContentFile(prepared.image, "upright.jpg"), save=False)
    photograph.thumbnail.save("", ContentFile(prepared.thumbnail, "small.jpg"), save=False)
    try:
        with transaction.atomic():
            photograph.save(force_insert=True)
    except BaseException:
        photograph.image.delete(save=False)
        photograph.thumbnail.delete(save=False)
        raise
    return photograph


@transaction.atomic
def strike_photograph(*, entry_id: uuid.UUID, photograph: Photograph, by: User) -> Photograph:
    """Take a photograph out of every screen; struck already, the entry that struck it."""
    if struck := struck_before(photograph, photograph.fitting, entry_id=entry_id, by=by):
        return struck
    return take_back(photograph, entry_id=entry_id, by=by, same=ABOUT)


@transaction.atomic
def delete_photographs(
    *, entry_id: uuid.UUID, photographs: Iterable[Photograph], reason: str, by: User
) -> list[PhotographDeletion]:
    """Take photographs off the disk for good, each with its thumbnail; what says so stays.

    That is a ``PhotographDeletion`` for each, and an entry that strikes the photograph unless one
    does already. What was deleted before keeps the entry it has. ValidationError: an ``entry_id``
    used for others, or the disk does not let a file go, and then none is said to be gone.
    """
    rows = sorted(photographs, key=lambda row: row.pk)
    already_kept(PhotographDeletion, entry_id, by, id_field="asked")
    asked = PhotographDeletion.objects.filter(asked=entry_id).values_list("photograph", flat=True)
    refuse_used(same=set(asked) <= {row.pk for row in rows})
    # In one order for all, so that two who ask for the same at once wait and do not lock up.
    sessions = {row.fitting_id for row in rows}
    list(Fitting.objects.select_for_update().filter(pk__in=sessions).order_by("pk"))
    before = PhotographDeletion.objects.filter(photograph__in=[row.pk for row in rows])
    gone = {deletion.photograph_id: deletion for deletion in before}
    for row in rows:
        if row.pk not in gone:
            gone[row.pk] = _deletion(row, entry_id, reason.strip(), by)
    # Last, so that no entry says of a file that it is gone while it is not.
    for row in rows:
        _remove_files(row)
    return [gone[row.pk] for row in rows]


def _deletion(
    photograph: Photograph, entry_id: uuid.UUID, reason: str, by: User
) -> PhotographDeletion:
    if not Photograph.objects.filter(strikes=photograph).exists():
        strike_id = derived(entry_id, f"strike {photograph.pk}")
        take_back(photograph, entry_id=strike_id, by=by, same=ABOUT)
    return PhotographDeletion.objects.create(
        pk=derived(entry_id, f"delete {photograph.pk}"),
        asked=entry_id,
        photograph=photograph,
        reason=reason,
        by=by,
    )


def _remove_files(photograph: Photograph) -> None:
    for file in (photograph.image, photograph.thumbnail):
        if not file.name:
            continue
        try:
            file.storage.delete(file.name)
        except OSError as error:
            raise ValidationError(
                "The disk does not let a photograph go, so none is marked as deleted: try again, "
                "and tell whoever looks after the computer."
            ) from error
