"""The plan itself: what was pinned first, then what the measures still ask for."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from customers.lengths import Length
from garments import seams
from garments.planning.answering import answer_for
from garments.planning.rows import (
    NOTHING,
    Choice,
    Deviation,
    Left,
    Place,
    Plan,
    PlanLine,
    PlanningError,
    Step,
    check,
    opened,
)
from garments.planning.solving import Problem, Unit, solve
from garments.planning.wording import line_why, measure_words, plan_why, seam_name


def plan(
    deviations: Iterable[Deviation],
    inlays: Mapping[Place, Length],
    operations: Iterable[Choice],
    step: Length,
    *,
    pinned: Iterable[Step] = (),
    blocked: Collection[str] = (),
    kind: str = "",
    cloth_left: Length | None = None,
    to_target: bool = False,
    unit: str = "in",
) -> Plan:
    """The alterations that bring every measure within its tolerance, in working order.

    First the least weighted distance outside the tolerances, then the fewest seams opened, then
    the least minutes, then the least moved that was not measured. With `to_target` the amounts go
    as near to the targets as those seams and operations allow, whatever minutes that adds. Amounts
    are whole `step`s, never beyond the usable inlay or the trade's limit; left and right alike,
    unless a sided measure or a pin asks for one side. `pinned` steps come first and as they are, to
    the nearest step, as far as the cloth goes. `blocked` are the keys of what is cut already or
    must match (`seams.block_reason`); what it stops is left out, and something instead of a pin is
    taken where the tables know it. `inlays` is by (seam, side); a place left out holds nothing.
    `kind` and `cloth_left` let the answer name the piece to be cut again. PlanningError for what
    cannot be planned from.
    """
    deviations, choices, pins = tuple(deviations), tuple(operations), tuple(pinned)
    check(deviations, inlays, choices, step)
    bench = _Bench(choices, dict(inlays), step, frozenset(blocked), unit)
    for pin in seams.working_order(_known(pins, bench)):
        bench.pin(pin)
    now = [replace(row, found=row.found + bench.given(row.place)) for row in deviations]
    units = list(bench.units(now))
    problem = Problem(
        units, now, bench.room(), step, frozenset(opened(bench.lines)), to_target=to_target
    )
    for unit_, steps in zip(units, solve(problem), strict=True):
        if steps:
            bench.take(unit_.choice, unit_.side, step * steps, pinned=False)
    return _written(bench, deviations, kind, cloth_left)


@dataclass
class _Bench:
    """The garment as the lines taken so far leave it."""

    choices: Sequence[Choice]
    inlays: dict[Place, Length]
    step: Length
    blocked: frozenset[str]
    unit: str
    lines: list[PlanLine] = field(default_factory=list)
    short: list[Left] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    stopped: set[Place] = field(default_factory=set)

    def choice(self, operation: str, seam: str) -> Choice:
        for choice in self.choices:
            if (choice.operation, choice.seam) == (operation, seam):
                return choice
        raise PlanningError(f"“{operation}” is not done at a seam called “{seam}”.")

    def stops(self, choice: Choice, sides: Iterable[str]) -> list[str]:
        """Why a choice cannot be done on these sides, in sentences; empty when it can."""
        found = [seams.block_reason(key) for key in choice.blocks if key in self.blocked]
        if choice.inlay == seams.USES and not all(self.usable(choice, side) for side in sides):
            found.append(seams.block_reason("no-inlay"))
        return found

    def usable(self, choice: Choice, side: str) -> int:
        """Whole steps of inlay that can still be let out there."""
        left = self.inlays.get((choice.seam, side), NOTHING) - choice.keep
        return max(left.nm // self.step.nm, 0)

    def room(self) -> dict[Place, int]:
        """The same for every place some choice lets out; what must stay inside is the seam's."""
        return {
            (choice.seam, side): self.usable(choice, side)
            for choice in self.choices
            if choice.inlay == seams.USES
            for side in choice.sides
        }

    def cap(self, choice: Choice, sides: Iterable[str]) -> int:
        caps = [(choice.most or seams.MOST).nm // self.step.nm]
        if choice.inlay == seams.USES:
            caps += [self.usable(choice, side) for side in sides]
        return min(caps)

    def given(self, place: Place) -> Length:
        """What the lines so far do to a measure."""
        return sum((line.gives.get(place, NOTHING) for line in self.lines), NOTHING)

    def pin(self, pin: Step) -> None:
        """Take a pin as far as it can be done; keep what it falls short by."""
        choice = self.choice(pin.operation, pin.seam)
        sides = choice.covered(pin.side)
        wanted = self.step * max(round((pin.amount or NOTHING).nm / self.step.nm), 1)
        if why := self.stops(choice, sides):
            self.left_out.append(_refused(choice, why))
            instead = self._instead(choice, sides)
            if instead is None:
                self._fall_short(choice, pin.side, NOTHING, wanted)
                return
            choice = instead
        amount = min(wanted, self.step * self.cap(choice, sides))
        self.take(choice, pin.side, amount, pinned=True)
        if amount < wanted:
            self._fall_short(choice, pin.side, amount, wanted)

    def take(self, choice: Choice, side: str, amount: Length, *, pinned: bool) -> None:
        """Write a line and move the inlay."""
        places = [(choice.seam, each) for each in choice.covered(side)]
        held = [place for place in places if place in self.inlays]
        before = min((self.inlays[place] for place in held), default=None)
        sign = {seams.USES: -1, seams.FREES: 1, seams.NONE: 0}[choice.inlay]
        for place in held:
            self.inlays[place] += amount * sign
        steps = amount.nm // self.step.nm
        self.lines.append(
            PlanLine(
                operation=choice.operation,
                seam=choice.seam,
                side=side,
                amount=amount,
                minutes=(choice.base_minutes + choice.minutes_per_step * steps) * len(places),
                inlay_before=before,
                inlay_after=None if before is None else before + amount * sign,
                gives={
                    place: seams.moved_by(times, amount)
                    for place, times in choice.moved(side).items()
                },
                why="",
                pinned=pinned,
            )
        )

    def units(self, now: Sequence[Deviation]) -> Iterator[Unit]:
        """What may still be chosen: proposed, not blocked, with cloth, not against a pin."""
        places = {row.place for row in now}
        for choice in self.choices:
            moved = places & choice.moved("both").keys()
            if not choice.proposed or not moved:
                continue
            against = [line for line in self.lines if self._undoes(choice, line)]
            for side in _grips(choice, now):
                sides = choice.covered(side)
                why = self.stops(choice, sides)
                if why or against:
                    why = why or ["It works against what was pinned there."]
                    if helped := _helped(choice, now):
                        self.left_out.append(_refused(choice, why))
                        # Cloth or not, what is cut or must match comes before a new piece.
                        self.stopped |= helped if self.blocked & set(choice.blocks) else set()
                elif cap := self.cap(choice, sides):
                    yield Unit(choice, side, cap)

    def _undoes(self, choice: Choice, line: PlanLine) -> bool:
        return choice.opposes(self.choice(line.operation, line.seam))

    def _instead(self, choice: Choice, sides: Collection[str]) -> Choice | None:
        for other in self.choices:
            fits = other.operation in choice.instead and set(sides) <= set(other.sides)
            if fits and not self.stops(other, sides):
                return other
        return None

    def _fall_short(self, choice: Choice, side: str, given: Length, wanted: Length) -> None:
        name = seams.named_at(choice.name, seam_name(choice.seam))
        told = (wanted - given).text(self.unit)
        words = f"{name}: {told} of the pin cannot be given{' at all' if not given else ''}."
        self.short.append(Left((choice.seam, side), name, given, given - wanted, words))


def _known(pins: Sequence[Step], bench: _Bench) -> Sequence[Step]:
    for pin in pins:
        choice = bench.choice(pin.operation, pin.seam)
        if not isinstance(pin.amount, Length) or pin.amount <= NOTHING:
            raise PlanningError(f"{choice.name}: say how much, more than nothing.")
        if pin.side not in (("L", "R", "both") if "L" in choice.sides else ("",)):
            raise PlanningError(f"{choice.name}: say left, right or both, where there are two.")
    return pins


def _refused(choice: Choice, why: Iterable[str]) -> str:
    return f"{seams.named_at(choice.name, seam_name(choice.seam))}: {' '.join(why)}"


def _helped(choice: Choice, now: Iterable[Deviation]) -> set[Place]:
    """The measures that are out and that it would bring nearer."""
    moved = choice.moved("both")
    return {d.place for d in now if moved.get(d.place, 0) * d.beyond(d.found).nm < 0}


def _grips(choice: Choice, now: Sequence[Deviation]) -> tuple[str, ...]:
    """On both sides by the same amount, unless the figure asks for each side by itself."""
    if choice.sides == ("",):
        return ("",)
    sided = [row for row in now if row.side and row.place in choice.moved("both")]
    if not sided:
        return ("both",)
    outs: dict[str, dict[str, Length]] = {}
    for row in sided:
        outs.setdefault(row.point, {})[row.side] = row.out
    alike = all(len(pair) == len(choice.sides) and pair["L"] == pair["R"] for pair in outs.values())
    if alike:
        return ("both",)
    return tuple(side for side in choice.sides if any(side in pair for pair in outs.values()))


def _written(
    bench: _Bench, deviations: Sequence[Deviation], kind: str, cloth_left: Length | None
) -> Plan:
    lines = [
        replace(line, why=line_why(line, deviations, bench.unit))
        for line in seams.working_order(_merged(bench.lines))
    ]
    left = []
    for row in deviations:
        found = row.found + bench.given(row.place)
        if beyond := row.beyond(found):
            words = measure_words(row, found, bench.unit)
            left.append(Left(row.place, row.called, found, beyond, words))
    left_out = tuple(dict.fromkeys(bench.left_out))
    minutes = sum(line.minutes for line in lines)
    return Plan(
        lines=tuple(lines),
        left_over=(*bench.short, *left),
        inlay_after=bench.inlays,
        minutes=minutes,
        why=plan_why(lines, len(opened(lines)), minutes, deviations),
        left_out=left_out,
        answer=answer_for(
            left, bench.short, bench.stopped, kind=kind, cloth_left=cloth_left, unit=bench.unit
        ),
    )


def _merged(lines: Iterable[PlanLine]) -> list[PlanLine]:
    """Left and right by the same amount are one line on both sides."""
    merged: list[PlanLine] = []
    for line in lines:
        for i, other in enumerate(merged):
            if _pair(line, other):
                merged[i] = replace(
                    other,
                    side="both",
                    minutes=other.minutes + line.minutes,
                    inlay_before=_less(other.inlay_before, line.inlay_before),
                    inlay_after=_less(other.inlay_after, line.inlay_after),
                    gives={**other.gives, **_added(other, line)},
                )
                break
        else:
            merged.append(line)
    return merged


def _pair(one: PlanLine, other: PlanLine) -> bool:
    same = (one.operation, one.seam, one.amount) == (other.operation, other.seam, other.amount)
    return same and {one.side, other.side} == {"L", "R"} and one.pinned == other.pinned


def _added(one: PlanLine, other: PlanLine) -> dict[Place, Length]:
    return {place: one.gives.get(place, NOTHING) + given for place, given in other.gives.items()}


def _less(one: Length | None, other: Length | None) -> Length | None:
    return other if one is None else one if other is None else min(one, other)
