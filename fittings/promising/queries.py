"""The promise engine fed from the record: a fixed number of queries, whatever is in work."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from django.utils import timezone

from fittings.clock import midnight
from fittings.models import AgreedOvertime, Booking, Maker, StageTime
from fittings.opendays.queries import absences, house_calendar
from fittings.promise import (
    STAGES,
    Away,
    Case,
    GarmentPlan,
    Order,
    Overtime,
    Period,
    PromiseError,
    Stage,
    Workroom,
)
from fittings.promise.calendar import DAY, FURTHEST
from fittings.promise.queueing import last_begin
from fittings.promise.scheduling import Run, planners
from fittings.promising.standing import Standing, standing_of, with_tickets
from fittings.travelling.journeys import Journeys
from fittings.travelling.queries import house_clock, journeys_from
from garments import seams
from garments.models import Garment, StageEntry, TicketLine
from garments.workroom.queries import unfinished

Rows = Mapping[str, tuple[Stage, ...]]
TOWN = "booking__room__town"
FITTINGS = (Booking.Purpose.FIRST, Booking.Purpose.FORWARD, Booking.Purpose.FINAL)


class _Latest:
    """The plans this process made last: what has not changed since is not worked out again.

    They are gone on from by value, so no process can be told the old by them.
    """

    run: Run | None = None


@dataclass(frozen=True)
class Promises:
    """All that is in work, by garment number, and the engine's view of it.

    ``unplanned`` says of each garment that cannot be planned why, ``whole`` whether all are there.
    """

    case: Case
    garments: Mapping[str, Garment]
    unplanned: Mapping[str, str]
    whole: bool = True

    @cached_property
    def run(self) -> Run:
        """PromiseError when the benches do not get to all of it within three years."""
        found = self.case.run()
        if self.whole:
            _Latest.run = found
        return found

    @cached_property
    def plans(self) -> dict[str, GarmentPlan]:
        """PromiseError as run."""
        return self.run.plans

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
    """Every garment in work. Twelve queries."""
    return _read(list(_in_work()), today or timezone.localdate())


def read_alone(garment: Garment, today: datetime.date | None = None) -> Promises:
    """One garment by itself: its latest days do not move with what else is on the benches."""
    return replace(_read([garment], today or timezone.localdate()), whole=False)


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
    in_work = known is not None and garment.number in known.garments
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


def _in_work() -> Iterable[Garment]:
    return Garment.objects.in_work().select_related("customer").order_by("promised_on", "serial")


def _read(garments: list[Garment], today: datetime.date) -> Promises:
    workroom, kinds = read_workroom(today), house_stages()
    found = {garment.number: garment for garment in garments}
    standing = _standing(garments, kinds, today)
    minutes = _ticket_minutes(garments)
    booked = _booked(garments, kinds, today)
    stages: dict[str, tuple[Stage, ...]] = dict(kinds)
    orders, unplanned = [], {}
    for garment in garments:
        rows = kinds[garment.kind]
        stands = standing[garment.pk].before_again(booked[garment.pk])
        own = with_tickets(rows, stands, garment.kind, minutes.get(garment.pk, 0))
        order = replace(
            _order(garment, stands, rows, today),
            kind=garment.kind if own == rows else f"{garment.kind} {garment.number}",
            booked=booked[garment.pk],
        )
        stages[order.kind] = own
        if why := _why_not(workroom, order, today, stages):
            unplanned[garment.number] = why
        else:
            orders.append(order)
    case = Case(workroom, tuple(orders), today, stages, known=_Latest.run)
    return Promises(case, found, unplanned)


def _order(
    garment: Garment, stands: Standing, rows: tuple[Stage, ...], today: datetime.date
) -> Order:
    due = garment.promised_on
    # The promise it was delivered for says nothing about when it goes home again.
    if stands.returned and due and due < stands.returned:
        due = None
    return Order(
        key=garment.number,
        kind=garment.kind,
        due=due,
        done=stands.done(rows),
        done_on={stands.reached: min(stands.day, today)},
    )


def _why_not(workroom: Workroom, order: Order, today: datetime.date, stages: Rows) -> str:
    """Why the engine cannot plan the order; one such garment must not keep all from a plan."""
    try:
        planners(workroom, (order,), today, stages)
    except PromiseError as error:
        return str(error)
    return ""


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


def _standing(garments: list[Garment], kinds: Rows, today: datetime.date) -> dict[int, Standing]:
    entries: dict[int, list[tuple[str, datetime.date]]] = defaultdict(list)
    rows = StageEntry.objects.standing().filter(garment__in=garments).order_by("at", "id")
    for pk, stage, at in rows.values_list("garment_id", "stage", "at"):
        entries[pk].append((stage, timezone.localdate(at)))
    found = {}
    for garment in garments:
        told = entries[garment.pk]
        # A garment taken over with its stage, without the entries that led to it.
        if garment.stage not in {stage for stage, _ in told}:
            told.append((garment.stage, timezone.localdate(garment.stage_since)))
        ordered = min(garment.ordered_on, today)
        found[garment.pk] = standing_of(kinds[garment.kind], told, ordered)
    return found


def _ticket_minutes(garments: list[Garment]) -> dict[int, int]:
    """Working minutes on the open tickets of each garment."""
    lines = TicketLine.objects.filter(
        revision__in=unfinished().filter(ticket__garment__in=garments),
        alteration__struck_by__isnull=True,
    )
    found: dict[int, int] = defaultdict(int)
    for pk, operation, amount, side in lines.values_list(
        "alteration__garment_id",
        "alteration__operation",
        "alteration__amount",
        "alteration__side",
    ):
        found[pk] += seams.operation(operation).minutes(amount, side)
    return found


def _booked(
    garments: list[Garment], kinds: Rows, today: datetime.date
) -> dict[int, dict[str, datetime.date]]:
    """By garment the first day kept from today on for each fitting that its kind has.

    What is fitted in another town counts from the day it is back: three more queries.
    """
    has = {garment.pk: {row.key for row in kinds[garment.kind]} for garment in garments}
    rows = Booking.garments.through.objects.filter(
        garment__in=garments,
        booking__state__in=Booking.COMING,
        booking__purpose__in=FITTINGS,
        booking__starts_at__gte=midnight(today),
    ).order_by("booking__starts_at")
    found: dict[int, dict[str, datetime.date]] = defaultdict(dict)
    kept = list(
        rows.values_list(
            "garment_id", "booking__purpose", "booking__starts_at", "booking__room_id", TOWN
        )
    )
    journeys = journeys_from(today) if any(town for *_, town in kept) else Journeys()
    clock = house_clock()
    for pk, purpose, starts, room, _ in kept:
        if purpose in has[pk]:
            day = journeys.back_with(room, timezone.localdate(starts), clock)
            found[pk].setdefault(purpose, day)
    return found
