"""Plans for all the garments a house has promised, earliest due date first. Pure.

Forward, each stage gets a day it is surely done by, behind the garments due before it
(``queueing``); backward from the due day each stage and fitting gets its latest day. A stage is
handed on overnight: the next one begins on the morning after.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import takewhile

from fittings.promise.benches import LONGEST_DAY, Workroom
from fittings.promise.calendar import FURTHEST, HouseCalendar
from fittings.promise.errors import PromiseError
from fittings.promise.queueing import Work, alone_by, last_begin, soonest_by
from fittings.promise.stages import CRAFTS, STAGES, Stage, without

date = datetime.date


@dataclass(frozen=True)
class Order:
    """A garment asked for or in work. Without ``due`` it comes after every garment that has one.

    ``done`` are the stages behind it, ``booked`` the days kept for its fittings, ``left_out`` the
    fittings it goes without. ``done_on`` are the days of stages behind it whose waiting days may
    not be over yet, such as the day the cloth was ordered.
    """

    key: str
    kind: str
    due: date | None = None
    done: frozenset[str] = frozenset()
    booked: Mapping[str, date] | None = None
    left_out: tuple[str, ...] = ()
    done_on: Mapping[str, date] | None = None


@dataclass(frozen=True, slots=True)
class PlannedStage:
    """A stage with the days it may begin, is surely done, and must be done at the latest.

    ``waits`` are the open days it may wait for its bench; ``slack`` the open days from ``done`` to
    ``latest``, negative when it is late.
    """

    stage: Stage
    begins: date
    done: date
    latest: date
    waits: int
    slack: int


@dataclass(frozen=True, slots=True)
class GarmentPlan:
    """The stages still to do, the first day the garment can surely be handed over, and the slack.

    ``unhindered`` is that day with nothing else on the benches. ``slack`` are the open days from
    ``ready`` to ``due``; a garment without a due day has none.
    """

    order: Order
    stages: tuple[PlannedStage, ...]
    ready: date
    unhindered: date
    slack: int | None

    @property
    def late(self) -> bool:
        return self.slack is not None and self.slack < 0

    def stage(self, key: str) -> PlannedStage:
        for row in self.stages:
            if row.stage.key == key:
                return row
        raise PromiseError(f"“{self.order.key}” has no stage “{key}” before it.")

    @property
    def critical(self) -> tuple[str, ...]:
        """The stages with the least slack: a day lost there is a day lost at the end."""
        least = min((row.slack for row in self.stages), default=0)
        return tuple(row.stage.key for row in self.stages if row.slack == least)


def schedule(
    workroom: Workroom,
    orders: Iterable[Order],
    today: date,
    stages: Mapping[str, Sequence[Stage]] = STAGES,
) -> dict[str, GarmentPlan]:
    """The plan of every order by its key. Equal due dates keep the order they came in.

    PromiseError names the order with an unknown kind or stage, a key used twice, a day over three
    years away, or work that nobody sits at a bench for.
    """
    return run(workroom, orders, today, stages).plans


def run(
    workroom: Workroom,
    orders: Iterable[Order],
    today: date,
    stages: Mapping[str, Sequence[Stage]] = STAGES,
    known: "Run | None" = None,
) -> "Run":
    """As schedule, going on where the orders begin to differ from those of ``known``."""
    ranked = planners(workroom, orders, today, stages)
    made = known.same(workroom, today, ranked) if known else []
    queues = made[-1].queues.copy() if made else Queues()
    for planner in ranked[len(made) :]:
        plan = planner.plan(queues)
        made.append(Made(planner.order, planner.all_rows, plan, queues.copy()))
    return Run(workroom, today, tuple(made))


@dataclass(frozen=True, slots=True)
class Made:
    """A plan, what it was made for, and the benches behind it."""

    order: Order
    rows: tuple[Stage, ...]
    plan: GarmentPlan
    queues: "Queues"


@dataclass(frozen=True, slots=True)
class Run:
    """The plans of one asking in the order they were made: each rests on those before it alone."""

    workroom: Workroom
    today: date
    made: tuple[Made, ...]

    @property
    def plans(self) -> dict[str, GarmentPlan]:
        return {row.order.key: row.plan for row in self.made}

    def same(self, workroom: Workroom, today: date, ranked: Iterable["Planner"]) -> list[Made]:
        """What was made here as far as ``ranked`` asks for the very same, first to last."""
        if (workroom, today) != (self.workroom, self.today):
            return []
        pairs = zip(self.made, ranked, strict=False)
        return [row for row, _ in takewhile(_is_same, pairs)]


def _is_same(pair: tuple[Made, "Planner"]) -> bool:
    row, planner = pair
    return row.order == planner.order and row.rows == planner.all_rows


def planners(
    workroom: Workroom,
    orders: Iterable[Order],
    today: date,
    stages: Mapping[str, Sequence[Stage]],
) -> list["Planner"]:
    """A planner for each order, earliest due date first; refuses what schedule refuses."""
    if not date.min + 2 * FURTHEST <= today <= date.max - 2 * FURTHEST:
        raise PromiseError(f"No plans are made in the year {today.year}.")
    ranked = sorted(orders, key=lambda order: order.due or date.max)
    if len({order.key for order in ranked}) != len(ranked):
        raise PromiseError("Two orders share a key.")
    return [
        Planner(workroom, order, _checked(order, workroom, today, stages), today.toordinal())
        for order in ranked
    ]


class Queues(dict[str, tuple[Work, ...]]):
    """By craft, what is on its bench so far, in the order it goes first."""

    def __missing__(self, craft: str) -> tuple[Work, ...]:
        return ()

    def behind(self, craft: str, work: Work) -> None:
        self[craft] = (*self[craft], work)

    def copy(self) -> "Queues":
        return Queues(self)


def _checked(
    order: Order, workroom: Workroom, today: date, stages: Mapping[str, Sequence[Stage]]
) -> tuple[Stage, ...]:
    """The stages of the order, once everything about it is known to make sense."""
    if order.kind not in stages:
        raise PromiseError(f"“{order.key}”: no stages are known for “{order.kind}”.")
    _refuse_far_days(order, today)
    rows = tuple(stages[order.kind])
    for fitting in order.left_out:
        rows = without(rows, fitting)
    _refuse_wrong_stages(order, {row.key for row in stages[order.kind]}, today)
    for row in rows:
        if row.craft and row.key not in order.done and not workroom.makers.get(row.craft):
            raise PromiseError(f"Nobody sits at the bench of the {CRAFTS[row.craft]}.")
    return rows


def _refuse_far_days(order: Order, today: date) -> None:
    for day in (order.due, *(order.booked or {}).values()):
        if day is not None and abs(day - today) > FURTHEST:
            raise PromiseError(f"“{order.key}”: {day:%d.%m.}{day.year} is over three years away.")


def _refuse_wrong_stages(order: Order, known: set[str], today: date) -> None:
    """Refuse stages that the kind has not, and days of stages that are not done by then."""
    if unknown := sorted((order.done | (order.booked or {}).keys()) - known):
        raise PromiseError(f"“{order.key}” has no stage “{unknown[0]}”.")
    for key, day in (order.done_on or {}).items():
        if key not in order.done or day > today:
            raise PromiseError(f"“{order.key}”: “{key}” is not done yet on {day:%d.%m.}{day.year}.")


class Planner:
    """One garment's plan; days are ordinals, and a stage is done *by* the morning after it."""

    def __init__(
        self, workroom: Workroom, order: Order, rows: tuple[Stage, ...], today: int
    ) -> None:
        self.workroom, self.order, self.all_rows, self.today = workroom, order, rows, today
        self.calendar = workroom.calendar
        self.rows = tuple(row for row in rows if row.key not in order.done)
        self._waits = {row.key: row.wait_days for row in rows}
        on = order.done_on or {}
        # Work and fittings end with their day; a mere wait begins with it.
        self._behind = {
            row.key: on[row.key].toordinal() + (1 if row.craft or row.fitting else 0)
            for row in rows
            if row.key in on
        }

    def due(self, day: date) -> "Planner":
        """The same garment, due on ``day``."""
        return Planner(self.workroom, replace(self.order, due=day), self.all_rows, self.today)

    def plan(self, queues: Queues) -> GarmentPlan:
        """The plan behind what is on the benches in ``queues``; its own work is added to them."""
        soonest = self._soonest()
        begins, done = self._forward(queues, soonest)
        alone = self._alone(begins, done)
        ready = self._ready(done)
        due = self.order.due
        latest = self._latest(ready if due is None else due)
        slack = self._slack(ready)
        stages = tuple(
            self._planned(row, begins[row.key], done[row.key], alone[row.key], latest[row.key])
            for row in self.rows
        )
        unhindered = self._ready(self._forward(Queues(), soonest)[1])
        return GarmentPlan(self.order, stages, ready, unhindered, slack)

    def late(self, queues: Queues) -> bool:
        """Whether that plan would be late; its own work is added to the queues all the same."""
        _, done = self._forward(queues, self._soonest())
        slack = self._slack(self._ready(done))
        return slack is not None and slack < 0

    def _slack(self, ready: date) -> int | None:
        due = self.order.due
        return None if due is None else self.calendar.count(ready, due)

    def _ready(self, done: Mapping[str, int]) -> date:
        """The first open day on which every stage is done and has waited its days."""
        known = {**self._behind, **done}
        last = max((self.today, *(day + self._waits[key] for key, day in known.items())))
        return self.calendar.next_open(date.fromordinal(last))

    def _begins(self, row: Stage, done: Mapping[str, int]) -> int:
        """The morning on which everything it comes after is done and has waited its days."""
        known = {**self._behind, **done}
        waited = (known[key] + self._waits[key] for key in row.after if key in known)
        return max((self.today, *waited))

    def _soonest(self) -> dict[str, int]:
        """Days before which no stage is done whatever the benches.

        They must not move with the number of makers or with overtime, or more hands could make
        another garment later.
        """
        done: dict[str, int] = {}
        for row in self.rows:
            begins = self._begins(row, done)
            done[row.key] = (
                begins + -(-row.minutes // LONGEST_DAY) if row.craft else self._off(row, begins)
            )
        return done

    def _off(self, row: Stage, begins: int) -> int:
        """When a fitting or a mere wait is behind the garment."""
        if not row.fitting:
            return begins
        booked = self._booked(row)
        # The day agreed is kept when the garment is there by then; else the customer is asked anew.
        if booked and begins <= booked.toordinal():
            day = booked
        else:
            day = date.fromordinal(begins + row.notice_days)
        return self.calendar.next_open(day).toordinal() + 1

    def _booked(self, row: Stage) -> date | None:
        return (self.order.booked or {}).get(row.key)

    def _forward(
        self, queues: Queues, soonest: Mapping[str, int]
    ) -> tuple[dict[str, int], dict[str, int]]:
        """By stage: the day it may begin, and the day it is done by."""
        begins: dict[str, int] = {}
        done: dict[str, int] = {}
        for row in self.rows:
            key = row.key
            begins[key] = self._begins(row, done)
            if row.craft:
                benches = self.workroom.benches(row.craft)
                done[key] = soonest_by(row.minutes, begins[key], queues[row.craft], benches)
                soon = self._begins(row, soonest)
                queues.behind(row.craft, Work(row.minutes, soon, done[key]))
            else:
                done[key] = self._off(row, begins[key])
        return begins, done

    def _alone(self, begins: Mapping[str, int], done: Mapping[str, int]) -> dict[str, int]:
        """By stage: the day it would be done by with nothing else on its bench."""
        benches = self.workroom.benches
        return {
            row.key: alone_by(row.minutes, begins[row.key], benches(row.craft))
            if row.craft
            else done[row.key]
            for row in self.rows
        }

    def _latest(self, due: date) -> dict[str, int]:
        """By stage, the day it must be done by so that the rest, unhindered, meets ``due``."""
        end = self.calendar.previous_open(due).toordinal()
        latest = {row.key: end - row.wait_days for row in self.rows}
        for row in reversed(self.rows):
            start = self._latest_start(row, latest[row.key])
            for before in self.rows:
                if before.key in row.after:
                    latest[before.key] = min(latest[before.key], start - before.wait_days)
        return latest

    def _latest_start(self, row: Stage, done: int) -> int:
        if row.craft:
            return last_begin(row.minutes, done, self.workroom.benches(row.craft))
        if row.fitting:
            held = self.calendar.previous_open(date.fromordinal(done - 1)).toordinal()
            booked = self._booked(row)
            # A day the customer has agreed to needs no notice, as long as it is kept.
            if booked and booked.toordinal() <= held:
                return max(booked.toordinal(), held - row.notice_days)
            return held - row.notice_days
        return done

    def _planned(self, row: Stage, begins: int, done: int, alone: int, latest: int) -> PlannedStage:
        on = partial(_last_day, self.calendar, row)
        return PlannedStage(
            stage=row,
            begins=date.fromordinal(begins),
            done=on(done),
            latest=on(latest),
            waits=self.calendar.count(date.fromordinal(alone), date.fromordinal(done)),
            slack=self.calendar.count(date.fromordinal(done), date.fromordinal(latest)),
        )


def _last_day(calendar: HouseCalendar, row: Stage, done: int) -> date:
    """The day on which something done by the next morning ends; a mere wait just ends."""
    if not row.craft and not row.fitting:
        return date.fromordinal(done)
    return calendar.previous_open(date.fromordinal(done - 1))
