"""Where the lines and dots of an interval chart go. Pure: figures in, places out.

The template draws them with presentation attributes alone, so that one drawing serves the page
under its strict content policy, and paper. Places are in units of the view box.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from fittings.rates import Mean, Proportion, Row

WIDTH, LEFT, RIGHT = 420, 20, 392
TOP, ROW_HEIGHT = 30, 46
LONGEST_NAME, LONGEST_LINE = 44, 56  # letters that fit: of a name, with what is said of it
MOST_STEPS = 5
STEPS = (1, 2, 5, 10, 20)  # of the axis: per cent, or fittings


@dataclass(frozen=True, slots=True)
class Tick:
    x: float
    text: str


@dataclass(frozen=True, slots=True)
class Bar:
    """One group: its name and, unless there are too few to tell, its interval and its value.

    ``written`` is the name as it is drawn: shortened, and that there are too few.
    """

    name: str
    written: str
    figure: Proportion | Mean
    name_y: int
    line_y: int
    low: float = 0
    value: float = 0
    high: float = 0
    link: str = ""

    @property
    def top(self) -> int:
        """Where the row of the group begins: all of it is the link."""
        return self.name_y - 20


@dataclass(frozen=True, slots=True)
class Chart:
    """The axis, the groups, and where the figure of all together stands (None: too few)."""

    height: int
    ticks: list[Tick]
    bars: list[Bar]
    whole: float | None
    width: int = WIDTH
    top: int = TOP

    @property
    def says(self) -> str:
        return " ".join(f"{bar.name}: {bar.figure.words()}." for bar in self.bars)


@dataclass(frozen=True, slots=True)
class Axis:
    """From 0 to ``steps`` times ``step``, in per cent or in fittings."""

    step: int
    steps: int
    unit: str

    def place(self, value: float) -> float:
        share = max(value, 0) / (self.step * self.steps)
        return round(LEFT + share * (RIGHT - LEFT), 1)

    def ticks(self) -> list[Tick]:
        marks = [self.step * number for number in range(self.steps + 1)]
        return [Tick(self.place(mark), f"{mark}{self.unit}") for mark in marks]


def interval_chart(
    rows: Sequence[Row[Proportion] | Row[Mean]],
    whole: Proportion | Mean,
    links: Mapping[str, str] | None = None,
) -> Chart:
    """The intervals of the groups one under another, in the order of the table."""
    to = links or {}
    drawn = [row.figure for row in rows if not row.figure.too_few]
    axis = _axis([_scaled(figure)[2] for figure in drawn], "" if isinstance(whole, Mean) else " %")
    return Chart(
        height=TOP + ROW_HEIGHT * len(rows) + 10,
        ticks=axis.ticks(),
        bars=[
            _bar(row, TOP + ROW_HEIGHT * number, axis, to.get(row.name, ""))
            for number, row in enumerate(rows)
        ],
        whole=None if whole.too_few else axis.place(_scaled(whole)[1]),
    )


def _axis(highs: list[float], unit: str) -> Axis:
    return Axis(*round_steps(max(highs, default=1)), unit)


def round_steps(top: float) -> tuple[int, int]:
    """The round step of an axis that reaches ``top``, and how many of it."""
    step = next((step for step in STEPS if step * MOST_STEPS >= top), ceil(top / MOST_STEPS))
    return step, max(1, ceil(top / step))


def _bar(row: Row[Proportion] | Row[Mean], y: int, axis: Axis, link: str) -> Bar:
    said = f": {row.figure.shown}" if row.figure.too_few else ""
    most = min(LONGEST_NAME, LONGEST_LINE - len(said))
    name = row.name if len(row.name) <= most else f"{row.name[: most - 1]}…"
    bar = Bar(row.name, f"{name}{said}", row.figure, y + 20, y + 36, link=link)
    if row.figure.too_few:
        return bar
    low, value, high = (axis.place(at) for at in _scaled(row.figure))
    return replace(bar, low=low, value=value, high=high)


def _scaled(figure: Proportion | Mean) -> tuple[float, float, float]:
    """Low, value, high as the axis counts them: per cent for a rate, as they are for a mean."""
    value = figure.rate if isinstance(figure, Proportion) else figure.mean
    factor = 100 if isinstance(figure, Proportion) else 1
    return (
        factor * (figure.low or 0),
        factor * (value or 0),
        factor * (figure.high or 0),
    )
