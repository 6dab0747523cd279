"""The service that erases a person and leaves its entry.

What is erased is the person: name, ways to reach them, every free text about them, photographs.
What was measured, cut, seen, altered and judged stays under the number alone, so that no rate of
the house moves. The guards let the texts go because this erasure names their rows (`way_past`).
"""

import logging
import uuid
from collections.abc import Iterable
from typing import Any, Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Case, Value, When

from customers.ledger import already_kept
from customers.models import Customer, House
from customers.numbers import tidy
from fittings.models import Erasure, Recount, Redacted
from fittings.privacy import remembered, standing, sweeping
from fittings.privacy.holdings import HOLDINGS
from fittings.privacy.mentions import Identity
from fittings.privacy.way_past import ERASED
from fittings.session.queries import photographs_on_disk
from fittings.session.services.photographs import delete_photographs
from garments.models import Garment

NOBODY: Final = f"({ERASED})"  # stands where the name stood

logger = logging.getLogger("ledger.privacy")


@transaction.atomic
def erase_customer(
    *,
    entry_id: uuid.UUID,
    customer: Customer,
    typed: str,
    reason: str,
    close_open: bool,
    by: User,
) -> Erasure:
    """Take a person out of the ledger for good; sent twice it is done once.

    ``typed`` is the number as the owner typed it. ValidationError by field: another number, work
    that is not ended, something open and not ``close_open``, erased before.
    """
    House.take_turns()
    held = Customer.objects.select_for_update().get(pk=customer.pk)
    if kept := already_kept(Erasure, entry_id, by, customer=held):
        return kept
    if held.erased_at is not None:
        raise ValidationError("This person was erased already.")
    if _tidied(typed) != held.number:
        raise ValidationError({"typed": f"That is not the number on this page, {held.number}."})
    found = standing.open_with(held)
    standing.refuse(found, close_open=close_open)
    standing.close(found, entry_id=entry_id, by=by)
    erasure = Erasure(pk=entry_id, customer=held, reason=reason, by=by)
    erasure.clean_fields(exclude={"customer", "by", "strikes"})
    return take_out(erasure)


def take_out(erasure: Erasure) -> Erasure:
    """Keep the entry and empty what is its customer's. In a transaction, whoever calls."""
    customer = erasure.customer
    who = Identity.of(customer)
    erasure.save(force_insert=True)
    sweeping.forget_lists(who, customer)
    sweeping.forget_sessions(who)
    # Straight to the table: `save` would fold a name for finding again.
    Customer.objects.filter(pk=customer.pk).update(
        title="",
        given_name="",
        family_name=NOBODY,
        phone="",
        email="",
        town="",
        notes="",
        search_name="",
        search_phone="",
        version=customer.version + 1,
        erased_at=erasure.at,
    )
    # Files last: should the disk refuse, nothing else has happened either.
    delete_photographs(
        entry_id=uuid.uuid5(erasure.pk, "photographs"),
        photographs=photographs_on_disk(customer),
        reason=ERASED,
        by=erasure.by,
    )
    _empty_words(erasure, who)
    Recount.objects.create()  # the review keeps pages, and names stand on them
    logger.info("customer %s erased by user %s", customer.number, erasure.by_id)
    transaction.on_commit(_clear_up, robust=True)
    return erasure


def _tidied(typed: str) -> str:
    """The number in its written form, whatever the spaces; as typed where it is none."""
    try:
        return tidy(typed)
    except ValueError:
        return typed


def _empty_words(erasure: Erasure, who: Identity) -> None:
    for holding in HOLDINGS:
        keys = list(holding.worded(erasure.customer).values_list("pk", flat=True))
        if not keys:
            continue
        if holding.guarded:
            _name(erasure, holding.table, keys)
        emptied: dict[str, Any] = {
            column: Case(When(**{column: ""}, then=Value("")), default=Value(ERASED))
            for column in holding.words
        }
        holding.model._default_manager.filter(pk__in=keys).update(**emptied)
    # The cloth is a fact of the garment, unless it is called after its owner.
    for garment in Garment.objects.filter(customer=erasure.customer):
        if who.is_in(garment.cloth):
            Garment.objects.filter(pk=garment.pk).update(cloth=ERASED)


def _name(erasure: Erasure, table: str, keys: Iterable[Any]) -> None:
    """Say which rows lose their words: the guards read it."""
    Redacted.objects.bulk_create(
        Redacted(erasure=erasure, held_in=table, row_key=getattr(key, "hex", str(key)))
        for key in keys
    )


def _clear_up() -> None:
    """After the commit: a list or a sweep that fails does not bring the person back."""
    remembered.remember()
    sweeping.want_sweep()
    sweeping.sweep()
