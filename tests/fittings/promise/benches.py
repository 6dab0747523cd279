"""Workrooms, stages and orders the promise tests share, and the bench played through day by day."""

import datetime
from random import Random
from zoneinfo import ZoneInfo

from fittings.promise import STAGES, HouseCalendar, Order, Stage, Workroom

TODAY = datetime.date(2026, 3, 2)
DAY = datetime.timedelta(days=1)
BENCH_DAY = 420
NINE_TO_SIX = (datetime.time(9), datetime.time(18))
LONDON = ZoneInfo("Europe/London")
EVERY_DAY = HouseCalendar(dict.fromkeys(range(7), NINE_TO_SIX), LONDON)
WEEKDAYS = HouseCalendar(dict.fromkeys(range(5), NINE_TO_SIX), LONDON)
CRAFTS = ("cutter", "coat-maker", "trouser-maker", "finisher")


def workroom(calendar=WEEKDAYS, hands=1, **more):
    """A workroom with as many makers at every bench, or a number by craft."""
    number = dict.fromkeys(CRAFTS, hands) if isinstance(hands, int) else hands
    makers = {craft: tuple(f"{craft} {n}" for n in range(count)) for craft, count in number.items()}
    return Workroom(calendar, makers, **more)


def bench(key, craft, days, *after):
    """A stage of whole bench days."""
    return Stage(key, craft=craft, minutes=BENCH_DAY * days, after=after)


def some_orders(seed, count):
    """Orders of every kind, some stages behind them, due within four months."""
    rng = Random(seed)
    kinds = [rng.choice(list(STAGES)) for _ in range(count)]
    return [
        Order(
            f"g{number}",
            kind,
            TODAY + datetime.timedelta(days=rng.randrange(10, 120)),
            frozenset(row.key for row in STAGES[kind][: rng.randrange(6)]),
        )
        for number, kind in enumerate(kinds)
    ]


def played_through(room, orders):
    """The day each garment is ready when every morning each bench takes up what is due first.

    One maker at a time works on a stage, and a stage is handed on overnight. Written without the
    engine's own arithmetic, to be held against it.
    """
    ranked = sorted(orders, key=lambda order: order.due)
    rows = {o.key: [r for r in STAGES[o.kind] if r.key not in o.done] for o in ranked}
    left = {(key, row.key): row.minutes for key, of in rows.items() for row in of}
    done = {}
    day = TODAY
    while len(done) < len(left):
        taken = dict.fromkeys(CRAFTS, 0)
        for key, row in [(o.key, r) for o in ranked for r in rows[o.key]]:
            at = (key, row.key)
            begins = None if at in done else _begins(key, row, rows, done)
            if begins is not None and not row.craft:
                done[at] = _off(room.calendar, row, begins)
            elif begins is not None and begins <= day:
                makers, each = room.hands(row.craft, day.toordinal())
                share = min(each, left[at], makers * each - taken[row.craft])
                left[at] -= share
                taken[row.craft] += share
                if left[at] == 0:
                    done[at] = day + DAY
        day += DAY
    return {key: _ready(room, key, of, done) for key, of in rows.items()}


def _begins(key, row, rows, done):
    waits = {r.key: r.wait_days for r in rows[key]}
    before = [k for k in row.after if k in waits]
    if any((key, k) not in done for k in before):
        return None
    return max((done[key, k] + waits[k] * DAY for k in before), default=TODAY)


def _off(calendar, row, begins):
    if not row.fitting:
        return begins
    return calendar.shift(begins + row.notice_days * DAY, 0) + DAY


def _ready(room, key, of, done):
    return room.calendar.shift(
        max((done[key, row.key] + row.wait_days * DAY for row in of), default=TODAY), 0
    )
