"""The catalogue the house goes by: the shipped rows with its own laid over them.

Built once for each state of the house's entries and kept by the newest entry's id, which no two
states share: right in every process, and after a restored backup, without one telling another.
"""

import logging
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

from django.http import HttpRequest, HttpResponse

from fittings import catalogue
from fittings.catalogue import Catalogue, CatalogueError, Change, ChangeRefusedError, changes
from fittings.models import CatalogueEntry

SHIPPED = "shipped"  # the version of a catalogue the house has changed nothing in
KEPT = 8  # states kept in a process; a request asks for the newest, seldom for the one before

logger = logging.getLogger("ledger.housebook")


@dataclass(frozen=True)
class HouseBook:
    """The catalogue, the name of its state, the changes in it, and those that fit it no more.

    ``state`` is the newest entry's id: a backup restored may give a ``version`` a second meaning.
    """

    catalogue: Catalogue
    version: str = SHIPPED
    changes: tuple[Change, ...] = ()
    left_out: tuple[tuple[CatalogueEntry, str], ...] = ()
    state: str = SHIPPED


_asked: ContextVar[list[HouseBook] | None] = ContextVar("asked", default=None)


def house_book() -> HouseBook:
    """What the house goes by now. One query, and none again within the same request."""
    asked = _asked.get()
    if asked:
        return asked[0]
    newest = CatalogueEntry.objects.order_by("-number").values_list("pk", "number").first()
    book = _built(*newest) if newest else HouseBook(catalogue.load())
    if asked is not None:
        asked.append(book)
    return book


def house_catalogue() -> Catalogue:
    return house_book().catalogue


def forget() -> None:
    """Ask anew from here on: this request has changed the catalogue."""
    if asked := _asked.get():
        asked.clear()


@contextmanager
def one_book(book: HouseBook | None = None) -> Iterator[None]:
    """Within it the catalogue is asked for once at most; not at all when a ``book`` is given."""
    if book is None and _asked.get() is not None:
        yield
        return
    token = _asked.set([book] if book else [])
    try:
        yield
    finally:
        _asked.reset(token)


class OneBookMiddleware:
    """One request goes by one state of the catalogue, asked for once."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with one_book():
            return self.get_response(request)


def change_of(entry: CatalogueEntry) -> Change:
    """CatalogueError when what was kept fits its table no more."""
    row = changes.read(entry.table, entry.data)
    return Change(row, retired=entry.retired, first=entry.first)


def _entries(number: int) -> list[CatalogueEntry]:
    """What held when the entry of this ``number`` was the newest."""
    entries = list(CatalogueEntry.objects.filter(number__lte=number).order_by("number"))
    struck = {entry.strikes_id for entry in entries}
    return [entry for entry in entries if entry.pk not in struck and not entry.void]


@lru_cache(maxsize=KEPT)
def _built(newest: uuid.UUID, number: int) -> HouseBook:
    entries = _entries(number)
    version = f"house {number}"
    try:
        edits = tuple(change_of(entry) for entry in entries)
        book = catalogue.load().with_changes(edits)
    except (CatalogueError, ChangeRefusedError):
        # The program ships other rows than when this was kept: what still fits is gone by.
        return replace(_built_in_turn(entries, version), state=str(newest))
    return HouseBook(book, version, edits, state=str(newest))


def _built_in_turn(entries: list[CatalogueEntry], version: str) -> HouseBook:
    """Edit after edit, each left out that the catalogue would be wrong with."""
    book = catalogue.load()
    taken: list[Change] = []
    left_out: list[tuple[CatalogueEntry, str]] = []
    for _, edit in groupby(entries, key=lambda entry: entry.edit):
        rows = list(edit)
        try:
            more = [*taken, *(change_of(entry) for entry in rows)]
            book = catalogue.load().with_changes(more)
        except (CatalogueError, ChangeRefusedError) as error:
            logger.warning("catalogue entries of edit %s left out", rows[0].edit)
            left_out.extend((entry, str(error)) for entry in rows)
        else:
            taken = more
    return HouseBook(book, version, tuple(taken), tuple(left_out))


def newest_entry(table: str, key: str) -> CatalogueEntry | None:
    """What the house said last of a row."""
    rows = CatalogueEntry.objects.filter(table=table, key=key)
    return rows.select_related("by").order_by("-number").first()


def entries_of(table: str, key: str) -> list[CatalogueEntry]:
    """Everything the house said of a row, newest first."""
    rows = CatalogueEntry.objects.filter(table=table, key=key)
    return list(rows.select_related("by").order_by("-number"))
