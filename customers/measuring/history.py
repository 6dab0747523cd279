"""Each point of a customer over time: its chart, the table beside it, and the slow trend. Pure."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from customers.change import LEVEL, Dated, Trend, compare, trend
from customers.measuring.charts import Chart, chart
from customers.measuring.sheet import SIDES, Measures
from customers.points import POINTS, Point

Taken = tuple[datetime.date, Measures]


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading and what it is of the one before: changed, or only read anew."""

    day: datetime.date
    side: str
    text: str
    words: str
    changed: bool


@dataclass(frozen=True, slots=True)
class PointHistory:
    """A point over time: newest reading first; ``chart`` is None where there is one day only."""

    point: Point
    readings: list[Reading]
    chart: Chart | None
    trends: list[tuple[str, Trend]]

    @property
    def moves(self) -> bool:
        """Whether any of its trends is more than the tape's noise."""
        return any(found.changed for _, found in self.trends)

    @property
    def told(self) -> list[str]:
        """What the trends say, the side named where there are two."""
        return [f"{side}: {found.words}" if side else found.words for side, found in self.trends]


def histories(sets: Sequence[Taken], unit: str) -> list[tuple[str, list[PointHistory]]]:
    """Every point ever taken, in groups as on the sheet; ``sets`` oldest first, of one customer.

    The trends share one level: of all points together, one unchanged figure in twenty shows any.
    """
    series: dict[str, dict[str, list[Dated]]] = {}
    for day, measures in sets:
        for (point, side), length in measures.items():
            series.setdefault(point, {}).setdefault(side, []).append((day, length))
    taken = [point for point in POINTS if point.key in series]
    lines = sum(len(sides) for sides in series.values())
    level = LEVEL / max(1, lines)
    return [
        (name, [_history(point, series[point.key], unit, level) for point in within])
        for name, within in groupby(taken, key=lambda point: point.group)
    ]


def _history(point: Point, series: dict[str, list[Dated]], unit: str, level: float) -> PointHistory:
    named = {SIDES[side]: series[side] for side in point.sides if side in series}
    readings = [one for side, dated in named.items() for one in _readings(point, side, dated, unit)]
    found = {side: trend(point.key, dated, unit=unit, level=level) for side, dated in named.items()}
    return PointHistory(
        point=point,
        readings=sorted(readings, key=lambda one: one.day, reverse=True),
        chart=chart(point.key, named, unit),
        trends=[(side, line) for side, line in found.items() if line],
    )


def _readings(point: Point, side: str, dated: Sequence[Dated], unit: str) -> list[Reading]:
    told = []
    before: Measures = {}
    for day, length in dated:
        now = {(point.key, ""): length}
        change = compare(before, now, unit=unit).get((point.key, ""))
        words, changed = (change.words, change.changed) if change else ("", False)
        told.append(Reading(day, side, length.text(unit), words, changed))
        before = now
    return told
