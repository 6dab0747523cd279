"""The stages of each kind of garment, from ``data/stages.toml``: a source on every row. Pure."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any, Final

from fittings.promise.errors import PromiseError

CRAFTS: Final = {
    "cutter": "cutter",
    "coat-maker": "coat maker",
    "trouser-maker": "trouser maker",
    "finisher": "finisher",
}
# A stage above these was typed in the wrong unit. Common practice, no source.
MOST_MINUTES: Final = 20_000
MOST_DAYS: Final = 366


@dataclass(frozen=True, slots=True)
class Stage:
    """Bench work when it has a craft, a visit of the customer when ``fitting``, else a mere wait.

    ``minutes`` are of one pair of hands. ``wait_days`` pass by the calendar after it, and
    ``notice_days`` before a fitting.
    """

    key: str
    craft: str = ""
    minutes: int = 0
    wait_days: int = 0
    fitting: bool = False
    notice_days: int = 0
    after: tuple[str, ...] = ()
    only_for: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        spans = (self.minutes, self.wait_days, self.notice_days)
        if min(spans) < 0 or self.minutes > MOST_MINUTES or max(spans[1:]) > MOST_DAYS:
            raise PromiseError(f"The stage “{self.key}” takes a time no garment takes.")
        if self.craft and self.fitting:
            raise PromiseError(f"The stage “{self.key}” is either bench work or a fitting.")
        if bool(self.minutes) != bool(self.craft):
            raise PromiseError(f"The stage “{self.key}” needs both a craft and its minutes.")


def in_order(stages: Iterable[Stage]) -> tuple[Stage, ...]:
    """The stages so that each comes after what it waits for, else as written.

    PromiseError when they wait for each other, for one not there, or when two share a key.
    """
    rows = tuple(stages)
    table = {stage.key: stage for stage in rows}
    if len(table) != len(rows):
        raise PromiseError("Two stages share a key.")
    for stage in rows:
        if unknown := sorted({*stage.after, stage.only_for} - {""} - table.keys()):
            raise PromiseError(f"The stage “{stage.key}” names “{unknown[0]}”, which is not there.")
    try:
        order = tuple(TopologicalSorter({row.key: row.after for row in rows}).static_order())
    except CycleError as error:
        raise PromiseError(f"Stages wait for each other: {', '.join(error.args[1])}.") from None
    return tuple(table[key] for key in order)


def without(stages: Iterable[Stage], fitting: str) -> tuple[Stage, ...]:
    """The stages with that fitting, and what is done only for it, left out.

    What waited for a stage left out waits for what that one waited for.
    """
    rows = in_order(stages)
    if fitting not in {row.key for row in rows if row.fitting}:
        raise PromiseError(f"There is no fitting “{fitting}” to leave out.")
    instead: dict[str, tuple[str, ...]] = {}
    kept = []
    for row in rows:
        after = tuple(dict.fromkeys(k for key in row.after for k in instead.get(key, (key,))))
        if fitting in (row.key, row.only_for):
            instead[row.key] = after
        else:
            kept.append(replace(row, after=after))
    return tuple(kept)


def read_stages(text: str) -> dict[str, tuple[Stage, ...]]:
    """The stages by kind of garment. PromiseError names the row that cannot be read."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PromiseError(f"The stages cannot be read: {error}") from error
    return {kind: in_order(_stage(kind, row) for row in rows) for kind, rows in tables.items()}


def _stage(kind: str, row: Mapping[str, Any]) -> Stage:
    named = f"{kind} “{row.get('key', '?')}”"
    if not row.get("source"):
        raise PromiseError(f"The stage {named} has no source.")
    if row.get("craft", "") not in {"", *CRAFTS}:
        raise PromiseError(f"The stage {named} names no craft of the house: “{row['craft']}”.")
    try:
        return Stage(**{**row, "after": tuple(row.get("after", ()))})
    except TypeError as error:
        raise PromiseError(f"The stage {named} cannot be read: {error}") from error


STAGES: Final = read_stages(
    (Path(__file__).parent / "data" / "stages.toml").read_text(encoding="utf-8")
)
