"""What a plan is made from and of. All lengths are `Length`; amounts are on each side said."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from customers.lengths import Length
from garments import seams
from garments.cutting.finished import POINTS

Place = tuple[str, str]
NOTHING: Final = Length(0)
KNOWN_SEAMS: Final = frozenset(s.key for kind in seams.KINDS for s in seams.seams(kind))


class PlanningError(ValueError):
    """What cannot be planned from; the message is a sentence that names it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """A finished measure as found and as aimed at; from `low` to `high` it is right.

    `weight` is how much an inch out counts against an inch at another point.
    """

    point: str
    side: str = ""
    found: Length
    target: Length
    low: Length
    high: Length
    weight: int = 1
    name: str = ""

    @property
    def place(self) -> Place:
        return self.point, self.side

    @property
    def called(self) -> str:
        return self.name or f"{self.point} {self.side}".strip()

    @property
    def out(self) -> Length:
        """Over the target, below nothing when under."""
        return self.found - self.target

    def beyond(self, measure: Length) -> Length:
        """How far a measure lies outside the tolerance, signed; nothing when inside."""
        if measure < self.low:
            return measure - self.low
        return measure - self.high if measure > self.high else NOTHING


@dataclass(frozen=True, slots=True)
class Step:
    """An alteration with its amount: pinned by the fitter, or a line changed by him."""

    operation: str
    seam: str
    side: str
    amount: Length | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Something that may be done at a seam. `moves` is {side: {(point, side): times the amount}}.

    `keep` must stay inside the seam; `most` is the trade's limit, None where only cloth says it.
    A choice that is not `proposed` is never planned from a measure, only when it is pinned.
    """

    operation: str
    seam: str
    moves: Mapping[str, Mapping[Place, Fraction]]
    inlay: str = seams.NONE
    keep: Length = NOTHING
    most: Length | None = None
    base_minutes: int = 30
    minutes_per_step: int = 0
    against: frozenset[str] = frozenset()
    blocks: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()
    proposed: bool = True

    @property
    def sides(self) -> tuple[str, ...]:
        return tuple(self.moves)

    def covered(self, side: str) -> tuple[str, ...]:
        """The sides of the seam that a line on `side` works at."""
        return (side,) if side in ("L", "R") else self.sides

    def moved(self, side: str) -> dict[Place, Fraction]:
        """What one unit of amount moves when done on `side`, both sides summed."""
        total: dict[Place, Fraction] = {}
        for each in self.covered(side):
            for place, times in self.moves[each].items():
                total[place] = total.get(place, Fraction(0)) + times
        return total

    def opposes(self, other: "Choice") -> bool:
        """Whether the two work against each other at the same seam."""
        if self.seam != other.seam:
            return False
        ways = {self.inlay, other.inlay}
        return other.operation in self.against or ways == {seams.USES, seams.FREES}

    @property
    def name(self) -> str:
        return seams.operation(self.operation).name


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One line of a plan, in working order. Inlays are of the side that has less.

    `gives` is what it does to each measure planned for; `pinned` when the fitter had decided it.
    """

    operation: str
    seam: str
    side: str
    amount: Length
    minutes: int
    inlay_before: Length | None
    inlay_after: Length | None
    gives: Mapping[Place, Length]
    why: str
    pinned: bool = False

    @property
    def step(self) -> Step:
        return Step(self.operation, self.seam, self.side, self.amount)


@dataclass(frozen=True, slots=True)
class Left:
    """What stays wrong: `beyond` the tolerance by so much, signed; `found` is the measure then."""

    place: Place
    name: str
    found: Length
    beyond: Length
    words: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What is honest to say of what stays wrong: `accept`, `piece`, `remake`, or empty."""

    kind: str
    pieces: tuple[str, ...]
    cloth: Length
    words: str


@dataclass(frozen=True, slots=True)
class Plan:
    """Lines in working order, and what they come to. `left_out` are the choices refused, with why.

    `inlay_after` is by (seam, side), for every place that came with an inlay.
    """

    lines: tuple[PlanLine, ...]
    left_over: tuple[Left, ...]
    inlay_after: Mapping[Place, Length]
    minutes: int
    why: tuple[str, ...]
    left_out: tuple[str, ...]
    answer: Answer

    @property
    def seams_opened(self) -> int:
        """Left and right of a seam are two."""
        return len(opened(self.lines))


def opened(lines: Iterable[Any]) -> set[Place]:
    """The places opened by lines: a line on both sides opens two."""
    return {
        (line.seam, side)
        for line in lines
        for side in (("L", "R") if line.side == "both" else (line.side,))
    }


def check(
    deviations: Collection[Deviation],
    inlays: Mapping[Place, Length],
    choices: Collection[Choice],
    step: Length,
) -> None:
    """PlanningError for the first thing that cannot be planned from."""
    if not isinstance(step, Length) or step <= NOTHING:
        raise PlanningError("The step must be more than nothing: 1/8 in or 3 mm.")
    if len({d.place for d in deviations}) < len(deviations):
        raise PlanningError("A measure is given twice: which of the two holds?")
    for deviation in deviations:
        _check_deviation(deviation)
    known = KNOWN_SEAMS | {choice.seam for choice in choices}
    for (seam, side), left in inlays.items():
        if seam not in known or side not in ("L", "R", ""):
            raise PlanningError(f"There is no seam called “{f'{seam} {side}'.strip()}”.")
        _check_length(left, f"The inlay of the {seam}")
    for choice in choices:
        _check_choice(choice)


def _check_deviation(row: Deviation) -> None:
    for name in ("found", "target", "low", "high"):
        _check_length(getattr(row, name), f"{row.called}, {name}")
    if not row.low <= row.high:
        raise PlanningError(f"{row.called}: the least is more than the most.")
    if not row.low <= row.target <= row.high:
        raise PlanningError(f"{row.called}: the target lies outside its own tolerance.")
    if not isinstance(row.weight, int) or row.weight < 1:
        raise PlanningError(f"{row.called}: a weight is a whole number from 1.")


def _check_choice(choice: Choice) -> None:
    if choice.seam not in KNOWN_SEAMS:
        raise PlanningError(f"There is no seam called “{choice.seam}”.")
    try:
        seams.operation(choice.operation)
    except seams.UnknownOperationError as error:
        raise PlanningError(str(error)) from error
    if choice.sides not in (("L", "R"), ("",)):
        raise PlanningError(f"{choice.name}: a seam has a left and a right, or neither.")


def _check_length(value: Any, name: str) -> None:
    if not isinstance(value, Length):
        raise PlanningError(f"{name}: {value} is no length.")
    if value < NOTHING:
        raise PlanningError(f"{name} is below nothing.")


def point_name(kind: str, place: Place) -> str:
    """`Sleeve, left`."""
    point, side = place
    return next((p.called(side) for p in POINTS[kind] if p.key == point), point)
