"""Photographs kept with consent, struck out, and deleted for good when somebody asks."""

import uuid
from collections.abc import Iterable, Sequence
from typing import IO, Any, Final

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

ABOUT: Final = ("customer", "fitting", "garment")


class NoConsentError(ValidationError):
    """The customer has not agreed, or no longer agrees: nobody may keep such a photograph."""


def record_photographs(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    uploads: Sequence[IO[bytes]],
    caption: str = "",
    view: str = Photograph.View.DETAIL,
    by: User,
) -> list[Photograph]:
    """Keep photographs taken now, all or none. Sent twice they are kept once.

    NoConsentError, or ValidationError for a picture that cannot be kept; which one of several is
    said.
    """
    ids = [derived(entry_id, f"photograph {number}") for number in range(len(uploads))]
    ids[0] = entry_id
    if kept := _kept_before(ids, fitting, garment, by):
        return kept
    refuse_closed(fitting, garment)
    if not may_photograph(fitting.customer):
        raise NoConsentError({"photograph": "The customer has not agreed to photographs."})
    prepared = [_prepare(upload, number, len(uploads)) for number, upload in enumerate(uploads, 1)]
    said: dict[str, Any] = {"caption": caption.strip(), "view": view, "by": by}
    said |= {"customer": fitting.customer, "fitting": fitting, "garment": garment}
    try:
        return _keep([Photograph(pk=pk, **said) for pk in ids], prepared)
    except IntegrityError:
        # The same tap came twice at once, and the other was faster.
        if kept := _kept_before(ids, fitting, garment, by):
            return kept
        raise


def record_photograph(*, upload: IO[bytes], **taken: Any) -> Photograph:
    """One photograph; ``taken`` is all else that ``record_photographs`` asks for."""
    return record_photographs(uploads=[upload], **taken)[0]


def _kept_before(
    ids: Sequence[uuid.UUID], fitting: Fitting, garment: Garment, by: User
) -> list[Photograph]:
    if already_kept(Photograph, ids[0], by, fitting=fitting, garment=garment) is None:
        return []
    return list(Photograph.objects.filter(pk__in=ids))


def _prepare(upload: IO[bytes], number: int, of: int) -> Prepared:
    try:
        return prepare(upload)
    except ValidationError as error:
        which = f"Photograph {number} of {of}: " if of > 1 else ""
        raise ValidationError({"photograph": [which + said for said in error.messages]}) from error


def _keep(photographs: list[Photograph], prepared: Sequence[Prepared]) -> list[Photograph]:
    """Files first, the rows after: a row never points at a file that is not there."""
    try:
        for photograph, pictures in zip(photographs, prepared, strict=True):
            # A file without a name counts as none: Django would read no size from it.
            photograph.image.save("", ContentFile(pictures.image, "upright.jpg"), save=False)
            photograph.thumbnail.save("", ContentFile(pictures.thumbnail, "small.jpg"), save=False)
        with transaction.atomic():
            for photograph in photographs:
                photograph.save(force_insert=True)
    except BaseException:
        for photograph in photographs:
            photograph.image.delete(save=False)
            photograph.thumbnail.delete(save=False)
        raise
    return photographs


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
