"""The order in which the work is done."""

import heapq
from collections.abc import Callable, Iterable, Mapping
from graphlib import CycleError, TopologicalSorter
from itertools import combinations
from operator import attrgetter
from typing import TypeVar

from garments.seams.rows import UnknownOperationError
from garments.seams.work import OPERATIONS, Operation

Line = TypeVar("Line")


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
    table = table or OPERATIONS
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
