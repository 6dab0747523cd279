"""How sure a promise is, why, and what would help it."""

import datetime

from fittings.promise import Case, Order, Overtime, Period, Step, ask, compare, risk, schedule
from tests.fittings.promise.benches import DAY, TODAY, bench, workroom

AHEAD = frozenset({"cloth", "cut"})


def coat(key, days, **more):
    return Order(key, "coat", TODAY + days * DAY, AHEAD, **more)


def crowded(count=6, days=45):
    """More coats promised for one day than one coat maker can bring forward."""
    return Case(workroom(), tuple(coat(f"c{n}", days) for n in range(count)), TODAY)


def one_bench(work, due):
    stages = {"job": (bench("baste", "coat-maker", 3), bench("make-up", "coat-maker", 2, "baste"))}
    orders = [Order("first", "job", TODAY + 2 * DAY), Order("it", "job", due)][2 - work :]
    return schedule(workroom(), orders, TODAY, stages)["it"]


def test_late_promise_names_bench_and_week():
    # Ten bench days from Monday 2 March are done on Friday 13th: ready on the 16th, due the 12th.
    plan = one_bench(2, datetime.date(2026, 3, 12))

    assert risk(plan).step == Step.LATE
    assert risk(plan).reason == "two days short at the coat maker in week 11"


def test_tight_promise_says_what_is_left():
    plan = one_bench(2, datetime.date(2026, 3, 17))

    assert (risk(plan).step, risk(plan).reason) == (
        Step.TIGHT,
        "one day to spare at the coat maker in week 11",
    )


def test_week_to_spare_is_sure():
    plan = one_bench(2, datetime.date(2026, 3, 23))

    assert (risk(plan).step, risk(plan).reason) == (Step.SURE, "five days to spare")


def test_work_itself_too_long_blames_no_bench():
    plan = one_bench(1, datetime.date(2026, 3, 6))

    assert risk(plan).reason == (
        "one day short: with every bench free the work takes until 9 March 2026"
    )


def test_bench_that_could_not_help_is_not_blamed():
    plan = one_bench(2, datetime.date(2026, 3, 6))

    assert plan.stage("baste").waits > 0
    assert risk(plan).reason == (
        "six days short: with every bench free the work takes until 9 March 2026"
    )


def test_garment_without_day_is_sure():
    plan = schedule(workroom(), [Order("it", "trousers")], TODAY)["it"]

    assert risk(plan).reason == "no day promised; ready by 25 March 2026"


def test_another_maker_saves_promises():
    case = crowded()
    found = compare(case, case.another_maker("coat-maker"))

    saved = [k for k, pair in found.items() if pair.before.late and not pair.after.late]
    assert saved
    assert min(pair.gained for pair in found.values()) == 0


def test_overtime_gains_days_for_the_last():
    case = crowded()
    period = Period(TODAY, TODAY + 60 * DAY)

    found = compare(case, case.overtime(Overtime("coat-maker", 120, period)))["c5"]

    assert found.gained == found.after.slack - found.before.slack
    assert found.gained > 3


def test_one_fitting_less_helps_its_garment():
    case = crowded(count=2)
    found = compare(case, case.one_fitting_less("c0", "forward-fitting"))

    assert found["c0"].gained > 5
    assert found["c1"].gained >= 0
    assert "forward-fitting" not in {row.stage.key for row in found["c0"].after.stages}


def test_what_if_leaves_the_case_alone():
    case = crowded(count=2)
    before = case.plans()

    case.another_maker("finisher")
    case.one_fitting_less("c0", "forward-fitting")

    assert case.plans() == before


def test_wish_that_breaks_another_promise_names_it():
    stages = {"job": (bench("work", "cutter", 5),)}
    kept = [Order("kept", "job", TODAY + 9 * DAY)]

    answer = ask(workroom(), kept, Order("new", "job", TODAY + 7 * DAY), TODAY, stages)

    assert answer.broken == ("kept",)
    assert answer.plan.ready == TODAY + 7 * DAY


def test_promise_late_already_is_not_broken():
    stages = {"job": (bench("work", "cutter", 5),)}
    kept = [Order("late", "job", TODAY + 4 * DAY)]

    answer = ask(workroom(), kept, Order("new", "job", TODAY + 2 * DAY), TODAY, stages)

    assert answer.broken == ()


def test_earliest_day_breaks_no_promise():
    stages = {"job": (bench("work", "cutter", 5),)}
    kept = [Order("kept", "job", TODAY + 9 * DAY)]

    answer = ask(workroom(), kept, Order("new", "job"), TODAY, stages)

    assert answer.broken == ()
    assert answer.plan.order.due == TODAY + 14 * DAY


def test_earliest_day_passes_promise_with_time():
    stages = {"job": (bench("work", "cutter", 5),)}
    kept = [Order("kept", "job", TODAY + 30 * DAY)]

    answer = ask(workroom(), kept, Order("new", "job"), TODAY, stages)

    assert answer.plan.order.due == TODAY + 7 * DAY


def test_booked_fitting_holds_what_comes_after():
    day = datetime.date(2026, 4, 15)
    plan = schedule(workroom(), [coat("it", 90, booked={"first-fitting": day})], TODAY)["it"]

    assert plan.stage("first-fitting").done == day
    assert plan.stage("recut").begins == day + DAY


def test_cloth_ordered_last_week_is_waited_out():
    ordered = TODAY - 4 * DAY
    order = Order("it", "coat", done=frozenset({"cloth"}), done_on={"cloth": ordered})

    plan = schedule(workroom(), [order], TODAY)["it"]

    assert plan.stage("cut").begins == ordered + 7 * DAY


def test_baste_done_today_dries_its_day():
    done = frozenset({"cloth", "cut", "baste", "alter-forward"})
    on = {"baste": TODAY, "alter-forward": TODAY}
    order = Order("it", "coat", done=done, done_on=on, left_out=("forward-fitting",))

    plan = schedule(workroom(), [order], TODAY)["it"]

    assert plan.stage("first-fitting").begins == TODAY + 2 * DAY


def test_garment_with_everything_done_is_ready_now():
    stages = {"job": (bench("work", "cutter", 5),)}
    order = Order("it", "job", TODAY + 4 * DAY, frozenset({"work"}))

    plan = schedule(workroom(), [order], TODAY, stages)["it"]

    assert (plan.ready, plan.slack, plan.stages) == (TODAY, 4, ())
