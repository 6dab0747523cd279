"""What can be promised for a garment somebody asks for, beside what is promised already. Pure."""

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fittings.promise.benches import Workroom
from fittings.promise.errors import PromiseError
from fittings.promise.scheduling import GarmentPlan, Order, Planner, Queues, planners, schedule
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
) -> Answer:
    """The answer for the day wished for, or for the earliest one when ``order`` has no due day.

    PromiseError, beside what schedule refuses, when the day wished for has gone by.
    """
    kept = tuple(promised)
    if order.due is None:
        return Answer(_earliest(workroom, kept, order, today, stages), ())
    if order.due < today:
        raise PromiseError(f"The day wished for, {date_text(order.due)}, has gone by.")
    before = schedule(workroom, kept, today, stages)
    after = schedule(workroom, (*kept, order), today, stages)
    broken = tuple(key for key, plan in before.items() if not plan.late and after[key].late)
    return Answer(after[order.key], broken)


def _earliest(
    workroom: Workroom,
    kept: tuple[Order, ...],
    order: Order,
    today: date,
    stages: Mapping[str, Sequence[Stage]],
) -> GarmentPlan:
    """Behind as few promises as can be: every promise it goes before must still be kept.

    The day it is then promised for has to stand in that same place, earliest due date first, or
    the next plan would move it.
    """
    ranked = planners(workroom, kept, today, stages)
    (wanted,) = planners(workroom, (order,), today, stages)
    if order.key in {planner.order.key for planner in ranked}:
        raise PromiseError("Two orders share a key.")
    earliest = [today, *(planner.order.due or today for planner in ranked)]
    places = zip(_before_each(ranked), earliest, strict=True)
    found = (
        _in_place(wanted, before, first, ranked[place:])
        for place, (before, first) in enumerate(places)
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
    if any(planner.plan(queues).late for planner in behind):
        return None
    return wanted.due(day).plan(before)


def _before_each(ranked: Sequence[Planner]) -> Iterator[Queues]:
    """What is on the benches before each promise in turn, and after the last one."""
    queues = Queues()
    yield queues.copy()
    for planner in ranked:
        planner.plan(queues)
        yield queues.copy()
