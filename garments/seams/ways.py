"""Which way an operation moves its line, read from `ways.toml`: the word and the sign of it."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from garments.seams.rows import SIDE_NAMES, Seam, read_data
from garments.seams.work import OPERATIONS, Operation, OperationsError


class Way(NamedTuple):
    """`word` stands beside the amount; `sign` is what is drawn at the seam; `edges` is 1 or 2."""

    word: str
    sign: str
    edges: int


STILL: Final = Way("", "", 1)  # of an operation that takes no amount


def way_of(operation: Operation) -> Way:
    return WAYS.get(operation.key, STILL)


def side_words(operation: Operation, seam: Seam, side: str) -> str:
    """On which side an amount is meant: "each side" or "in all" is always in it.

    A seam let out on the one side is marked on both its edges, and says so: "in all" would be read
    as half on each.
    """
    if side in ("L", "R") and way_of(operation).edges > 1:
        return f"each side of the seam, {SIDE_NAMES[side]} only"
    return operation.amount_words(side, seam.key)


def read_ways(data: Mapping[str, Any], table: Mapping[str, Operation]) -> dict[str, Way]:
    """The ways by operation. OperationsError where one is missing, unknown or named twice."""
    pairs = [
        (key, Way(row["word"], row["sign"], row.get("edges", 1)))
        for row in data["way"]
        for key in row["operations"]
    ]
    ways = dict(pairs)
    wanted = {key for key, row in table.items() if row.takes_amount}
    if len(ways) != len(pairs) or ways.keys() != wanted:
        odd = sorted(ways.keys() ^ wanted) or sorted(k for k, _ in pairs if k in ways)
        raise OperationsError(f"ways.toml must name once what takes an amount: {', '.join(odd)}.")
    return ways


_DATA: Final = read_data("ways.toml")
WAYS: Final[Mapping[str, Way]] = MappingProxyType(read_ways(_DATA, OPERATIONS))
LEVEL: Final = frozenset[str](_DATA["level"])
