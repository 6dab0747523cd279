"""Faults, causes, links and remedies of coat, waistcoat and trousers, each row with its source.

Pure data with look-ups. `load()` reads the files in `data/` once. Faults are what is seen, causes
why, links how strongly a cause shows as a fault, remedies what is done for a cause. The overcoat
goes by the coat's rows throughout.
"""

from collections import defaultdict
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TypeVar

from fittings.catalogue import reading
from fittings.catalogue.reading import CatalogueError
from fittings.catalogue.rows import (
    STAGES,
    STRENGTHS,
    Cause,
    Fault,
    Link,
    Remedy,
    Suggestion,
    Zone,
)
from garments.seams import UnknownKeyError

__all__ = [
    "STAGES",
    "STRENGTHS",
    "Catalogue",
    "CatalogueError",
    "Cause",
    "Fault",
    "Link",
    "Remedy",
    "Suggestion",
    "UnknownKeyError",
    "Zone",
    "cause",
    "causes_of",
    "fault",
    "faults",
    "load",
    "remedies_for",
    "remedies_of",
    "zone",
    "zones",
]

Row = TypeVar("Row")


@dataclass(frozen=True)
class Catalogue:
    """All rows, in the order of the files, and the look-ups over them."""

    zones: tuple[Zone, ...]
    faults: tuple[Fault, ...]
    causes: tuple[Cause, ...]
    links: tuple[Link, ...]
    remedies: tuple[Remedy, ...]
    sources: dict[str, str]

    @cached_property
    def zone_keys(self) -> frozenset[tuple[str, str]]:
        return frozenset((row.kind, row.key) for row in self.zones)

    @cached_property
    def fault_by_key(self) -> dict[str, Fault]:
        return {row.key: row for row in self.faults}

    @cached_property
    def cause_by_key(self) -> dict[str, Cause]:
        return {row.key: row for row in self.causes}

    @cached_property
    def links_by_fault(self) -> dict[str, list[Link]]:
        """Each fault's links, strongest first; of equals, as in the file."""
        found: dict[str, list[Link]] = defaultdict(list)
        for link in sorted(self.links, key=lambda link: -STRENGTHS.get(link.strength, 0)):
            found[link.fault].append(link)
        return found

    @cached_property
    def remedies_by_cause(self) -> dict[tuple[str, str], list[Remedy]]:
        found: dict[tuple[str, str], list[Remedy]] = defaultdict(list)
        for row in self.remedies:
            found[row.cause, row.kind].append(row)
        return found


@cache
def load() -> Catalogue:
    """The shipped catalogue, read once. CatalogueError for a row that does not fit its columns."""
    return Catalogue(
        zones=reading.read_zones(),
        faults=reading.read_faults(),
        causes=reading.read_causes(),
        links=reading.read_links(),
        remedies=reading.read_remedies(),
        sources=reading.read_sources(),
    )


def zones(kind: str) -> tuple[Zone, ...]:
    """The zones of a garment, top to bottom."""
    found = tuple(row for row in load().zones if row.kind == read_as(kind))
    if not found:
        raise UnknownKeyError(f"There is no garment kind called “{kind}”.")
    return found


def zone(kind: str, key: str) -> Zone:
    return _one({row.key: row for row in zones(kind)}, key, f"{kind} zone")


def faults(kind: str, zone_key: str = "", stage: str = "") -> tuple[Fault, ...]:
    """What can be seen wrong on a garment, in one zone or all, at one stage or any."""
    if zone_key:
        zone(kind, zone_key)
    order = [row.key for row in zones(kind)]
    found = (
        row
        for row in load().faults
        if row.kind == read_as(kind)
        and zone_key in ("", row.zone)
        and (not stage or stage in row.stages)
    )
    return tuple(sorted(found, key=lambda row: order.index(row.zone)))


def fault(key: str) -> Fault:
    return _one(load().fault_by_key, key, "fault")


def cause(key: str) -> Cause:
    return _one(load().cause_by_key, key, "cause")


def causes_of(fault_key: str, side: str = "") -> tuple[Link, ...]:
    """What may be behind a fault, strongest first; on one side, only what can show there."""
    fault(fault_key)
    hidden = {"L": "R", "R": "L"}.get(side)
    return tuple(
        link for link in load().links_by_fault[fault_key] if not link.side or link.side != hidden
    )


def remedies_of(
    cause_key: str, kind: str, fault_key: str = "", stage: str = ""
) -> tuple[Remedy, ...]:
    """What is done for a cause, in the order of the file: the usual alteration first."""
    cause(cause_key)
    return tuple(
        row
        for row in load().remedies_by_cause.get((cause_key, read_as(kind)), [])
        if (not row.faults or fault_key in row.faults) and (not stage or stage in row.stages)
    )


def remedies_for(
    fault_key: str, kind: str, *, side: str = "", stage: str = ""
) -> tuple[Suggestion, ...]:
    """The alterations to offer for a fault, by its strongest cause first.

    One alteration (operation, seam and side) is offered once, under its strongest cause.
    """
    found: dict[tuple[str, str, str], Suggestion] = {}
    for link in causes_of(fault_key, side):
        for row in remedies_of(link.cause, kind, fault_key, stage):
            offer = Suggestion(cause(link.cause), link, row)
            found.setdefault((row.operation, row.seam, row.side), offer)
    return tuple(found.values())


def read_as(kind: str) -> str:
    """The kind whose rows a garment goes by."""
    return "coat" if kind == "overcoat" else kind


def _one(rows: dict[str, Row], key: str, what: str) -> Row:
    try:
        return rows[key]
    except KeyError:
        raise UnknownKeyError(f"There is no {what} called “{key}”.") from None
