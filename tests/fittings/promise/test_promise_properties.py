"""Laws no workroom breaks, on random garments in work; and the bench played through day by day."""

import datetime
from itertools import count
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.promise import Order, Overtime, Period, Stage, ask, schedule
from fittings.promise.queueing import Bench, Work, done_by
from fittings.promise.scheduling import run
from tests.fittings.promise.benches import (
    CRAFTS,
    DAY,
    EVERY_DAY,
    TODAY,
    bench,
    played_through,
    some_orders,
    workroom,
)

seeds = st.integers(0, 10_000)
crafts = st.sampled_from(CRAFTS)
few = settings(max_examples=15, derandomize=True)


def ready(plans):
    return {key: plan.ready for key, plan in plans.items()}


def later(before, after):
    """The garments ready later in ``after``."""
    return [key for key, day in ready(before).items() if after[key].ready > day]


@few
@given(seed=seeds, craft=crafts, hands=st.integers(1, 3))
def test_one_more_maker_makes_nothing_later(seed, craft, hands):
    orders, room = some_orders(seed, 12), workroom(hands=hands)

    more = schedule(room.with_maker(craft, "another"), orders, TODAY)

    assert later(schedule(room, orders, TODAY), more) == []


@few
@given(seed=seeds, craft=crafts, minutes=st.integers(1, 300), first=st.integers(0, 60))
def test_overtime_makes_nothing_later(seed, craft, minutes, first):
    orders, room = some_orders(seed, 12), workroom(hands=2)
    period = Period(TODAY + first * DAY, TODAY + (first + 20) * DAY)

    more = schedule(room.with_overtime(Overtime(craft, minutes, period)), orders, TODAY)

    assert later(schedule(room, orders, TODAY), more) == []


@few
@given(seed=seeds, hands=st.integers(1, 3))
def test_one_more_promise_makes_nothing_earlier(seed, hands):
    *kept, added = some_orders(seed, 13)
    room = workroom(hands=hands)
    before = schedule(room, kept, TODAY)

    after = schedule(room, [*kept, added], TODAY)

    assert [key for key in before if after[key].ready < before[key].ready] == []


@few
@given(seed=seeds, craft=crafts, hands=st.integers(1, 2))
def test_earliest_promise_moves_one_way_only(seed, craft, hands):
    *kept, added = some_orders(seed, 9)
    room, asked = workroom(hands=hands), Order("asked", "coat")
    found = ask(room, kept, asked, TODAY).plan.order.due

    assert ask(room.with_maker(craft, "another"), kept, asked, TODAY).plan.order.due <= found
    assert ask(room, [*kept, added], asked, TODAY).plan.order.due >= found


@few
@given(seed=seeds, hands=st.integers(1, 3))
def test_earliest_promise_is_kept_when_planned_again(seed, hands):
    kept, room = some_orders(seed, 9), workroom(hands=hands)
    before = schedule(room, kept, TODAY)
    plan = ask(room, kept, Order("asked", "coat"), TODAY).plan

    again = schedule(room, [*kept, plan.order], TODAY)

    assert again["asked"] == plan
    assert not again["asked"].late
    assert [key for key in before if again[key].late and not before[key].late] == []


def test_free_hands_are_not_waited_for():
    # Two makers and one long piece of work that goes first: the other maker is free.
    long = Work(minutes=4_200, may_begin=0, done=10)

    short = Work(minutes=420, may_begin=0, done=10)

    assert done_by(840, 0, [long], Bench(lambda _day: (2, 420))) == 2
    assert done_by(840, 0, [long, short], Bench(lambda _day: (2, 420))) == 3
    assert done_by(840, 0, [long], Bench(lambda _day: (1, 420))) == 12


def test_surely_done_is_the_first_day_of_the_bound_written_out():
    wrong = []
    for seed in range(120):
        rng = Random(seed)
        sits = [rng.choice([(0, 0), (1, 300), (2, 420), (3, 420)]) for _ in range(50)]
        first = [some_work(rng) for _ in range(rng.randrange(9))]
        minutes, begins = rng.randrange(60, 2_000), rng.randrange(6)
        hands = [*sits, *[(3, 420)] * 1_100].__getitem__
        found = done_by(minutes, begins, first, Bench(hands))
        if found != written_out(minutes, begins, first, hands):
            wrong.append(seed)

    assert wrong == []


def some_work(rng):
    comes = rng.randrange(12)
    return Work(rng.randrange(60, 2_500), comes, comes + rng.randrange(1, 25))


def written_out(minutes, begins, first, hands):
    """The soonest of all days it may begin on, each followed day by day."""

    def sure(since, day):
        return surely_in(since, day, first, hands) + 1e-6 >= minutes

    return 1 + min(
        next(day for day in count(since) if sure(since, day)) for since in range(begins, 40)
    )


def surely_in(since, day, first, hands):
    """The minutes that went into it from ``since`` to ``day``: all makers sat, less it waited."""
    rivals = sorted(w.minutes for w in first if w.done > since and w.may_begin <= day)
    sat = sorted(hands(each) for each in range(since, day + 1) if hands(each) != (0, 0))
    left, waited = sum(rivals), 0.0
    for makers, each in sat:
        took = min(left, makers * each)
        left, waited = left - took, waited + took / makers
    longest = rivals[max(len(rivals) - (sat[0][0] if sat else 9) + 1, 0) :]
    return sum(each for _, each in sat) - min(waited, sum(rivals) - sum(longest))


def test_overtime_elsewhere_brings_rivals_sooner():
    # By overtime the rival leaves the cutter after two days and is at the coat maker first.
    stages = {
        "rival": (bench("cut", "cutter", 3), bench("baste", "coat-maker", 5, "cut")),
        "asked": (Stage("cloth", wait_days=2), bench("baste", "coat-maker", 1, "cloth")),
    }
    orders = [Order("a", "rival", TODAY + 9 * DAY), Order("b", "asked", TODAY + 20 * DAY)]
    more = Overtime("cutter", 300, Period(TODAY, TODAY + 9 * DAY))

    plans = schedule(workroom(EVERY_DAY, overtime=(more,)), orders, TODAY, stages)

    assert [(plans[key].ready - TODAY).days for key in "ab"] == [7, 8]


@few
@given(seed=seeds, hands=st.integers(1, 3))
def test_bench_played_through_is_never_later(seed, hands):
    orders, room = some_orders(seed, 12), workroom(hands=hands)
    plans = schedule(room, orders, TODAY)

    played = played_through(room, orders)

    assert {k: d for k, d in played.items() if d > plans[k].ready} == {}


@pytest.mark.parametrize("kind", ["coat", "waistcoat", "trousers", "overcoat"])
def test_garment_alone_is_ready_as_played(kind):
    order, room = Order("only", kind, TODAY + 200 * DAY), workroom()

    plan = schedule(room, [order], TODAY)["only"]

    assert plan.ready == plan.unhindered == played_through(room, [order])["only"]


def test_played_through_queue_can_come_later():
    # Why the engine does not promise from one: more hands, and a garment comes out later.
    orders = some_orders(50, 12)
    before = played_through(workroom(), orders)
    after = played_through(workroom().with_maker("coat-maker", "another"), orders)

    assert [key for key, day in before.items() if after[key] > day] == ["g0"]


def test_last_of_latest_days_still_keeps_promise():
    # Beginning the baste on its latest day, with nothing else to do, still meets the due day.
    room, due = workroom(), TODAY + 80 * DAY
    order = Order("it", "coat", due, frozenset({"cloth"}))
    latest = schedule(room, [order], TODAY)["it"].stage("cut").latest
    behind = Order("it", "coat", due, frozenset({"cloth", "cut"}))

    on_time = schedule(room, [behind], latest + DAY)["it"]
    too_late = schedule(room, [behind], room.calendar.shift(latest, 5) + DAY)["it"]

    assert (on_time.late, too_late.late) == (False, True)
    assert on_time.ready > due - datetime.timedelta(days=7)


@few
@given(seed=seeds, place=st.integers(0, 8), hands=st.integers(1, 3))
def test_plans_gone_on_from_are_those_made_anew(seed, place, hands):
    before, room = some_orders(seed, 9), workroom(hands=hands)
    after = [*before[:place], *some_orders(seed + 1, 9)[place:]]
    known = run(room, before, TODAY)

    assert run(room, after, TODAY, known=known) == run(room, after, TODAY)
    assert run(workroom(hands=4), after, TODAY, known=known) == run(workroom(hands=4), after, TODAY)
    assert run(room, after, TODAY + DAY, known=known) == run(room, after, TODAY + DAY)


def test_what_is_asked_beside_the_promises_leaves_their_plans_alone():
    kept, room = some_orders(7, 9), workroom()
    known = run(room, kept, TODAY)
    before = repr(known.made)

    for due in (None, TODAY + 90 * DAY):
        ask(room, kept, Order("asked", "coat", due), TODAY, known=known)

    assert repr(known.made) == before
