"""What can be promised for a garment somebody asks for, beside what is promised already. Pure."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fittings.promise.benches import Workroom
from fittings.promise.errors import PromiseError
from fittings.promise.scheduling import GarmentPlan, Order, Planner, Queues, Run, planners, run
from fittings.promise.stages import STAGES, Stage
from fittings.spoken import date_text

date = datetime.date


@dataclass(frozen=True, slots=True)
class Answer:
    """The plan for the garment asked for, and the promises that would be broken to keep it.

    Without a day wished for, the plan's order is due on the earliest day that breaks none.
    """

    plan: GarmentPlan
    broken: tuple[str, ...]


def ask(
    workroom: Workroom,
    promised: Iterable[Order],
    order: Order,
    today: date,
    stages: Mapping[str, Sequence[Stage]] = STAGES,
    *,
    known: Run | None = None,
) -> Answer:
    """The answer for the day wished for, or for the earliest one when ``order`` has no due day.

    ``known`` are plans made before, to go on from. PromiseError, beside what schedule refuses, when
    the day wished for has gone by.
    """
    kept = tuple(promised)
    if order.due is not None and order.due < today:
        raise PromiseError(f"The day wished for, {date_text(order.due)}, has gone by.")
    before = run(workroom, kept, today, stages, known)
    if order.due is None:
        return Answer(_earliest(before, kept, order, stages), ())
    after = run(workroom, (*kept, order), today, stages, before).plans
    broken = tuple(key for key, plan in before.plans.items() if not plan.late and after[key].late)
    return Answer(after[order.key], broken)


def _earliest(
    before: Run, kept: tuple[Order, ...], order: Order, stages: Mapping[str, Sequence[Stage]]
) -> GarmentPlan:
    """Behind as few promises as can be: every promise it goes before must still be kept.

    The day it is then promised for has to stand in that same place, earliest due date first, or
    the next plan would move it.
    """
    workroom, today = before.workroom, before.today
    ranked = planners(workroom, kept, today, stages)
    (wanted,) = planners(workroom, (order,), today, stages)
    if order.key in {planner.order.key for planner in ranked}:
        raise PromiseError("Two orders share a key.")
    # What is on the benches before each promise in turn, and after the last one.
    benches = [Queues(), *(row.queues for row in before.made)]
    earliest = [today, *(planner.order.due or today for planner in ranked)]
    # Work put before a late promise makes it no sooner, so it cannot be kept from there.
    late = [place for place, row in enumerate(before.made, 1) if row.plan.late]
    found = (
        _in_place(wanted, benches[place], earliest[place], ranked[place:])
        for place in range(max(late, default=0), len(benches))
    )
    # Behind the last promise nothing is left to break, so one place always stands.
    return next(plan for plan in found if plan is not None)


def _in_place(
    wanted: Planner, before: Queues, first: date, behind: Sequence[Planner]
) -> GarmentPlan | None:
    """The plan in that place, due on ``first`` or later; None when it cannot stand there."""
    queues = before.copy()
    day = max(wanted.plan(queues).ready, first)
    if behind and day >= (behind[0].order.due or date.max):
        return None
    if any(planner.late(queues) for planner in behind):
        return None
    # The benches are those of the run that was asked: what is put on them here must not stay.
    return wanted.due(day).plan(before.copy())
