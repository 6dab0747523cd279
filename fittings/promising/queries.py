"""The promise engine fed from the record: a fixed number of queries, whatever is in work."""

import datetime
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property

from django.utils import timezone

from fittings.models import AgreedOvertime, Booking, Maker, StageTime
from fittings.opendays.queries import absences, house_calendar
from fittings.promise import (
    STAGES,
    Answer,
    Away,
    Case,
    GarmentPlan,
    Order,
    Overtime,
    Period,
    PromiseError,
    Risk,
    Stage,
    Workroom,
    risk,
)
from fittings.promise.calendar import DAY, FURTHEST
from fittings.promise.queueing import last_begin
from fittings.promise.scheduling import Run, planners
from fittings.promising.reading import FITTINGS, InWork, all_in_work, one_garment
from fittings.promising.standing import Standing, standing_of, with_tickets
from garments.models import Garment

Kinds = Mapping[str, tuple[Stage, ...]]


class _Latest:
    """What this process planned last: what has not changed since is not worked out again.

    It is held against what is read now, by value, so no process can be told the old by it.
    """

    promises: "Promises | None" = None
    run: Run | None = None


@dataclass(frozen=True)
class Ground:
    """What the plan of every garment rests on beside what is told of the garment itself."""

    today: datetime.date
    workroom: Workroom
    kinds: Kinds


@dataclass(frozen=True, slots=True)
class Wanted:
    """A garment as the engine is asked for it; ``why_not`` says why it cannot be planned."""

    order: Order
    stages: tuple[Stage, ...]
    why_not: str


@dataclass(frozen=True)
class Promises:
    """All that is in work, by garment number, and the engine's view of it.

    ``whole`` says whether all are there.
    """

    ground: Ground
    told: Mapping[str, InWork]
    wanted: Mapping[str, Wanted]
    case: Case
    whole: bool = True

    @cached_property
    def unplanned(self) -> dict[str, str]:
        """Of each garment that cannot be planned why."""
        return {number: row.why_not for number, row in self.wanted.items() if row.why_not}

    @cached_property
    def run(self) -> Run:
        """PromiseError when the benches do not get to all of it within three years."""
        found = self.case.run()
        if self.whole:
            _Latest.run = found
        return found

    @cached_property
    def plans(self) -> dict[str, GarmentPlan]:
        """By due day, those without one last. PromiseError as run."""
        return self.run.plans

    @cached_property
    def risks(self) -> dict[str, Risk]:
        """How sure each plan is, in their order. PromiseError as run."""
        return {number: risk(plan) for number, plan in self.plans.items()}

    @cached_property
    def answers(self) -> dict[tuple[str, datetime.date | None], Answer]:
        """What was asked beside all this so far, by kind and day, for a garment ordered today."""
        return {}

    @property
    def planned(self) -> Case:
        """The case with its plans, for whoever tries something else beside them."""
        return replace(self.case, known=self.run)

    @property
    def has_benches(self) -> bool:
        """Whether the house has said who makes: before that nothing can be promised."""
        return any(self.case.workroom.makers.values())

    def alone(self, garment: Garment) -> "Promises":
        """As if that garment were the only one in work."""
        own = tuple(order for order in self.case.orders if order.key == garment.number)
        return replace(self, case=replace(self.case, orders=own), whole=False)


def read_promises(today: datetime.date | None = None) -> Promises:
    """Every garment in work: the same object while the record says the same. Twelve queries."""
    ground = _ground(today or timezone.localdate())
    told = _by_number(all_in_work(ground.today))
    known = _Latest.promises
    if known is None or known.ground != ground:
        known = None
    elif known.told == told:
        return known
    found = _Latest.promises = _promises(ground, told, known)
    return found


def read_alone(garment: Garment, today: datetime.date | None = None) -> Promises:
    """One garment by itself: its latest days do not move with what else is on the benches."""
    ground = _ground(today or timezone.localdate())
    told = _by_number(one_garment(garment.pk, ground.today))
    return replace(_promises(ground, told), whole=False)


def plan_ahead() -> None:
    """Have all in work planned, and so kept, before somebody asks for it."""
    if has_makers():
        with suppress(PromiseError):  # whoever asks is told
            _ = read_promises().risks


def named(numbers: Iterable[str]) -> dict[str, Garment]:
    """Garments by number, in that order, as a line mentions them. One query, none for none."""
    wanted = list(numbers)
    found = Garment.objects.for_mentions("stage", "promised_on").filter(number__in=wanted)
    rows = {row.number: row for row in found}
    return {number: rows[number] for number in wanted if number in rows}


def has_makers() -> bool:
    """Whether the house has said who makes: before that nothing can be promised."""
    return any(maker.sits_until(timezone.localdate()) for maker in Maker.objects.all())


def latest_day(
    garment: Garment, purpose: str, known: Promises | None = None
) -> datetime.date | None:
    """The last day for a fitting of the garment so that its promise can still be kept.

    None where nothing is promised, the house has named no makers, or ``purpose`` is no fitting
    before it (it was held, or it is measuring or a look at what came back). A forward fitting of a
    kind that usually has none must be over before the next bench work has to begin. The day may
    have gone by: then the promise is past keeping. Twelve queries, none where ``known`` is given
    and has the garment in work.
    """
    if purpose not in FITTINGS:
        return None
    in_work = known is not None and garment.number in known.told
    promises = known.alone(garment) if known and in_work else read_alone(garment)
    try:
        plan = promises.plans.get(garment.number)
    except PromiseError:
        return None
    if plan is None or plan.order.due is None:
        return None
    found = {row.stage.key: row.latest for row in plan.stages}
    if purpose in found or purpose != Booking.Purpose.FORWARD:
        return found.get(purpose)
    return _before_next_work(promises.case, plan)


def ready_by(garment: Garment, known: Promises | None = None) -> datetime.date | None:
    """The first open day on which the garment surely hangs ready for its next fitting.

    For handing over when no fitting is before it. None where the house has named no makers, the
    garment is in nobody's work, or its work cannot be planned. Twelve queries, none with ``known``.
    """
    try:
        promises = known or read_promises()
        plan = promises.plans.get(garment.number)
    except PromiseError:
        return None
    if plan is None:
        return None
    for row in plan.stages:
        if row.stage.fitting:
            return promises.case.workroom.calendar.next_open(row.begins)
    return plan.ready


def _before_next_work(case: Case, plan: GarmentPlan) -> datetime.date | None:
    work = next((row for row in plan.stages if row.stage.craft), None)
    if work is None or any(row.stage.fitting for row in plan.stages[: plan.stages.index(work)]):
        return None
    workroom = case.workroom
    benches = workroom.benches(work.stage.craft)
    begins = last_begin(work.stage.minutes, work.latest.toordinal() + 1, benches)
    return workroom.calendar.previous_open(datetime.date.fromordinal(begins) - DAY)


def _ground(today: datetime.date) -> Ground:
    return Ground(today, read_workroom(today), house_stages())


def _by_number(rows: Iterable[InWork]) -> dict[str, InWork]:
    return {row.number: row for row in rows}


def _promises(
    ground: Ground, told: Mapping[str, InWork], known: Promises | None = None
) -> Promises:
    """What ``known`` has of the same ground and garments told alike is taken from it."""
    wanted = {
        number: known.wanted[number]
        if known and known.told.get(number) == row
        else _wanted(row, ground)
        for number, row in told.items()
    }
    stages = dict(ground.kinds) | {row.order.kind: row.stages for row in wanted.values()}
    orders = tuple(row.order for row in wanted.values() if not row.why_not)
    case = Case(ground.workroom, orders, ground.today, stages, known=_Latest.run)
    return Promises(ground, told, wanted, case)


def _wanted(told: InWork, ground: Ground) -> Wanted:
    rows, today = ground.kinds[told.kind], ground.today
    booked = _booked(told, {row.key for row in rows})
    stands = _standing(told, rows, today).before_again(booked)
    own = with_tickets(rows, stands, told.kind, told.minutes)
    due = told.promised_on
    # The promise it was delivered for says nothing about when it goes home again.
    if stands.returned and due and due < stands.returned:
        due = None
    order = Order(
        key=told.number,
        kind=told.kind if own == rows else f"{told.kind} {told.number}",
        due=due,
        done=stands.done(rows),
        booked=booked,
        done_on={stands.reached: min(stands.day, today)},
    )
    return Wanted(order, own, _why_not(ground.workroom, order, today, {order.kind: own}))


def _why_not(workroom: Workroom, order: Order, today: datetime.date, stages: Kinds) -> str:
    """Why the engine cannot plan the order; one such garment must not keep all from a plan."""
    try:
        planners(workroom, (order,), today, stages)
    except PromiseError as error:
        return str(error)
    return ""


def _standing(told: InWork, rows: tuple[Stage, ...], today: datetime.date) -> Standing:
    entries = [(stage, timezone.localdate(at)) for stage, at in told.entries]
    # A garment taken over with its stage, without the entries that led to it.
    if told.stage not in {stage for stage, _ in entries}:
        entries.append((told.stage, timezone.localdate(told.stage_since)))
    return standing_of(rows, entries, min(told.ordered_on, today))


def _booked(told: InWork, has: Container[str]) -> dict[str, datetime.date]:
    """The first day kept for each fitting that its kind has."""
    found: dict[str, datetime.date] = {}
    for kept in told.kept:
        if kept.purpose in has:
            found.setdefault(kept.purpose, kept.day)
    return found


def read_workroom(today: datetime.date) -> Workroom:
    """The benches from ``today`` on."""
    calendar = house_calendar(today)
    makers = [maker for maker in Maker.objects.all() if maker.sits_until(today)]
    crafts: dict[str, tuple[str, ...]] = {}
    for maker in makers:
        crafts[maker.craft] = (*crafts.get(maker.craft, ()), _bench_name(maker))
    overtime = AgreedOvertime.objects.standing().filter(last__gte=today)
    return Workroom(
        calendar,
        crafts,
        away=tuple(_not_there(makers, today)),
        overtime=tuple(
            Overtime(row.craft, row.minutes, Period(row.first, row.last)) for row in overtime
        ),
        minutes_of={_bench_name(maker): maker.minutes for maker in makers},
    )


def _bench_name(maker: Maker) -> str:
    """Two makers may share a name, no two a row."""
    return f"{maker.name} ({maker.pk})"


def _not_there(makers: Iterable[Maker], today: datetime.date) -> Iterable[Away]:
    """Days off, and the time before a maker comes and after they leave."""
    off: dict[int, list[Period]] = defaultdict(list)
    for person, period in absences(today, today + FURTHEST):
        off[person.pk].append(period)
    for maker in makers:
        name = _bench_name(maker)
        if maker.since > today:
            yield Away(name, Period(maker.since - FURTHEST, maker.since - DAY))
        if maker.until is not None:
            # No plan reaches further than the day looked at by twice the engine's horizon.
            gone = maker.until + DAY
            yield Away(name, Period(gone, gone + FURTHEST))
            yield Away(name, Period(gone + FURTHEST, gone + 2 * FURTHEST))
        for period in off.get(maker.user_id or 0, ()):
            yield Away(name, period)


def house_stages() -> dict[str, tuple[Stage, ...]]:
    """The stages by kind of garment, with the house's own minutes and days. One query."""
    own = {(row.kind, row.stage): row for row in StageTime.objects.standing()}
    return {
        kind: tuple(_in_house(row, own.get((kind, row.key))) for row in rows)
        for kind, rows in STAGES.items()
    }


def _in_house(row: Stage, own: StageTime | None) -> Stage:
    if own is None:
        return row
    return replace(row, minutes=own.minutes, wait_days=own.wait_days, source=own.reason)
