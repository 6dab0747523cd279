"""Photographs for a ticket, of garments whose customers agreed to them.

They are kept by a room above this app. That room registers where they come from when it starts
(its AppConfig), so that nothing here imports it; without one no photograph is printed.
"""

import datetime
import uuid
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mark:
    """A pin on a photograph for an alteration, in thousandths of its width and height."""

    alteration: uuid.UUID
    x: int
    y: int


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph as it may be printed: a JPEG of ``width`` by ``height`` points, and its pins."""

    key: uuid.UUID
    garment: int
    caption: str
    taken_on: datetime.date
    jpeg: bytes
    width: int
    height: int
    marks: tuple[Mark, ...]


Source = Callable[[Collection[uuid.UUID]], list[Picture]]
_SOURCES: dict[str, Source] = {}


def register(name: str, source: Source) -> None:
    """Have ``source`` give the photographs pinned for the alterations of these keys.

    It gives none without the customer's standing consent, the newest first. The same name again
    takes the place of the older.
    """
    _SOURCES[name] = source


def pinned_for(alterations: Collection[uuid.UUID]) -> Mapping[int, list[Picture]]:
    """Photographs with a pin for one of the alterations, by the key of their garment."""
    found: dict[int, list[Picture]] = {}
    for source in _SOURCES.values() if alterations else ():
        for picture in source(alterations):
            found.setdefault(picture.garment, []).append(picture)
    return found
