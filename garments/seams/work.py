"""What can be done to a seam, read from `operations.toml`; what waits for itself is refused."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from types import MappingProxyType
from typing import Any, Final

from customers.lengths import Length, parse
from garments.seams.rows import (
    DATA,
    HALVED,
    NOTHING,
    SEAMS,
    SIDE_NAMES,
    SIDED,
    UnknownKeyError,
    UnknownOperationError,
    known_kind,
)

USES, FREES, NONE = "uses", "frees", "none"
EIGHTH: Final = parse("1/8")


class OperationsError(ValueError):
    """A table of operations that cannot be worked by; the message names the operations."""


@dataclass(frozen=True, slots=True)
class Operation:
    """Something the workroom does. `rank` and `reason` are its place in the working order.

    `against` are the operations that undo it, `instead` what is done when it is blocked.
    """

    key: str
    name: str
    does: str
    at: Mapping[str, tuple[str, ...]]
    inlay: str
    sided: bool
    takes_amount: bool
    warnings: tuple[str, ...]
    blocks: tuple[str, ...]
    base_minutes: int
    minutes_per_eighth: int
    step: str
    rank: int
    reason: str
    why_source: str
    after: frozenset[str]
    against: frozenset[str]
    instead: tuple[str, ...]
    source: str

    def seams(self, kind: str) -> tuple[str, ...]:
        """Keys of the seams of a `kind` it may be done at, the usual one first; empty: not done."""
        return self.at.get(kind, ())

    def default_seam(self, kind: str) -> str:
        return self.seams(kind)[0] if self.seams(kind) else ""

    def amount_words(self, side: str, seam: str = "") -> str:
        """How an amount is meant: never a number without it. `seam` is a key, if it is known."""
        if not self.takes_amount:
            return ""
        if seam in HALVED or (not seam and self.default_seam(next(iter(self.at))) in HALVED):
            return "each side of the seam"
        if side in ("L", "R"):
            return f"in all, {SIDE_NAMES[side]} side only"
        if side == "both":
            return "each side"
        return "side not said" if self.sided and seam in SIDED else "in all"

    def minutes(self, amount: Length | None, side: str) -> int:
        """Working minutes, common practice without a source; both sides count twice."""
        eighths = -(-(amount or NOTHING).nm // EIGHTH.nm)
        one = self.base_minutes + self.minutes_per_eighth * eighths
        return one * 2 if side == "both" else one


def operations(kind: str) -> tuple[Operation, ...]:
    """What can be done to a garment, in working order."""
    known_kind(kind)
    return tuple(o for o in OPERATIONS.values() if o.seams(kind))


def operation(key: str) -> Operation:
    try:
        return OPERATIONS[key]
    except KeyError:
        raise UnknownOperationError(f"There is no operation called “{key}”.") from None


def block_reason(key: str) -> str:
    """Why a block stops an operation, as a sentence for the person who reads it."""
    try:
        return BLOCKS[key]
    except KeyError:
        raise UnknownKeyError(f"There is no block called “{key}”.") from None


def read_operations(text: str) -> dict[str, Operation]:
    """The operations written in `text` (TOML, as `operations.toml`), in the order written.

    OperationsError, naming the operations, when they wait for each other or for one not written.
    """
    data = tomllib.loads(text)
    steps = {row["key"]: row for row in data["step"]}
    members: dict[str, list[str]] = {key: [] for key in steps}
    for row in data["operation"]:
        members[row["step"]].append(row["key"])
    against = _both_ways(data["operation"])
    table = {
        row["key"]: _read_operation(row, steps[row["step"]], members, against)
        for row in data["operation"]
    }
    _refuse_unknown(table)
    _refuse_cycle(table)
    return table


def _both_ways(rows: list[dict[str, Any]]) -> dict[str, set[str]]:
    """What undoes what, though written with one of the two only."""
    pairs = {(row["key"], other) for row in rows for other in row.get("against", ())}
    found: dict[str, set[str]] = {row["key"]: set() for row in rows}
    for one, other in pairs:
        found[one].add(other)
        found.setdefault(other, set()).add(one)
    return found


def _refuse_unknown(table: Mapping[str, Operation]) -> None:
    for row in table.values():
        named = row.after | row.against | frozenset(row.instead)
        if unknown := sorted(named - table.keys()):
            raise OperationsError(f"“{row.key}” names what is not there: {', '.join(unknown)}.")


def _refuse_cycle(table: Mapping[str, Operation]) -> None:
    try:
        TopologicalSorter({key: row.after for key, row in table.items()}).prepare()
    except CycleError as error:
        named = ", ".join(dict.fromkeys(error.args[1]))
        raise OperationsError(f"These operations wait for each other: {named}.") from error


def _read_operation(
    row: Mapping[str, Any],
    step: Mapping[str, Any],
    members: Mapping[str, list[str]],
    against: Mapping[str, set[str]],
) -> Operation:
    base, per_eighth = row["minutes"]
    return Operation(
        key=row["key"],
        name=row["name"],
        does=row["does"],
        at=MappingProxyType(_places(row["at"])),
        inlay=row["inlay"],
        sided=row["sided"],
        takes_amount=row["amount"],
        warnings=tuple(row.get("warnings", ())),
        blocks=tuple(row.get("blocks", ())),
        base_minutes=base,
        minutes_per_eighth=per_eighth,
        step=row["step"],
        rank=step["rank"],
        reason=step["reason"],
        why_source=step["source"],
        after=frozenset(k for name in row.get("after", ()) for k in members.get(name, [name])),
        against=frozenset(against[row["key"]]),
        instead=tuple(row.get("instead", ())),
        source=row["source"],
    )


def _places(at: Mapping[str, list[str]]) -> dict[str, tuple[str, ...]]:
    """Seam keys by kind, "*" spelled out; the overcoat goes by the coat."""
    places = {
        kind: tuple(SEAMS[kind]) if keys == ["*"] else tuple(keys) for kind, keys in at.items()
    }
    return places | ({"overcoat": places["coat"]} if "coat" in places else {})


_TEXT: Final = (DATA / "operations.toml").read_text(encoding="utf-8")
OPERATIONS: Final = read_operations(_TEXT)
BLOCKS: Final[dict[str, str]] = {row["key"]: row["reason"] for row in tomllib.loads(_TEXT)["block"]}
