"""What the pages of promises show, from the engine's plans."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fittings.promise import CRAFTS, GarmentPlan, PlannedStage, Risk, Step, risk
from fittings.promise.risk import days
from fittings.promise.whatif import Difference
from fittings.promising.queries import Promises
from fittings.promising.standing import TICKET
from garments.models import Garment

TONES = {Step.SURE: "good", Step.TIGHT: "warn", Step.LATE: "late"}
NAMES = {
    "cloth": "Cloth from the merchant",
    "cut": "Cutting",
    "baste": "First baste",
    "first-fitting": "First fitting",
    "recut": "Cutting again after the fitting",
    "forward-baste": "Forward baste",
    "forward-fitting": "Forward fitting",
    "alter-forward": "Altering after the forward fitting",
    "make-up": "Making up",
    "finish": "Finishing and pressing off",
    "final-look": "Final look",
    "last-touches": "Last touches",
    TICKET: "Alterations on its tickets",
}


@dataclass(frozen=True, slots=True)
class PromiseRow:
    """A garment in work with its plan and how sure that is."""

    garment: Garment
    plan: GarmentPlan
    risk: Risk

    @property
    def tone(self) -> str:
        return TONES[self.risk.step]


def promise_rows(promises: Promises, garments: Mapping[str, Garment]) -> list[PromiseRow]:
    """A row for each of those garments that is planned, by due day, those without one last."""
    return [
        PromiseRow(garments[number], promises.plans[number], found)
        for number, found in promises.risks.items()
        if number in garments
    ]


def row_of(promises: Promises, garment: Garment) -> PromiseRow | None:
    """The row of one garment; None when it cannot be planned."""
    return next(iter(promise_rows(promises, {garment.number: garment})), None)


@dataclass(frozen=True, slots=True)
class StageLine:
    """A stage before the garment: its days, its slack, whether a day lost there is lost at the end.

    ``booked`` is the day kept for a fitting; ``too_late`` when that is after its latest day.
    """

    planned: PlannedStage
    critical: bool
    booked: datetime.date | None
    due: bool

    @property
    def name(self) -> str:
        return NAMES[self.planned.stage.key]

    @property
    def who(self) -> str:
        stage = self.planned.stage
        if stage.fitting:
            return "the customer comes"
        return CRAFTS[stage.craft] if stage.craft else "waiting"

    @property
    def too_late(self) -> bool:
        return self.due and self.booked is not None and self.booked > self.planned.latest

    @property
    def spare(self) -> str:
        """The slack in words."""
        slack = self.planned.slack
        if slack < 0:
            return f"{days(-slack)} short"
        return days(slack) if slack else "none"


def stage_lines(plan: GarmentPlan) -> list[StageLine]:
    booked = plan.order.booked or {}
    critical = set(plan.critical)
    promised = plan.order.due is not None
    return [
        StageLine(row, row.stage.key in critical, booked.get(row.stage.key), promised)
        for row in plan.stages
    ]


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """What a change gains for one garment."""

    garment: Garment
    difference: Difference

    @property
    def gain(self) -> str:
        gained = self.difference.gained
        if not gained:
            return "no day gained"
        return f"{days(gained)} sooner" if gained > 0 else f"{days(-gained)} later"

    @property
    def before(self) -> Risk:
        return risk(self.difference.before)

    @property
    def after(self) -> Risk:
        return risk(self.difference.after)

    @property
    def before_tone(self) -> str:
        return TONES[self.before.step]

    @property
    def after_tone(self) -> str:
        return TONES[self.after.step]

    @property
    def telling(self) -> bool:
        """Whether it comes later or is another risk than before; the others only come sooner."""
        return self.difference.gained < 0 or self.before.step != self.after.step

    @property
    def cured(self) -> bool:
        return self.difference.before.late and not self.difference.after.late


def change_rows(
    differences: Mapping[str, Difference], garments: Mapping[str, Garment], first: str
) -> tuple[ChangeRow, list[ChangeRow]]:
    """The garment ``first``, and the others of ``garments``, by due day."""
    rows = {key: ChangeRow(garment, differences[key]) for key, garment in garments.items()}
    mine = rows.pop(first)
    return mine, _by_due(rows.values())


def _by_due(rows: Iterable[ChangeRow]) -> list[ChangeRow]:
    return sorted(rows, key=lambda row: row.difference.after.order.due or datetime.date.max)
