"""What the fitter takes to be behind the faults, with what was proposed; what tests answered."""

import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept
from fittings.catalogue import Catalogue, read_as
from fittings.housebook.queries import house_catalogue
from fittings.models import CauseTaken, Fitting, SpotAnswer
from fittings.session.services.guards import hold, refuse_closed, refuse_other_words, strike
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
        refuse_other_words(kept, cause=cause, words=words)
        return kept
    refuse_closed(fitting, garment)
    if wrong := _refusals(book or house_catalogue(), garment.kind, cause, words):
        raise ValidationError(wrong)
    standing = list(CauseTaken.objects.standing().filter(fitting=fitting, garment=garment))
    if strikes is not None and strikes not in standing:
        raise ValidationError({"cause": "What this corrects does not stand any more."})
    same = next((row for row in standing if (row.cause, row.words) == (cause, words)), None)
    if same is not None:
        if strikes not in (None, same):
            raise ValidationError({"cause": "That one stands already: take the other back."})
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
    if cause and (row is None or read_as(kind) not in row.kinds):
        return {"cause": f"That is not a cause a {kind} can have."}
    return {}


@transaction.atomic
def strike_cause(*, entry_id: uuid.UUID, taken: CauseTaken, by: User) -> CauseTaken:
    """Take a cause back; struck already, the entry that struck it is returned."""
    return strike(taken, entry_id=entry_id, by=by, same=("cause", "words", "catalogue"))


@transaction.atomic
def answer_spot_test(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    test: str,
    yes: bool,
    by: User,
    book: Catalogue | None = None,
) -> SpotAnswer:
    """Keep what a test on the spot answered; said again in the same session, the last word holds.

    ValidationError: a test that is not done on this kind of garment.
    """
    hold(fitting)
    if kept := already_kept(SpotAnswer, entry_id, by, fitting=fitting, garment=garment):
        refuse_other_words(kept, test=test, yes=yes)
        return kept
    refuse_closed(fitting, garment)
    kind, tests = read_as(garment.kind), (book or house_catalogue()).tests
    if not any(row.key == test and kind in row.kinds for row in tests):
        raise ValidationError({"test": f"That is no test for a {garment.kind}."})
    standing = SpotAnswer.objects.standing().filter(fitting=fitting, garment=garment, test=test)
    earlier = standing.first()
    if earlier is not None and earlier.yes == yes:
        return earlier
    return SpotAnswer.objects.create(
        pk=entry_id,
        fitting=fitting,
        garment=garment,
        test=test,
        yes=yes,
        strikes=earlier,
        by=by,
    )


@transaction.atomic
def strike_spot_answer(*, entry_id: uuid.UUID, answer: SpotAnswer, by: User) -> SpotAnswer:
    """Take an answer back; struck already, the entry that struck it is returned."""
    return strike(answer, entry_id=entry_id, by=by, same=("test", "yes"))
