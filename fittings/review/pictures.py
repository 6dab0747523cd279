"""Where the marks of the review's pictures go. Pure: figures in, places of the view box out.

The templates draw them with presentation attributes alone, one drawing for the page under its
strict content policy and for paper. Nothing is told by colour: what is beyond a limit is a filled
square, what is inside an open circle, and every mark is named in the table beneath.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from fittings.rates import Funnel, MonthlyChart, Returning
from fittings.rates.funnel import BEYOND_OUTER
from fittings.rates.returning import Step
from fittings.review.charts import MOST_STEPS, round_steps

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 64, 620, 18, 244
MOST_BEAMS = 12
MOST_NAMES = 12  # of months under the axis
APART = 36  # of marks that are touched, two of 16 about
LETTER, LINE = 9, 17  # about the width of a letter at 16 units, and the height of its line
FARTHEST = 8  # half lines that a name may stand above or below its mark
Box = tuple[float, float, float]  # left, right and base line of a name


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A point with its words and link; ``beyond`` makes it a filled square."""

    x: float
    y: float
    says: str
    link: str
    beyond: bool
    name: str = ""
    name_x: float = 0
    anchor: str = "start"
    name_y: float = 0

    @property
    def led(self) -> bool:
        """Whether its name stands so far off that a line has to lead to it."""
        return bool(self.name) and abs(self.name_y - _level(self.y)) >= LINE

    @property
    def corner(self) -> tuple[float, float]:
        """Where a square of 14 about the point begins."""
        return round(self.x - 7, 1), round(self.y - 7, 1)


@dataclass(frozen=True, slots=True)
class Picture:
    """Marks, lines (each a run of points), a middle, and the ticks of both axes."""

    key: str
    title: str
    says: str
    marks: list[Mark]
    solid: list[str]
    dashed: list[str]
    dotted: list[str]
    middle: float | None
    across: list[Tick]
    up: list[Tick]
    foot: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = RIGHT
    top: int = TOP
    bottom: int = BOTTOM


@dataclass(frozen=True, slots=True)
class Scale:
    """Per cent upward, from 0 to the first round step that holds the highest."""

    top: int
    step: int

    @classmethod
    def holding(cls, rates: Iterable[float]) -> "Scale":
        highest = min(max([*rates, 0.01]) * 100, 100)
        step, steps = round_steps(highest)
        return cls(step * steps, step)

    def y(self, rate: float) -> float:
        share = min(max(rate * 100 / self.top, 0), 1)
        return round(BOTTOM - share * (BOTTOM - TOP), 1)

    def ticks(self) -> list[Tick]:
        return [Tick(self.y(mark / 100), f"{mark} %") for mark in range(0, self.top + 1, self.step)]


def month_picture(chart: MonthlyChart, links: Sequence[str], title: str) -> Picture:
    """The months one after another with the limits of each as steps."""
    drawn = [month for month in chart.months if month.rate is not None]
    scale = Scale.holding(value for month in drawn for value in (month.rate or 0, month.high or 0))
    slot = (RIGHT - LEFT) / max(len(chart.months), 1)
    middles = [round(LEFT + slot * (place + 0.5), 1) for place in range(len(chart.months))]
    every = ceil(len(middles) / MOST_NAMES) if middles else 1
    marks = [
        Mark(
            x,
            scale.y(month.rate),
            f"{month.name}: {month.k} of {month.n}",
            link,
            month.outside or month.run,
        )
        for month, x, link in zip(chart.months, middles, links, strict=True)
        if month.rate is not None
    ]
    return Picture(
        "months",
        title,
        " ".join(chart.signals) or "No month stands out.",
        marks,
        [" ".join(f"{mark.x},{mark.y}" for mark in marks)],
        [],
        [
            f"{x - slot / 2:.1f},{y} {x + slot / 2:.1f},{y}"
            for month, x in zip(chart.months, middles, strict=True)
            if month.low is not None and month.high is not None
            for y in (scale.y(month.low), scale.y(month.high))
        ],
        None if chart.middle is None else scale.y(chart.middle),
        [
            Tick(x, month.name[2:])
            for place, (month, x) in enumerate(zip(chart.months, middles, strict=True))
            if place % every == 0
        ],
        scale.ticks(),
        "month",
    )


def funnel_picture(found: Funnel, links: Sequence[str], title: str, unit: str) -> Picture:
    """The groups by their number of ``unit``, with the limits that luck keeps to."""
    scale = Scale.holding(
        [*(point.rate for point in found.points), *(high for _, high in found.outer[3:])]
    )
    most = found.sizes[-1]

    def x(n: float) -> float:
        return round(LEFT + min(n / most, 1) * (RIGHT - LEFT), 1)

    def lines(pairs: Sequence[tuple[float, float]]) -> list[str]:
        return [
            " ".join(
                f"{x(n)},{scale.y(pair[side])}"
                for n, pair in zip(found.sizes, pairs, strict=True)
                if pair[side] * 100 <= scale.top
            )
            for side in (0, 1)
        ]

    marks = [
        Mark(
            x(point.n),
            scale.y(point.rate),
            f"{point.name}: {point.k} of {point.n}, {point.lies}",
            link,
            # One in twenty equal rows lies beyond the inner limits: that names nobody.
            point.lies == BEYOND_OUTER,
        )
        for point, link in zip(found.points, links, strict=True)
    ]
    marks = _named(marks, [point.name for point in found.points])
    beyond = [f"{mark.says}." for mark in marks if mark.beyond]
    return Picture(
        "groups",
        title,
        " ".join(beyond) or "No group lies beyond the 99.8 % limits.",
        marks,
        [],
        lines(found.inner),
        lines(found.outer),
        scale.y(found.target),
        [Tick(x(n), str(n)) for n in _round_numbers(most)],
        scale.ticks(),
        unit,
    )


def _named(marks: Sequence[Mark], names: Sequence[str]) -> list[Mark]:
    """The marks with their names beside them where there is room; the table holds each name.

    Those that need no line to lead to them come first, so that none is taken for another's.
    """
    named: dict[int, Mark] = {}
    for steps in ((0,), sorted(range(-FARTHEST, FARTHEST + 1), key=abs)):
        for place, (mark, name) in enumerate(zip(marks, names, strict=True)):
            if place not in named:
                others = [other for other in marks if other is not mark]
                found = _beside(
                    mark, name, steps, [*map(_kept_clear, others), *map(_box, named.values())]
                )
                named |= {place: found} if found else {}
    return [named.get(place, mark) for place, mark in enumerate(marks)]


def _beside(mark: Mark, name: str, steps: Sequence[int], taken: Sequence[Box]) -> Mark | None:
    """The mark with its name to the right or the left, by as few half lines off as it can be."""
    for step in steps:
        for anchor, name_x in (("start", mark.x + 12), ("end", mark.x - 12)):
            height = round(_level(mark.y) + step * LINE / 2, 1)
            named = replace(mark, name=name, name_x=name_x, anchor=anchor, name_y=height)
            if _is_free(_box(named), taken):
                return named
    return None


def _level(y: float) -> float:
    """The base line of words at the height of a mark, above the axis."""
    return min(y + 5, BOTTOM - 7)


def _kept_clear(mark: Mark) -> Box:
    """Where no other's name stands: over a mark, or so near that it would be taken for its name."""
    return mark.x - 20, mark.x + 20, _level(mark.y)


def _box(named: Mark) -> Box:
    length = LETTER * len(named.name)
    left = named.name_x if named.anchor == "start" else named.name_x - length
    return left, left + length, named.name_y


def _is_free(box: Box, taken: Sequence[Box]) -> bool:
    """Whether a name fits in the picture there, and runs into nothing."""
    left, right, height = box
    return (
        left >= LEFT
        and right <= RIGHT
        and LINE <= height <= BOTTOM - 7
        and not any(
            left < end and begin < right and abs(height - at) < LINE for begin, end, at in taken
        )
    )


def curve_picture(curve: Returning, links: Mapping[int, str], title: str) -> Picture:
    """The share that had come back by each day, as steps with their band.

    Marks lead by ``links`` to the garments that came back until their day: at the last step, and
    at those before it that a finger can tell apart.
    """
    days = max(curve.watched, 1)
    highs = [1 - step.low for step in curve.steps if step.low is not None]
    scale = Scale.holding([*(step.returned for step in curve.steps), *highs])

    def x(day: float) -> float:
        return round(LEFT + day / days * (RIGHT - LEFT), 1)

    def stairs(values: list[tuple[int, float]]) -> str:
        before, places = scale.y(0), [f"{LEFT},{scale.y(0)}"]
        for day, value in values:
            at, height = x(day), scale.y(value)
            places += [f"{at},{before}", f"{at},{height}"]
            before = height
        return " ".join([*places, f"{RIGHT},{before}"])

    lows = [(step.day, 1 - step.high) for step in curve.steps if step.high is not None]
    tops = [(step.day, 1 - step.low) for step in curve.steps if step.low is not None]
    last = curve.steps[-1] if curve.steps else None
    says = f"{_by_day(last)}." if last else "None has come back."
    marks: list[Mark] = []
    for step in reversed(curve.steps):
        at, height = x(step.day), scale.y(step.returned)
        if not marks or max(marks[-1].x - at, height - marks[-1].y) >= APART:
            marks.append(Mark(at, height, _by_day(step), links[step.day], beyond=False))
    return Picture(
        "curve",
        title,
        says,
        marks[::-1],
        [stairs([(step.day, step.returned) for step in curve.steps])],
        [stairs(lows), stairs(tops)] if lows else [],
        [],
        None,
        [Tick(x(n), str(n)) for n in _round_numbers(days)],
        scale.ticks(),
        "days after delivery",
    )


def _by_day(step: Step) -> str:
    return f"By day {step.day}, {step.returned * 100:.1f} % had come back"


@dataclass(frozen=True, slots=True)
class Beam:
    """One bar of a Pareto drawing: its length, and its words beside it."""

    name: str
    counted: str
    share: str
    y: int
    length: float
    link: str = ""

    @property
    def end(self) -> float:
        """Where the words after the bar begin."""
        return round(self.length + 12, 1)


@dataclass(frozen=True, slots=True)
class Beams:
    key: str
    title: str
    says: str
    beams: list[Beam]
    height: int
    width: int = WIDTH


def beams(
    key: str,
    title: str,
    rows: Sequence[tuple[str, int, str]],
    lead: str = "Most often",
    unit: str = "",
) -> Beams:
    """Bars of rows of (name, count, link), longest first, with what they make up together."""
    first, total = rows[:MOST_BEAMS], sum(count for _, count, _ in rows)
    highest = max((count for _, count, _ in first), default=0) or 1
    drawn, so_far = [], 0
    for place, (name, count, link) in enumerate(first):
        so_far += count
        counted = f"{count}{unit}"
        share = f"{counted} ({so_far * 100 / total:.0f} % so far)" if total else counted
        drawn.append(Beam(name, counted, share, 44 * place, round(440 * count / highest, 1), link))
    says = "; ".join(f"{beam.name} {beam.counted}" for beam in drawn[:3])
    return Beams(key, title, f"{lead}: {says}." if says else "", drawn, 44 * len(drawn) + 4)


def _round_numbers(most: int) -> list[int]:
    step = next(
        size * power
        for power in (1, 10, 100, 1000, 10_000)
        for size in (1, 2, 5)
        if size * power * (MOST_STEPS + 1) >= most
    )
    return list(range(0, most + 1, step))
