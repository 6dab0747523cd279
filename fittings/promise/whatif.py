"""What would help a promise: each change gives new plans of all garments, to compare. Pure."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from fittings.promise.benches import Overtime, Workroom
from fittings.promise.errors import PromiseError
from fittings.promise.scheduling import GarmentPlan, Order, Run, run
from fittings.promise.stages import STAGES, Stage


@dataclass(frozen=True)
class Case:
    """The workroom, what it has promised and the day it is looked at. Every change is a new one.

    ``known`` are plans made before, to go on from; they change no answer.
    """

    workroom: Workroom
    orders: tuple[Order, ...]
    today: datetime.date
    stages: Mapping[str, Sequence[Stage]] = field(default_factory=lambda: STAGES)
    known: Run | None = field(default=None, repr=False, compare=False)

    def run(self) -> Run:
        return run(self.workroom, self.orders, self.today, self.stages, self.known)

    def plans(self) -> dict[str, GarmentPlan]:
        return self.run().plans

    def another_maker(self, craft: str, name: str = "another maker") -> "Case":
        return replace(self, workroom=self.workroom.with_maker(craft, name))

    def overtime(self, overtime: Overtime) -> "Case":
        return replace(self, workroom=self.workroom.with_overtime(overtime))

    def one_fitting_less(self, key: str, fitting: str) -> "Case":
        """The order ``key`` goes without that fitting and what is done only for it.

        PromiseError when there is no such order, or the fitting has been held already.
        """
        for order in self.orders:
            if order.key == key:
                break
        else:
            raise PromiseError(f"There is no order “{key}”.")
        if fitting in order.done or fitting in order.left_out:
            raise PromiseError(f"“{key}”: that fitting is not before it any more.")
        fewer = replace(order, left_out=(*order.left_out, fitting))
        return replace(self, orders=tuple(fewer if o.key == key else o for o in self.orders))


@dataclass(frozen=True, slots=True)
class Difference:
    """One garment before and after; ``gained`` open days are negative when it comes later."""

    before: GarmentPlan
    after: GarmentPlan
    gained: int


def compare(before: Case, after: Case) -> dict[str, Difference]:
    """By key, every order that is in both, the unchanged ones too."""
    count = before.workroom.calendar.count
    old, new = before.plans(), after.plans()
    return {
        key: Difference(old[key], new[key], count(new[key].ready, old[key].ready))
        for key in old
        if key in new
    }
