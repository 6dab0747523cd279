"""What the fitter takes to be behind the faults of a garment, with what was proposed to him."""

import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept
from fittings import catalogue
from fittings.catalogue import Catalogue
from fittings.models import CauseTaken, Fitting
from fittings.session.services.guards import hold, refuse_closed
from garments.models import Garment


@transaction.atomic
def take_cause(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    cause: str,
    words: str,
    by: User,
    strikes: CauseTaken | None = None,
    proposed: Mapping[str, Any] | None = None,
    book: Catalogue | None = None,
    version: str = "",
) -> CauseTaken:
    """Keep the cause the fitter decided for, by its key in the ``book`` or in his own words.

    The same cause said again is not kept twice; another stands beside it unless it ``strikes`` the
    first. ValidationError: neither a cause nor words, or both, a cause this kind of garment cannot
    have, an earlier one that does not stand any more.
    """
    hold(fitting)
    words = words.strip()
    if kept := already_kept(CauseTaken, entry_id, by, fitting=fitting, garment=garment):
        if (kept.cause, kept.words) != (cause, words):
            raise ValidationError({"entry_id": "This page was used already: load it again."})
        return kept
    refuse_closed(fitting, garment)
    if wrong := _refusals(book or catalogue.load(), garment.kind, cause, words):
        raise ValidationError(wrong)
    standing = list(CauseTaken.objects.standing().filter(fitting=fitting, garment=garment))
    if strikes is not None and strikes not in standing:
        raise ValidationError({"cause": "What this corrects does not stand any more."})
    same = next((row for row in standing if (row.cause, row.words) == (cause, words)), None)
    if same is not None and strikes not in (None, same):
        raise ValidationError({"cause": "That one stands already: take the other back."})
    if same is not None:
        return same
    return CauseTaken.objects.create(
        pk=entry_id,
        fitting=fitting,
        garment=garment,
        cause=cause,
        words=words,
        proposed=dict(proposed or {}),
        catalogue=version,
        strikes=strikes,
        by=by,
    )


def _refusals(book: Catalogue, kind: str, cause: str, words: str) -> dict[str, str]:
    if not cause and not words:
        return {"cause": "Say which cause, or write it in your words."}
    if cause and words:
        return {"cause": "Either a cause of the list or your own words, not both."}
    row = book.cause_by_key.get(cause)
    if cause and (row is None or catalogue.read_as(kind) not in row.kinds):
        return {"cause": f"That is not a cause a {kind} can have."}
    return {}


@transaction.atomic
def strike_cause(*, entry_id: uuid.UUID, taken: CauseTaken, by: User) -> CauseTaken:
    """Take a cause back; struck already, the entry that struck it is returned."""
    hold(taken.fitting)
    if kept := already_kept(CauseTaken, entry_id, by, strikes=taken):
        return kept
    if struck := CauseTaken.objects.filter(strikes=taken).first():
        return struck
    refuse_closed(taken.fitting, taken.garment)
    return CauseTaken.objects.create(
        pk=entry_id,
        fitting=taken.fitting,
        garment=taken.garment,
        cause=taken.cause,
        words=taken.words,
        catalogue=taken.catalogue,
        strikes=taken,
        void=True,
        by=by,
    )
