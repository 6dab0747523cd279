"""Where the marks of a reliability diagram go. Pure: tenths in, places in the view box out."""

from collections.abc import Sequence
from dataclasses import dataclass

from fittings.learning.calibration import Bin

SIZE, LEFT, TOP = 320, 64, 40  # of the square, and the room beside it for the numbers
QUARTERS = (0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class Mark:
    """One tenth: where its mean stands against what came true, and the range of that."""

    x: float
    y: float
    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Diagram:
    """The square with its ticks, the marks of what was said, and those of the catalogue alone."""

    across: list[Tick]
    up: list[Tick]
    said: list[Mark]
    alone: list[Mark]
    base_y: float
    left: int = LEFT
    top: int = TOP
    right: int = LEFT + SIZE
    bottom: int = TOP + SIZE
    middle: int = LEFT + SIZE // 2
    foot: int = TOP + SIZE + 22
    width: int = LEFT + SIZE + 24
    height: int = TOP + SIZE + 64


def reliability_diagram(said: Sequence[Bin], alone: Sequence[Bin], base_rate: float) -> Diagram:
    """Said across, came true upwards; a tool that means what it says lies on the diagonal."""
    return Diagram(
        across=[Tick(_x(share), f"{share:.0%}") for share in QUARTERS],
        up=[Tick(_y(share), f"{share:.0%}") for share in QUARTERS],
        said=[_mark(each) for each in said],
        alone=[_mark(each) for each in alone],
        base_y=_y(base_rate),
    )


def _mark(each: Bin) -> Mark:
    came = each.came
    low, rate, high = came.low or 0.0, came.rate or 0.0, came.high or 0.0
    words = f"Said {each.forecast:.0%}, came true {came.words()}"
    return Mark(_x(each.forecast), _y(rate), _y(low), _y(high), words)


def _x(share: float) -> float:
    return round(LEFT + SIZE * share, 1)


def _y(share: float) -> float:
    return round(TOP + SIZE * (1 - share), 1)
