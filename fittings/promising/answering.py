"""What can be promised for a garment that is not ordered yet, asked at the telephone."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils import timezone

from fittings.promise import Answer, GarmentPlan, Order, PromiseError, ask
from fittings.promising.page import StageLine, stage_lines
from fittings.promising.queries import Promises, has_makers, named, read_promises
from fittings.spoken import date_text
from garments.models import Garment
from garments.promising import register

ASKED = "asked for"  # no garment's number


@dataclass(frozen=True)
class Told:
    """The earliest day that breaks no promise; of a day wished for, what it would take.

    ``broken`` are the garments whose promises would have to wait for the wish.
    """

    earliest: GarmentPlan
    wished: GarmentPlan | None
    broken: Sequence[Garment]

    @property
    def plan(self) -> GarmentPlan:
        """The one to show: the wish where it can be kept."""
        return self.wished if self.wished and self.kept else self.earliest

    @property
    def kept(self) -> bool:
        """Whether the day wished for can be promised."""
        return self.wished is not None and not self.wished.late and not self.broken

    @property
    def fittings(self) -> list[StageLine]:
        return [line for line in stage_lines(self.plan) if line.planned.stage.fitting]


def answer(promises: Promises, kind: str, wished: datetime.date | None) -> Told:
    """What can be promised beside ``promises`` for a garment ordered today.

    PromiseError when the day wished for has gone by, nobody makes such a garment, or the benches
    do not get to it within three years.
    """
    earliest = _ask(promises, kind)
    if wished is None:
        return Told(earliest.plan, None, ())
    found = _ask(promises, kind, wished)
    return Told(earliest.plan, found.plan, list(named(found.broken).values()))


def _ask(promises: Promises, kind: str, due: datetime.date | None = None) -> Answer:
    """Worked out once while nothing else changes: the order's page asks with each day typed."""
    found = promises.answers.get((kind, due))
    if found is None:
        case, cloth = promises.case, "cloth"
        order = Order(ASKED, kind, due, done=frozenset({cloth}), done_on={cloth: case.today})
        found = promises.answers[kind, due] = ask(
            case.workroom, case.orders, order, case.today, case.stages, known=promises.run
        )
    return found


def answer_move(promises: Promises, number: str, day: datetime.date) -> Told:
    """What it would take to promise a garment in work for another day.

    ``broken`` are the promises that can be kept as it stands and could not be then. PromiseError as
    for answer.
    """
    case, before = promises.case, promises.run
    (own,) = (order for order in case.orders if order.key == number)
    others = tuple(order for order in case.orders if order is not own)
    moved = replace(case, orders=(*others, replace(own, due=day)), known=before).plans()
    anew = replace(own, due=None)
    free = ask(case.workroom, others, anew, case.today, case.stages, known=before)
    broken = [
        key
        for key, plan in before.plans.items()
        if key != number and not plan.late and moved[key].late
    ]
    return Told(free.plan, moved[number], list(named(broken).values()))


def doubt_about(kind: str, day: datetime.date, number: str = "") -> str:
    """Why a day should not be promised for a garment of this kind; empty when it may be.

    With ``number`` it is one in work whose promise moves. Empty too where nothing is known of it:
    the house has not said who makes, or nobody works on it.
    """
    if day < timezone.localdate() or not has_makers():
        return ""
    try:
        promises = read_promises()
        if number and number not in {order.key for order in promises.case.orders}:
            return ""
        told = answer_move(promises, number, day) if number else answer(promises, kind, day)
    except PromiseError:
        return ""
    return words_about(told)


def words_about(told: Told) -> str:
    """One sentence on the day wished for; empty when it can be kept or none was wished for."""
    if told.wished is None or told.kept:
        return ""
    earliest = f"The earliest day that breaks no promise is {date_text(told.earliest.ready)}."
    if told.wished.late:
        return f"That cannot be kept. {earliest}"
    numbers = ", ".join(garment.number for garment in told.broken)
    return f"That would break what is promised for {numbers}. {earliest}"


def register_doubt() -> None:
    """Let the order's page ask before a day is promised that cannot be kept."""
    register("plan", doubt_about)
