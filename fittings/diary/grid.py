"""The diary's sheet: columns of quarter hours, laid out as the rows of a table. Pure.

Quarters are counted from midnight by the house's clock: 40 is ten o'clock.
"""

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal
from zoneinfo import ZoneInfo

IN_AN_HOUR = 4
IN_A_DAY = 96
MINUTES = 15


@dataclass(frozen=True)
class Block:
    """Something that takes the quarters from ``first`` up to, not including, ``end``."""

    first: int
    end: int
    what: Any


@dataclass(frozen=True)
class Column:
    """What is in a column. ``shut`` are quarters that nothing can be booked in any more."""

    key: Any
    blocks: Sequence[Block] = ()
    shut: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Cell:
    """One cell of the table, ``span`` rows high. ``blocks`` share it when they meet in time."""

    kind: Literal["taken", "free", "shut"]
    column: Any
    first: int
    span: int
    blocks: tuple[Any, ...] = ()

    @property
    def clock(self) -> str:
        """When it begins, as ``10:15``."""
        return f"{time_of(self.first):%H:%M}"


@dataclass
class Row:
    """One quarter of an hour; ``hour_span`` is set where an hour's heading begins."""

    first: int
    hour_span: int = 0
    cells: list[Cell] = field(default_factory=list)

    @property
    def clock(self) -> str:
        """When it begins, as ``10:15``."""
        return f"{time_of(self.first):%H:%M}"


def time_of(quarter: int) -> datetime.time:
    return datetime.time(quarter // IN_AN_HOUR, quarter % IN_AN_HOUR * MINUTES)


def quarter_of(at: datetime.time, *, up: bool = False) -> int:
    """The quarter that ``at`` falls in, or with ``up`` the first that does not begin before it."""
    minutes = at.hour * 60 + at.minute
    return -(-minutes // MINUTES) if up else minutes // MINUTES


def block_of(
    starts: datetime.datetime, ends: datetime.datetime, zone: ZoneInfo, what: Any
) -> Block:
    """The quarters of a booking, whole ones, within the day on which it begins."""
    shown = starts.astimezone(zone).time()
    first = quarter_of(shown)
    minutes = shown.minute % MINUTES + (ends - starts) / datetime.timedelta(minutes=1)
    return Block(first, min(IN_A_DAY, first + math.ceil(minutes / MINUTES)), what)


def lay(columns: Sequence[Column], first: int, end: int) -> list[Row]:
    """Rows from ``first`` to ``end``, widened so that every block is seen whole.

    In every column each row is covered by exactly one cell.
    """
    blocks = [block for column in columns for block in column.blocks]
    first = min([first, *(block.first for block in blocks)])
    end = max([end, *(block.end for block in blocks)])
    rows = {quarter: Row(quarter, _hour_span(quarter, first, end)) for quarter in range(first, end)}
    for column in columns:
        for cell in _cells(column, first, end):
            rows[cell.first].cells.append(cell)
    return list(rows.values())


def _hour_span(quarter: int, first: int, end: int) -> int:
    """The rows an hour's heading spans where one begins, else none."""
    into = quarter % IN_AN_HOUR
    if into and quarter != first:
        return 0
    return min(end, quarter + IN_AN_HOUR - into) - quarter


def _cells(column: Column, first: int, end: int) -> list[Cell]:
    cells: list[Cell] = []
    at = first
    for cell in [*_taken(column), None]:
        until = cell.first if cell else end
        while at < until:
            gap = _gap(column, at, until)
            cells.append(gap)
            at += gap.span
        if cell:
            cells.append(cell)
            at += cell.span
    return cells


def _taken(column: Column) -> list[Cell]:
    """One cell for each block, or for several that meet: a missed one and who came instead."""
    cells: list[Cell] = []
    for block in sorted(column.blocks, key=lambda block: (block.first, block.end)):
        last = cells[-1] if cells else None
        if last and block.first < last.first + last.span:
            together = max(last.first + last.span, block.end) - last.first
            cells[-1] = Cell("taken", column.key, last.first, together, (*last.blocks, block.what))
        else:
            span = block.end - block.first
            cells.append(Cell("taken", column.key, block.first, span, (block.what,)))
    return cells


def _gap(column: Column, at: int, until: int) -> Cell:
    """A free half hour (or the odd quarter), or the whole of a stretch that is shut."""
    shut = at in column.shut
    end = at + 1
    while end < until and (end in column.shut) == shut and (shut or end % 2):
        end += 1
    return Cell("shut" if shut else "free", column.key, at, end - at)
