"""What lines would do, chosen by anyone: the fitter changes a line and sees at once."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from customers.lengths import Length
from garments import seams
from garments.planning.rows import (
    NOTHING,
    Choice,
    Deviation,
    Place,
    PlanningError,
    Step,
    check,
    opened,
)
from garments.planning.wording import seam_name


@dataclass(frozen=True, slots=True)
class Measured:
    """A measure before and after. `beyond` is how far it then lies outside its tolerance."""

    deviation: Deviation
    after: Length
    beyond: Length

    @property
    def moved(self) -> Length:
        return self.after - self.deviation.found


@dataclass(frozen=True, slots=True)
class LineEffect:
    """One line, its minutes, the inlay at the side that has less, and what speaks against it."""

    step: Step
    minutes: int
    inlay_before: Length | None
    inlay_after: Length | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """All lines together. `warnings` are of the lines; what always follows is in `cautions`."""

    lines: tuple[LineEffect, ...]
    measures: tuple[Measured, ...]
    inlay_after: Mapping[Place, Length]
    minutes: int
    seams_opened: int

    @property
    def warnings(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(said for line in self.lines for said in line.warnings))


def effect_of(
    lines: Iterable[Step],
    deviations: Collection[Deviation],
    inlays: Mapping[Place, Length],
    operations: Collection[Choice],
    step: Length,
    *,
    blocked: Collection[str] = (),
    unit: str = "in",
) -> Effect:
    """The finished measures, inlays, minutes and warnings of `lines` as they stand.

    Nothing is refused for being beyond the cloth: it is warned of, by how much. PlanningError for
    what is no line at all: an unknown operation or seam, an amount missing or not above nothing.
    """
    check(deviations, inlays, operations, step)
    now, told = dict(inlays), []
    moved: dict[Place, Length] = {}
    steps = tuple(lines)
    found = {line: _choice(line, operations) for line in steps}
    for line in seams.working_order(steps):
        choice = found[line]
        amount = line.amount or NOTHING
        for place, times in choice.moved(line.side).items():
            moved[place] = moved.get(place, NOTHING) + seams.moved_by(times, amount)
        told.append(_line(line, choice, now, step=step, blocked=blocked, unit=unit))
    measures = []
    for row in deviations:
        after = row.found + moved.get(row.place, NOTHING)
        measures.append(Measured(row, after, row.beyond(after)))
    minutes = sum(line.minutes for line in told)
    return Effect(tuple(told), tuple(measures), now, minutes, len(opened(steps)))


def _choice(line: Step, operations: Iterable[Choice]) -> Choice:
    for choice in operations:
        if (choice.operation, choice.seam) == (line.operation, line.seam):
            if not isinstance(line.amount, Length) or line.amount <= NOTHING:
                raise PlanningError(f"{choice.name}: say how much, more than nothing.")
            return choice
    raise PlanningError(f"“{line.operation}” is not done at a seam called “{line.seam}”.")


def _line(
    line: Step,
    choice: Choice,
    now: dict[Place, Length],
    *,
    step: Length,
    blocked: Collection[str],
    unit: str,
) -> LineEffect:
    amount = line.amount or NOTHING
    places = [(choice.seam, side) for side in choice.covered(line.side)]
    sign = {seams.USES: -1, seams.FREES: 1, seams.NONE: 0}[choice.inlay]
    held = [place for place in places if place in now]
    before = min((now[place] for place in held), default=None)
    for place in held:
        now[place] += amount * sign
    after = None if before is None else before + amount * sign
    begun = -(-amount.nm // step.nm)
    return LineEffect(
        step=line,
        minutes=(choice.base_minutes + choice.minutes_per_step * begun) * len(places),
        inlay_before=before,
        inlay_after=after,
        warnings=tuple(_warnings(line, choice, after, step=step, blocked=blocked, unit=unit)),
        cautions=seams.operation(choice.operation).warnings,
    )


def _warnings(
    line: Step,
    choice: Choice,
    after: Length | None,
    *,
    step: Length,
    blocked: Collection[str],
    unit: str,
) -> list[str]:
    amount = line.amount or NOTHING
    name = seams.named_at(choice.name, seam_name(choice.seam))
    said = [f"{name}: {seams.block_reason(key)}" for key in choice.blocks if key in blocked]
    if choice.inlay == seams.USES:
        missing = choice.keep - (after if after is not None else -amount)
        if missing > NOTHING:
            said.append(f"{name}: {missing.text(unit)} of inlay is missing.")
    if choice.most is not None and amount > choice.most:
        said.append(f"{name}: beyond the usual limit of {choice.most.text(unit)}.")
    if amount.nm % step.nm:
        said.append(f"{name}: not in whole steps of {step.text(unit)}.")
    if line.side in ("L", "R") and any(not side for _, side in choice.moved(line.side)):
        said.append(f"{name}: one side only; see that the figure asks for it.")
    return said
