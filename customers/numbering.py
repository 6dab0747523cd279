"""Rows with a number people read aloud, numbered safely while several write at once."""

from collections.abc import Sequence
from typing import Any, TypeVar

from django.db import IntegrityError, models, transaction
from django.db.models import Max

from customers.numbers import next_number

FIRST_SERIAL = 1000  # numbers of four figures from the first day
TRIES = 50  # each try lost is a number someone else took: more writers than this never meet

Numbered = TypeVar("Numbered", bound=models.Model)


def create_numbered(model: type[Numbered], prefix: str, **values: Any) -> Numbered:
    """A new row with the next free number. Call it inside a transaction.

    Where two write at once (PostgreSQL) one of them finds the serial taken, and tries the next.
    IntegrityError when something else than the serial is in the way.
    """
    rows = model._default_manager
    for left in reversed(range(TRIES)):
        last = rows.aggregate(last=Max("serial"))["last"] or FIRST_SERIAL
        number, serial = next_number(prefix, last)
        try:
            with transaction.atomic():
                return rows.create(number=number, serial=serial, **values)
        except IntegrityError:
            if not left:
                raise
    raise AssertionError  # the loop returns or raises


def create_many_numbered(
    model: type[Numbered], prefix: str, rows: Sequence[Numbered], *, batch: int = 500
) -> None:
    """Keep ``rows``, made but not kept yet, under the next free numbers, in order.

    Call it inside a transaction. As ``create_numbered``, but ``save`` of the model is not called.
    """
    manager = model._default_manager
    for left in reversed(range(TRIES)):
        serial = manager.aggregate(last=Max("serial"))["last"] or FIRST_SERIAL
        for row in rows:
            row.number, serial = next_number(prefix, serial)  # type: ignore[attr-defined]
            row.serial = serial  # type: ignore[attr-defined]
        try:
            with transaction.atomic():
                manager.bulk_create(rows, batch_size=batch)
        except IntegrityError:
            if not left:
                raise
        else:
            return
