"""Faults, causes, links and remedies of coat, waistcoat and trousers, each row with its source.

Pure data with look-ups. `load()` reads the files in `data/` once. Faults are what is seen, causes
why, links how strongly a cause shows as a fault, tests what tells causes apart on the spot,
remedies what is done for a cause. The overcoat goes by the coat's rows throughout. A house's own
rows are laid over the shipped ones with `Catalogue.with_changes`; what the house goes by is
`fittings.housebook.queries.house_catalogue`.
"""

from functools import cache

from fittings.catalogue import reading
from fittings.catalogue.book import Catalogue
from fittings.catalogue.changes import Change, ChangeRefusedError
from fittings.catalogue.reading import CatalogueError
from fittings.catalogue.rows import (
    CHANGED,
    HOUSE,
    HOW_COMMON,
    SHIPPED,
    STAGES,
    STRENGTHS,
    Cause,
    Fault,
    Link,
    Remedy,
    Row,
    SpotTest,
    Suggestion,
    Zone,
)
from garments.seams import UnknownKeyError, read_as

__all__ = [
    "CHANGED",
    "HOUSE",
    "HOW_COMMON",
    "SHIPPED",
    "STAGES",
    "STRENGTHS",
    "Catalogue",
    "CatalogueError",
    "Cause",
    "Change",
    "ChangeRefusedError",
    "Fault",
    "Link",
    "Remedy",
    "Row",
    "SpotTest",
    "Suggestion",
    "UnknownKeyError",
    "Zone",
    "cause",
    "causes_of",
    "fault",
    "faults",
    "load",
    "read_as",
    "remedies_for",
    "remedies_of",
    "zone",
    "zones",
]


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
        tests=reading.read_tests(),
    )


# The shipped catalogue asked directly, for what has no house: the demo's truth, tests, engines.


def zones(kind: str) -> tuple[Zone, ...]:
    return load().zones_of(kind)


def zone(kind: str, key: str) -> Zone:
    return load().zone(kind, key)


def faults(kind: str, zone_key: str = "", stage: str = "") -> tuple[Fault, ...]:
    return load().faults_of(kind, zone_key, stage)


def fault(key: str) -> Fault:
    return load().fault(key)


def cause(key: str) -> Cause:
    return load().cause(key)


def causes_of(fault_key: str, side: str = "") -> tuple[Link, ...]:
    return load().causes_of(fault_key, side)


def remedies_of(
    cause_key: str, kind: str, fault_key: str = "", stage: str = ""
) -> tuple[Remedy, ...]:
    return load().remedies_of(cause_key, kind, fault_key, stage)


def remedies_for(
    fault_key: str, kind: str, *, side: str = "", stage: str = ""
) -> tuple[Suggestion, ...]:
    return load().remedies_for(fault_key, kind, side=side, stage=stage)
