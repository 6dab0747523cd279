"""The ledger: entries are added, never overwritten, and struck out by a later entry.

``LedgerEntry`` is the base of every row of the record. The tables made from it refuse UPDATE and
DELETE by trigger (``customers.triggers``): the database keeps the promise, not good manners.
"""

import uuid
from collections.abc import Iterable
from typing import Self, TypeVar

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

Entry = TypeVar("Entry", bound=models.Model)


class LedgerQuerySet(models.QuerySet[Entry]):
    """Questions every kind of entry answers."""

    def standing(self) -> Self:
        """Entries that hold: not struck by a later one, and saying something themselves."""
        return self.filter(struck_by__isnull=True, void=False)


class LedgerEntry(models.Model):
    """One thing seen, measured, decided or done: by whom and when.

    ``id`` is made by the client when the finger touches, so that the same tap sent twice is kept
    once. ``strikes`` names the entry this one corrects. A ``void`` entry only strikes: it takes
    the old one back and puts nothing in its place.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    at = models.DateTimeField(default=timezone.now, db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    strikes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="struck_by"
    )
    void = models.BooleanField(default=False)

    objects = LedgerQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["at", "id"]

    @property
    def stands(self) -> bool:
        """Whether the entry holds. Costs a query unless ``struck_by`` was selected."""
        return not self.void and not hasattr(self, "struck_by")


Said = TypeVar("Said", bound=LedgerEntry)


def already_kept(
    model: type[Entry],
    entry_id: uuid.UUID,
    by: User,
    *,
    id_field: str = "id",
    **about: models.Model | None,
) -> Entry | None:
    """The row this very tap made before, None if it is new.

    ValidationError when the id is another person's, or its row is not ``about`` the same (by the
    names of foreign keys): an id is never shared, and what was typed is never taken for kept.
    """
    kept = model._default_manager.filter(**{id_field: entry_id}).first()
    if kept is None:
        return None
    if getattr(kept, "by_id", by.pk) != by.pk:
        raise ValidationError(
            {"entry_id": "This page was already used by someone else: open it again."}
        )
    refuse_used(
        same=all(getattr(kept, f"{name}_id") == (row and row.pk) for name, row in about.items())
    )
    return kept


def refuse_used(*, same: bool) -> None:
    """ValidationError unless what an id came with is the ``same`` as its row keeps."""
    if not same:
        raise ValidationError(
            {"entry_id": "This page was already used for something else: open it again."}
        )


def take_back(row: Said, *, entry_id: uuid.UUID, by: User, same: Iterable[str]) -> Said:
    """A void entry that strikes ``row`` and holds what that was about, the columns ``same``.

    IntegrityError when another struck it meanwhile: callers hold what the entry is about.
    """
    again = {name: getattr(row, name) for name in same}
    entry = type(row)(pk=entry_id, strikes=row, void=True, by=by, **again)
    entry.save(force_insert=True)
    return entry
