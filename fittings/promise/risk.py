"""How sure a promise is, in three plain steps, each with its reason in words. Pure."""

from dataclasses import dataclass
from enum import StrEnum

from fittings.promise.scheduling import GarmentPlan, PlannedStage
from fittings.promise.stages import CRAFTS
from fittings.spoken import date_text

# The cutter is told a date one week early: MH, trade facts section 6. Open days of a usual week.
ONE_WEEK = 5

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


class Step(StrEnum):
    SURE = "sure"
    TIGHT = "tight"
    LATE = "late"


@dataclass(frozen=True, slots=True)
class Risk:
    step: Step
    reason: str

    @property
    def open(self) -> bool:
        """Whether somebody should look at it: late or tight."""
        return self.step != Step.SURE


def risk(plan: GarmentPlan) -> Risk:
    """Late when the sure day is past the promised one, tight with less than a week to spare."""
    if plan.slack is None:
        return Risk(Step.SURE, f"no day promised; ready by {date_text(plan.ready)}")
    if plan.slack < 0:
        return Risk(Step.LATE, f"{days(-plan.slack)} short{_where(plan)}")
    spare = f"{days(plan.slack)} to spare"
    if plan.slack < ONE_WEEK:
        return Risk(Step.TIGHT, f"{spare}{_where(plan)}")
    return Risk(Step.SURE, spare)


def days(count: int) -> str:
    """In words up to ten: one day, two days, 14 days."""
    word = _WORDS[count] if count < len(_WORDS) else str(count)
    return f"{word} day" if count == 1 else f"{word} days"


def _where(plan: GarmentPlan) -> str:
    """The bench it may wait at longest, with the ISO week in which it is done there.

    When no bench could help, because the work alone takes too long, that is said instead.
    """
    held_up = max(plan.stages, key=_waits, default=None)
    alone_too_late = plan.order.due is not None and plan.unhindered > plan.order.due
    if held_up is None or not held_up.waits or alone_too_late:
        return f": with every bench free the work takes until {date_text(plan.unhindered)}"
    week = held_up.done.isocalendar().week
    return f" at the {CRAFTS[held_up.stage.craft]} in week {week}"


def _waits(row: PlannedStage) -> int:
    return row.waits
