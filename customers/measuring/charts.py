"""Where the marks of a measure over time go. Pure: dated readings in, places out.

One template draws them for the page and for paper, black on white, with presentation attributes
alone. Places are in units of the view box. The band is what counts as no change from the newest
reading; a reading outside it differs by more than the tape.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Final

from customers.change import Dated, error_of
from customers.lengths import NM, Length

WIDTH, HEIGHT = 440, 238
LEFT, RIGHT, TOP, BOTTOM = 106, 420, 14, 190  # of the dots
STEPS: Final = {
    "in": [Fraction(step) for step in ("1/4", "1/2", "1", "2", "5", "10", "20", "50")],
    "cm": [Fraction(step) for step in ("1/2", "1", "2", "5", "10", "20", "50", "100")],
}
MOST_STEPS: Final = 5
NARROWEST: Final = 56  # between two years that are written


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Track:
    """The readings of one side: dots joined by a line, and the band about the newest."""

    side: str
    dots: list[tuple[float, float]]
    band_top: float
    band_height: float

    @property
    def line(self) -> str:
        return " ".join(f"{x},{y}" for x, y in self.dots)

    @property
    def squares(self) -> list[tuple[float, float]]:
        """The upper left corners of the right side's marks, 10 wide."""
        return [(x - 5, y - 5) for x, y in self.dots]


@dataclass(frozen=True, slots=True)
class Chart:
    tracks: list[Track]
    years: list[Tick]
    levels: list[Tick]
    first: str
    last: str
    width: int = WIDTH
    height: int = HEIGHT
    label: int = LEFT - 20  # where the words of the levels end
    left: int = LEFT - 12
    edge: int = RIGHT + 12
    band_width: int = RIGHT - LEFT + 24
    top: int = TOP
    bottom: int = BOTTOM


@dataclass(frozen=True, slots=True)
class Axis:
    """A straight scale: what lies at ``low`` is drawn at ``start``, what at ``high`` at ``end``."""

    low: float
    high: float
    start: int
    end: int

    def place(self, value: float) -> float:
        return round(
            self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start), 1
        )


def chart(point: str, series: Mapping[str, Sequence[Dated]], unit: str) -> Chart | None:
    """The readings of a point by side, oldest first; None unless they are of two days or more."""
    days = sorted({day for readings in series.values() for day, _ in readings})
    if len(days) < 2:  # noqa: PLR2004 - one day is no time
        return None
    error = _number(error_of(point), unit)
    plotted = {
        side: [(day, _number(value, unit)) for day, value in readings]
        for side, readings in series.items()
    }
    values = [value for readings in plotted.values() for _, value in readings]
    newest = [readings[-1][1] for readings in plotted.values()]
    low, high = min(*values, min(newest) - error), max(*values, max(newest) + error)
    across = Axis(days[0].toordinal(), days[-1].toordinal(), LEFT, RIGHT)
    levels, up = _levels(low, high, unit)
    return Chart(
        tracks=[_track(side, dots, error, across, up) for side, dots in plotted.items()],
        years=_years(days[0], days[-1], across),
        levels=levels,
        first=f"{days[0]:%-d %b %Y}",
        last=f"{days[-1]:%-d %b %Y}",
    )


def _track(
    side: str, readings: Sequence[tuple[datetime.date, float]], error: float, across: Axis, up: Axis
) -> Track:
    dots = [(across.place(day.toordinal()), up.place(value)) for day, value in readings]
    newest = readings[-1][1]
    top, bottom = up.place(newest + error), up.place(newest - error)
    return Track(side, dots, top, round(bottom - top, 1))


def _levels(low: float, high: float, unit: str) -> tuple[list[Tick], Axis]:
    """Round levels from below the lowest to above the highest, six at most, and their axis."""
    for step in STEPS[unit]:
        below, above = floor(Fraction(low) / step), ceil(Fraction(high) / step)
        if above - below <= MOST_STEPS:
            break
    above = max(above, below + 1)
    axis = Axis(float(below * step), float(above * step), BOTTOM, TOP)
    marks = [number * step for number in range(below, above + 1)]
    shown = [Tick(axis.place(float(at)), Length.of(at, unit).text(unit)) for at in marks]
    return shown, axis


def _years(first: datetime.date, last: datetime.date, across: Axis) -> list[Tick]:
    """The beginnings of years, few enough to be written side by side."""
    starts = [datetime.date(year, 1, 1) for year in range(first.year + 1, last.year + 1)]
    found: list[Tick] = []
    for day in starts:
        at = across.place(day.toordinal())
        if not found or at - found[-1].at >= NARROWEST:
            found.append(Tick(at, f"{day.year}"))
    return found


def _number(length: Length, unit: str) -> float:
    return length.nm / NM[unit]
