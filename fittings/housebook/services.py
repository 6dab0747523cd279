"""The one way in for each write of the house to the catalogue."""

import logging
import re
import uuid
from collections.abc import Sequence

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, refuse_used
from customers.models import House
from customers.versions import ChangedMeanwhileError
from fittings import catalogue
from fittings.catalogue import Cause, Change, ChangeRefusedError, Fault, Row, changes
from fittings.housebook import queries
from fittings.housebook.words import in_words
from fittings.models import CatalogueEntry

LONGEST_WHY = 300
# As wide as the columns that name them in what was seen and what was taken to be behind it.
LONGEST_KEY = {changes.FAULT: 60, changes.CAUSE: 40, changes.LINK: 400, changes.REMEDY: 400}
OWN_KEY = re.compile(rf"{changes.OWN}[a-z0-9]+(-[a-z0-9]+)*")

logger = logging.getLogger("ledger.housebook")


@transaction.atomic
def add_to_catalogue(
    *, entry_id: uuid.UUID, rows: Sequence[Row], why: str, by: User, first: bool = False
) -> list[CatalogueEntry]:
    """Keep new rows of the house together: a fault with its first link, a cause with its remedy.

    A remedy that is to be ``first`` is offered before the others of its cause.
    ValidationError: a key that is no key of the house's own, a row that is there already, a
    catalogue that would be wrong with them, no reason given.
    """
    House.take_turns()  # each change is checked against the whole catalogue
    if kept := _kept(entry_id, by, {Change(row).name for row in rows}):
        return kept
    known = _known()
    for row in rows:
        if isinstance(row, Fault | Cause) and not OWN_KEY.fullmatch(row.key):
            raise ValidationError(
                {"key": f"“{row.key}” is no key of the house: house-, then letters and figures."}
            )
        if Change(row).name in known:
            raise ValidationError({"key": "The catalogue has that row already: change it instead."})
    return _keep(entry_id, [Change(row, first=first) for row in rows], why, by)


@transaction.atomic
def change_catalogue(
    *, entry_id: uuid.UUID, change: Change, seen: uuid.UUID | None, why: str, by: User
) -> CatalogueEntry:
    """Keep other values of a row, retire it, or take it up again.

    ``seen`` is the newest entry of the row that the person had before them, None where the row was
    as shipped: ChangedMeanwhileError with the newer one when someone else came first.
    ValidationError: no such row, a catalogue that would be wrong with it, no reason given.
    """
    House.take_turns()  # each change is checked against the whole catalogue
    if kept := _kept(entry_id, by, {change.name}):
        return kept[0]
    if change.name not in _known():
        raise ValidationError({"key": "The catalogue has no such row."})
    _refuse_overtaken(change.name, seen)
    return _keep(entry_id, [change], why, by)[0]


@transaction.atomic
def put_back_as_shipped(
    *, entry_id: uuid.UUID, name: changes.Name, seen: uuid.UUID | None, why: str, by: User
) -> CatalogueEntry:
    """Take the house's values of a shipped row back. ValidationError: there are none.

    ``seen`` and ChangedMeanwhileError as in ``change_catalogue``.
    """
    House.take_turns()  # each change is checked against the whole catalogue
    if kept := _kept(entry_id, by, {name}):
        return kept[0]
    _refuse_overtaken(name, seen)
    newest = queries.newest_entry(*name)
    if newest is None or newest.void:
        raise ValidationError("That row is as shipped.")
    if name not in catalogue.load().row_by_key:
        raise ValidationError("The house added that row itself: retire it instead.")
    _refuse_wrong([each for each in _standing() if each.name != name])
    row = _entry(entry_id, name, newest, why, by)
    row.void, row.data = True, newest.data
    return _written([row])[0]


def _kept(entry_id: uuid.UUID, by: User, names: set[changes.Name]) -> list[CatalogueEntry]:
    if already_kept(CatalogueEntry, entry_id, by, id_field="edit") is None:
        return []
    kept = list(CatalogueEntry.objects.filter(edit=entry_id))
    refuse_used(same={(row.table, row.key) for row in kept} == names)
    return kept


def _known() -> frozenset[changes.Name]:
    """Every row there is or was: shipped, added by the house, retired."""
    ours = CatalogueEntry.objects.values_list("table", "key")
    return frozenset(catalogue.load().row_by_key) | frozenset(ours)


def _refuse_overtaken(name: changes.Name, seen: uuid.UUID | None) -> None:
    newest = queries.newest_entry(*name)
    if newest is not None and newest.pk != seen:
        raise ChangedMeanwhileError(newest)


def _keep(entry_id: uuid.UUID, edits: Sequence[Change], why: str, by: User) -> list[CatalogueEntry]:
    for edit in edits:
        table, key = edit.name
        if len(key) > LONGEST_KEY[table]:
            raise ValidationError({"key": "That name makes too long a key: shorten it."})
    _refuse_wrong([*_standing(), *edits])
    entries = []
    for edit in edits:
        row = _entry(entry_id, edit.name, queries.newest_entry(*edit.name), why, by)
        row.data, row.retired, row.first = changes.columns(edit.row), edit.retired, edit.first
        entries.append(row)
    return _written(entries)


def _standing() -> tuple[Change, ...]:
    """What the house says now, asked anew: the request may have begun before the lock was got."""
    queries.forget()
    return queries.house_book().changes


def _refuse_wrong(edits: Sequence[Change]) -> None:
    shipped = catalogue.load()
    try:
        shipped.with_changes(edits)
    except ChangeRefusedError as refused:
        book = shipped.overlaid(edits)
        raise ValidationError([in_words(book, text) for text in refused.sentences]) from refused


def _entry(
    entry_id: uuid.UUID, name: changes.Name, before: CatalogueEntry | None, why: str, by: User
) -> CatalogueEntry:
    why = why.strip()
    if not why:
        raise ValidationError({"why": "Say why."})
    if len(why) > LONGEST_WHY:
        raise ValidationError({"why": f"At most {LONGEST_WHY} letters."})
    table, key = name
    return CatalogueEntry(
        pk=uuid.uuid5(entry_id, f"{table} {key}"),
        edit=entry_id,
        table=table,
        key=key,
        strikes=before,
        why=why,
        by=by,
    )


def _written(entries: list[CatalogueEntry]) -> list[CatalogueEntry]:
    last = CatalogueEntry.objects.order_by("-number").values_list("number", flat=True).first() or 0
    for number, row in enumerate(entries, start=last + 1):
        row.number = number
        row.save(force_insert=True)
        logger.info("catalogue %s %s changed by user %s", row.table, row.key, row.by_id)
    queries.forget()
    return entries
