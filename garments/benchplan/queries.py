"""What a garment's plan is made from. Constant queries, whatever is recorded."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils import timezone

from customers.lengths import Length, parse
from garments import seams
from garments.aiming.queries import Aims, aims_of
from garments.conflicts import Conflict, conflicts
from garments.models import Alteration, Cloth, Garment, Stage
from garments.planning import Choice, Deviation, Effect, Plan, Step, choices, effect_of, plan
from garments.queries import inlays_of
from garments.workroom.queries import open_alterations

STEPS = {"in": parse("1/8"), "cm": parse("3 mm")}
CUT_BY_THEN = (
    Stage.FINISHING,
    Stage.FINISHED,
    Stage.FINAL_LOOK,
    Stage.DELIVERED,
    Stage.RETURNED,
    Stage.REMADE,
)


@dataclass(frozen=True, slots=True)
class Bench:
    """A garment as its plan is made: measures that can be compared, inlays, what is decided.

    ``open`` are the alterations decided and on no ticket; ``earlier`` the work of each day before
    that something was decided on, the newest last.
    """

    garment: Garment
    unit: str
    aims: Aims
    deviations: tuple[Deviation, ...]
    inlays: dict[tuple[str, str], Length]
    open: tuple[Alteration, ...]
    earlier: tuple[tuple[Alteration, ...], ...]

    @property
    def step(self) -> Length:
        return STEPS[self.unit]

    @property
    def choices(self) -> tuple[Choice, ...]:
        return choices(self.garment.kind)

    @property
    def pinned(self) -> tuple[Step, ...]:
        """What is decided with an amount; the rest moves no measure."""
        known = {(choice.operation, choice.seam) for choice in self.choices}
        return tuple(
            Step(row.operation, row.seam, row.side, row.amount)
            for row in self.open
            if row.amount and (row.operation, row.seam) in known
        )

    def plan(self, blocked: Collection[str], cloth_left: Length | None) -> Plan:
        return plan(
            self.deviations,
            self.inlays,
            self.choices,
            self.step,
            pinned=self.pinned,
            blocked=blocked,
            kind=self.garment.kind,
            cloth_left=cloth_left,
            to_target=True,
            unit=self.unit,
        )

    def proposed(self, planned: Plan) -> list[Step]:
        """What the plan adds to what is decided, in working order.

        A pin that it could give only in part stays as it was decided; what it does in place of one
        that is stopped is proposed.
        """
        decided = {(pin.operation, pin.seam, pin.side) for pin in self.pinned}
        return [
            line.step
            for line in planned.lines
            if not (line.pinned and (line.operation, line.seam, line.side) in decided)
        ]

    def effect(self, lines: Sequence[Step], blocked: Collection[str]) -> Effect:
        """What is decided and ``lines`` come to together."""
        return effect_of(
            [*self.pinned, *lines],
            self.deviations,
            self.inlays,
            self.choices,
            self.step,
            blocked=blocked,
            unit=self.unit,
        )

    def conflicts(self, lines: Sequence[Step], effect: Effect) -> list[Conflict]:
        """Those of what is decided and ``lines``, but for two that come out right together."""
        told = conflicts(self.garment.kind, [*self.open, *lines], earlier=self.earlier)
        right = {row.deviation.place for row in effect.measures if not row.beyond}
        return [each for each in told if not each.places or not set(each.places) <= right]


def bench_of(garment: Garment, unit: str) -> Bench:
    """``garment`` comes with its cut version and cut selected."""
    aims = aims_of(garment, unit)
    decided = tuple(open_alterations(garment))
    return Bench(
        garment=garment,
        unit=unit,
        aims=aims,
        deviations=tuple(
            Deviation(
                point=line.point.key,
                side=line.side,
                found=line.found.value,
                target=line.target.length,
                low=line.target.low,
                high=line.target.high,
                name=line.name,
            )
            for line in aims.lines
            if line.found and line.target
        ),
        inlays={place: max(left, Length(0)) for place, left in inlays_of(garment).items()},
        open=decided,
        earlier=earlier_work(garment, decided),
    )


def earlier_work(garment: Garment, now: Iterable[Alteration]) -> tuple[tuple[Alteration, ...], ...]:
    """What was decided before, by day, the newest last; ``now`` and its day are left out."""
    rows = Alteration.objects.standing().filter(garment=garment).order_by("at", "pk")
    now_too = {row.pk for row in now}
    days = groupby(rows, key=lambda row: timezone.localdate(row.at))
    kept = [tuple(of_day) for _, of_day in days]
    return tuple(of_day for of_day in kept if not any(row.pk in now_too for row in of_day))


def told_of(garment: Garment, lines: Sequence[Alteration]) -> tuple[Conflict, ...]:
    """Conflicts among lines that are to go on a ticket, and with what went before. One query."""
    return conflicts(garment.kind, lines, earlier=earlier_work(garment, lines))


def stopped_by(garment: Garment) -> list[str]:
    """What is cut by its stage, or must match by its cloth, as far as the record knows."""
    found = ["cut-pocket", "cut-buttonholes", "cut-cuff-holes"]
    if garment.stage not in CUT_BY_THEN:
        found = []
    return found if garment.cloth_pattern == Cloth.PLAIN else [*found, "checks"]


def key_of(line: Step) -> str:
    """A line as a form names it: ``let-out.side-seam.both``."""
    return f"{line.operation}.{line.seam}.{line.side}"


def line_of(kind: str, key: str) -> Step | None:
    """The line a key names, without an amount yet, if this kind of garment has it."""
    operation, _, rest = key.partition(".")
    seam, _, side = rest.partition(".")
    wrong = seams.refusals_by_field(kind, operation, seam, side, None)
    return None if wrong.keys() - {"amount"} else Step(operation, seam, side, None)


def name_of(kind: str, line: Step) -> str:
    return seams.place_name(kind, line.operation, line.seam, line.side)


def meaning_of(line: Step) -> str:
    """On which side its amount is meant."""
    return seams.operation(line.operation).amount_words(line.side, line.seam)
