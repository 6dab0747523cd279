"""Seams, the inlay normally left in them, and what can be done to them.

Pure data, read once from `seams.toml` and `operations.toml`, with the look-ups around it.
An amount is the distance the sewn line moves, never negative: the direction is the operation's.
On a sided seam it is meant each side; at a seam that joins a left and a right half (centre
back, seat seam) each side of the seam; at the one collar, waistband or row of buttons, in all.
"""

import heapq
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import combinations
from operator import attrgetter
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, TypeVar

from customers.lengths import Length, parse

KINDS: Final = ("coat", "waistcoat", "trousers", "overcoat")
SIDES: Final = ("L", "R", "both", "")
SIDE_NAMES: Final = MappingProxyType({"L": "left", "R": "right", "both": "both sides", "": ""})
USES, FREES, NONE = "uses", "frees", "none"

Line = TypeVar("Line")


class UnknownKeyError(KeyError):
    """A key the tables do not hold; the message is a sentence, without KeyError's quotes."""

    def __str__(self) -> str:
        return str(self.args[0])


class UnknownKindError(UnknownKeyError):
    """No such garment kind."""


class UnknownSeamError(UnknownKeyError):
    """The garment has no such seam."""


class UnknownOperationError(UnknownKeyError):
    """No such operation."""


@dataclass(frozen=True, slots=True)
class Seam:
    """A seam of one kind of garment. `inlay` is what is normally left, None where there is none."""

    key: str
    name: str
    sided: bool
    halves: bool
    inlay: Length | None
    keep: Length
    source: str

    @property
    def holds_inlay(self) -> bool:
        return self.inlay is not None

    @property
    def sides(self) -> tuple[str, ...]:
        """The places an inlay is kept for: left and right, or the one seam."""
        return ("L", "R") if self.sided else ("",)

    def usable(self, left: Length) -> Length:
        """Of the inlay `left`, what can still be let out; what must stay inside is taken off."""
        return max(left - self.keep, Length(0))


@dataclass(frozen=True, slots=True)
class Operation:
    """Something the workroom does. `rank` and `reason` are its place in the working order."""

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
    after: frozenset[str]
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
        if seam in _HALVED or (not seam and self.default_seam(next(iter(self.at))) in _HALVED):
            return "each side of the seam"
        if side in ("L", "R"):
            return f"in all, {SIDE_NAMES[side]} side only"
        if side == "both":
            return "each side"
        return "side not said" if self.sided and seam in _SIDED else "in all"

    def minutes(self, amount: Length | None, side: str) -> int:
        """Working minutes, common practice without a source; both sides count twice."""
        eighths = -(-(amount or Length(0)).nm // EIGHTH.nm)
        one = self.base_minutes + self.minutes_per_eighth * eighths
        return one * 2 if side == "both" else one


EIGHTH: Final = parse("1/8")
MOST: Final = parse("6")  # no seam moves further; house rule, common practice, no source


def seams(kind: str) -> tuple[Seam, ...]:
    """The seams of a garment, in the order it is read."""
    return tuple(_SEAMS[_known_kind(kind)].values())


def seam(kind: str, key: str) -> Seam:
    try:
        return _SEAMS[_known_kind(kind)][key]
    except KeyError:
        raise UnknownSeamError(f"A {kind} has no seam called “{key}”.") from None


def operations(kind: str) -> tuple[Operation, ...]:
    """What can be done to a garment, in working order."""
    _known_kind(kind)
    return tuple(o for o in _OPERATIONS.values() if o.seams(kind))


def operation(key: str) -> Operation:
    try:
        return _OPERATIONS[key]
    except KeyError:
        raise UnknownOperationError(f"There is no operation called “{key}”.") from None


def block_reason(key: str) -> str:
    """Why a block stops an operation, as a sentence for the person who reads it."""
    try:
        return _BLOCKS[key]
    except KeyError:
        raise UnknownKeyError(f"There is no block called “{key}”.") from None


def normal_inlays(kind: str) -> dict[tuple[str, str], Length]:
    """The inlay normally left, by (seam key, side); seams that hold none are not in it."""
    return {(s.key, side): s.inlay for s in seams(kind) if s.inlay for side in s.sides}


def needs_side(kind: str, operation_key: str, seam_key: str) -> bool:
    """Whether left, right or both must be said."""
    return operation(operation_key).sided and seam(kind, seam_key).sided


def refusals(
    kind: str, operation_key: str, seam_key: str, side: str, amount: Length | None
) -> list[str]:
    """What is wrong with an alteration as written, in sentences; empty when nothing is.

    UnknownKeyError only for a kind that does not exist; every other fault is a sentence.
    """
    return list(refusals_by_field(kind, operation_key, seam_key, side, amount).values())


def refusals_by_field(
    kind: str, operation_key: str, seam_key: str, side: str, amount: Length | None
) -> dict[str, str]:
    """The same sentences, each under the part it speaks of: operation, seam, side or amount."""
    _known_kind(kind)
    # Side and amount mean something only where operation and seam are known.
    try:
        op, at = operation(operation_key), seam(kind, seam_key)
    except UnknownOperationError as error:
        return {"operation": str(error)}
    except UnknownSeamError as error:
        return {"seam": str(error)}
    found = {}
    if seam_key not in op.seams(kind):
        found["seam"] = f"“{op.name}” is not done at the {at.name.lower()} of a {kind}."
    if needs_side(kind, operation_key, seam_key) and side not in ("L", "R", "both"):
        found["side"] = "Say left, right or both."
    if not needs_side(kind, operation_key, seam_key) and side:
        found["side"] = "There is no left or right here."
    return found | _amount_refusal(op, amount)


def _amount_refusal(op: Operation, amount: Length | None) -> dict[str, str]:
    if not op.takes_amount:
        return {"amount": f"“{op.name}” takes no amount."} if amount else {}
    if amount is None or amount == Length(0):
        return {"amount": "Say how much."}
    if amount < Length(0):
        return {
            "amount": "The amount is never below nothing: choose the operation for the other way."
        }
    if amount > MOST:
        return {"amount": f"At most {MOST} in: more is no alteration. Look at the amount again."}
    return {}


def inlay_after(
    left: Mapping[str, Length], operation_key: str, amount: Length, side: str
) -> dict[str, Length]:
    """The inlay at one seam once the operation is done there, by side ("L", "R" or "").

    `left` is what is in the seam now. The whole `amount` moves on each side stated, never half of
    it. May come out below what must stay inside, or below zero: `shortfall` says by how much.
    UnknownKeyError for a side that `left` does not hold.
    """
    sign = {USES: -1, FREES: 1, NONE: 0}[operation(operation_key).inlay]
    touched = _sides_touched(left, side)
    return {
        where: inlay + amount * sign if where in touched else inlay for where, inlay in left.items()
    }


def shortfall(
    at: Seam, left: Mapping[str, Length], operation_key: str, amount: Length, side: str
) -> dict[str, Length]:
    """How much cloth is missing, by side; empty when the seam holds enough.

    What must stay inside counts as missing. An operation that uses no inlay never falls short.
    """
    if operation(operation_key).inlay != USES:
        return {}
    after = inlay_after(left, operation_key, amount, side)
    touched = _sides_touched(left, side)
    return {
        where: at.keep - inlay
        for where, inlay in after.items()
        if where in touched and inlay < at.keep
    }


def _sides_touched(left: Mapping[str, Length], side: str) -> frozenset[str]:
    """The sides an operation moves. One that has no sides moves the whole of a sided seam."""
    whole = side == "both" or (not side and "" not in left)
    touched = frozenset(("L", "R") if whole else (side,))
    if not touched <= set(left):
        raise UnknownKeyError(f"The seam has no inlay entered for side “{side}”.")
    return touched


def working_order(
    lines: Iterable[Line],
    *,
    key: Callable[[Line], str] = attrgetter("operation"),
    table: Mapping[str, Operation] | None = None,
) -> list[Line]:
    """The lines in the order the work is done; lines that may change places keep theirs.

    A topological order by each operation's `after`; of those that are free, the lowest rank first,
    then the order given. `key` reads an operation's key from a line. ValueError with the keys
    named when the operations wait for each other; UnknownOperationError for an unknown key.
    """
    table = table or _OPERATIONS
    rows = list(lines)
    keys = [key(row) for row in rows]
    for name in keys:
        if name not in table:
            raise UnknownOperationError(f"There is no operation called “{name}”.")
    waits: TopologicalSorter[int] = TopologicalSorter(dict.fromkeys(range(len(rows)), ()))
    for one, other in combinations(range(len(rows)), 2):
        for first, second in ((one, other), (other, one)):
            if keys[first] in table[keys[second]].after:
                waits.add(second, first)
    try:
        waits.prepare()
    except CycleError as error:
        named = ", ".join(dict.fromkeys(keys[i] for i in error.args[1]))
        raise ValueError(f"These operations wait for each other: {named}.") from error
    return [rows[i] for i in _by_rank(waits, [table[name].rank for name in keys])]


def _by_rank(waits: "TopologicalSorter[int]", ranks: list[int]) -> list[int]:
    """Drain the sorter, always taking the free line of lowest rank, then of earliest place."""
    done: list[int] = []
    free: list[tuple[int, int]] = []
    while waits.is_active():
        for i in waits.get_ready():
            heapq.heappush(free, (ranks[i], i))
        _, i = heapq.heappop(free)
        done.append(i)
        waits.done(i)
    return done


def _known_kind(kind: str) -> str:
    if kind not in KINDS:
        raise UnknownKindError(f"There is no garment kind called “{kind}”.")
    return kind


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))


def _read_seam(row: Mapping[str, Any]) -> Seam:
    return Seam(
        key=row["key"],
        name=row["name"],
        sided=row.get("sided", False),
        halves=row.get("halves", False),
        inlay=parse(row["inlay"]) if "inlay" in row else None,
        keep=parse(row["keep"]) if "keep" in row else Length(0),
        source=row["source"],
    )


def _read_seams() -> dict[str, dict[str, Seam]]:
    tables = {
        kind: {row["key"]: _read_seam(row) for row in rows}
        for kind, rows in _read("seams.toml").items()
    }
    tables["overcoat"] = tables["coat"] | tables["overcoat"]
    return tables


def _read_operations() -> dict[str, Operation]:
    data = _read("operations.toml")
    steps = {row["key"]: row for row in data["step"]}
    members: dict[str, list[str]] = {key: [] for key in steps}
    for row in data["operation"]:
        members[row["step"]].append(row["key"])
    return {
        row["key"]: _read_operation(row, steps[row["step"]], members) for row in data["operation"]
    }


def _read_operation(
    row: Mapping[str, Any], step: Mapping[str, Any], members: Mapping[str, list[str]]
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
        after=frozenset(k for name in row.get("after", ()) for k in members.get(name, [name])),
        source=row["source"],
    )


def _places(at: Mapping[str, list[str]]) -> dict[str, tuple[str, ...]]:
    """Seam keys by kind, "*" spelled out; the overcoat goes by the coat."""
    places = {
        kind: tuple(_SEAMS[kind]) if keys == ["*"] else tuple(keys) for kind, keys in at.items()
    }
    return places | ({"overcoat": places["coat"]} if "coat" in places else {})


_SEAMS: Final = _read_seams()
_HALVED: Final = frozenset(s.key for rows in _SEAMS.values() for s in rows.values() if s.halves)
_SIDED: Final = frozenset(s.key for rows in _SEAMS.values() for s in rows.values() if s.sided)
_OPERATIONS: Final = _read_operations()
_BLOCKS: Final[dict[str, str]] = {
    row["key"]: row["reason"] for row in _read("operations.toml")["block"]
}
