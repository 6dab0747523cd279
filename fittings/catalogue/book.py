"""All rows together and every look-up over them. A house's own rows are laid over the shipped."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from fittings.catalogue import changes, checking
from fittings.catalogue.changes import Change, ChangeRefusedError
from fittings.catalogue.rows import (
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

Kept = TypeVar("Kept")


@dataclass(frozen=True)
class Catalogue:
    """All rows, in the order of the files, and the look-ups over them.

    ``retired`` holds what the house offers no more: nothing new is entered by it, and old entries
    still find their words in it.
    """

    zones: tuple[Zone, ...]
    faults: tuple[Fault, ...]
    causes: tuple[Cause, ...]
    links: tuple[Link, ...]
    remedies: tuple[Remedy, ...]
    sources: dict[str, str]
    tests: tuple[SpotTest, ...] = ()
    retired: tuple[Row, ...] = ()

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

    @cached_property
    def retired_links(self) -> frozenset[tuple[str, str]]:
        """Cause and fault of the links no longer drawn: a row may still name them."""
        return frozenset((row.cause, row.fault) for row in self.retired if isinstance(row, Link))

    @cached_property
    def retired_names(self) -> frozenset[tuple[str, str]]:
        """Table and key of each row that is offered no more."""
        return frozenset((changes.table_of(row), changes.key_of(row)) for row in self.retired)

    @cached_property
    def row_by_key(self) -> Mapping[tuple[str, str], Row]:
        """Every row the house can change, retired ones too, by table and key."""
        rows = (*self.retired, *self.faults, *self.causes, *self.links, *self.remedies)
        return {(changes.table_of(row), changes.key_of(row)): row for row in rows}

    @cached_property
    def zone_names(self) -> dict[tuple[str, str], str]:
        """The name of each zone by its kind and key."""
        return {(row.kind, row.key): row.name for row in self.zones}

    def zones_of(self, kind: str) -> tuple[Zone, ...]:
        """The zones of a garment, top to bottom. UnknownKeyError: no such kind."""
        found = tuple(row for row in self.zones if row.kind == read_as(kind))
        if not found:
            raise UnknownKeyError(f"There is no garment kind called “{kind}”.")
        return found

    def zone(self, kind: str, key: str) -> Zone:
        return _one({row.key: row for row in self.zones_of(kind)}, key, f"{kind} zone")

    def faults_of(self, kind: str, zone_key: str = "", stage: str = "") -> tuple[Fault, ...]:
        """What can be seen wrong on a garment, in one zone or all, at one stage or any."""
        if zone_key:
            self.zone(kind, zone_key)
        order = [row.key for row in self.zones_of(kind)]
        found = (
            row
            for row in self.faults
            if row.kind == read_as(kind)
            and zone_key in ("", row.zone)
            and (not stage or stage in row.stages)
        )
        return tuple(sorted(found, key=lambda row: order.index(row.zone)))

    def fault(self, key: str) -> Fault:
        return _one(self.fault_by_key, key, "fault")

    def cause(self, key: str) -> Cause:
        return _one(self.cause_by_key, key, "cause")

    def causes_of(self, fault_key: str, side: str = "") -> tuple[Link, ...]:
        """What may be behind a fault, strongest first; on one side, only what can show there."""
        self.fault(fault_key)
        hidden = {"L": "R", "R": "L"}.get(side)
        return tuple(
            link for link in self.links_by_fault[fault_key] if not link.side or link.side != hidden
        )

    def tests_for(
        self, causes: Collection[str], kind: str = "", stage: str = ""
    ) -> tuple[SpotTest, ...]:
        """What tells one of these causes from the rest on the spot, on a garment, at a stage.

        A test that names two or more of them comes first: it tells them from each other.
        """
        named = [
            (row, sum(cause in row.yes for cause in causes))
            for row in self.tests
            if (not kind or read_as(kind) in row.kinds) and (not stage or stage in row.stages)
        ]
        return tuple(row for row, n in sorted(named, key=lambda each: -min(each[1], 2)) if n)

    def remedies_of(
        self, cause_key: str, kind: str, fault_key: str = "", stage: str = ""
    ) -> tuple[Remedy, ...]:
        """What is done for a cause, in the order of the file: the usual alteration first."""
        self.cause(cause_key)
        return tuple(
            row
            for row in self.remedies_by_cause.get((cause_key, read_as(kind)), [])
            if (not row.faults or fault_key in row.faults) and (not stage or stage in row.stages)
        )

    def remedies_for(
        self, fault_key: str, kind: str, *, side: str = "", stage: str = ""
    ) -> tuple[Suggestion, ...]:
        """The alterations to offer for a fault, by its strongest cause first.

        One alteration (operation, seam and side) is offered once, under its strongest cause.
        """
        found: dict[tuple[str, str, str], Suggestion] = {}
        for link in self.causes_of(fault_key, side):
            for row in self.remedies_of(link.cause, kind, fault_key, stage):
                offer = Suggestion(self.cause(link.cause), link, row)
                found.setdefault((row.operation, row.seam, row.side), offer)
        return tuple(found.values())

    def zone_name(self, kind: str, key: str) -> str:
        """The zone as it is called; its key for one the catalogue has dropped since."""
        return self.zone_names.get((read_as(kind), key), key)

    def fault_label(self, key: str) -> str:
        """The fault as its tile says it, retired or not; its key for one dropped since."""
        row = self.row_by_key.get((changes.FAULT, key))
        return row.label if isinstance(row, Fault) else key

    def cause_name(self, key: str) -> str:
        """The cause in words, retired or not; its key for one dropped since."""
        row = self.row_by_key.get((changes.CAUSE, key))
        return row.name if isinstance(row, Cause) else key

    def overlaid(self, edits: Iterable[Change]) -> "Catalogue":
        """With the house's changes laid over, unchecked; of two changes of a row, the later."""
        return changes.overlay(self, edits)

    def with_changes(self, edits: Iterable[Change]) -> "Catalogue":
        """With the house's changes laid over. ChangeRefusedError with what they leave wrong."""
        book = self.overlaid(edits)
        if wrong := checking.check(book):
            raise ChangeRefusedError(wrong)
        return book


def _one(rows: Mapping[str, Kept], key: str, what: str) -> Kept:
    try:
        return rows[key]
    except KeyError:
        raise UnknownKeyError(f"There is no {what} called “{key}”.") from None
