"""Worked job sets of the scheduling literature.

Earliest due date: the five jobs of J. Heizer and B. Render, Operations Management, chapter
"Short-Term Scheduling" (work 6, 2, 8, 3, 9 days, due in 8, 6, 18, 15, 23), from memory: order
B A D C E, flow time 68 days, 6 days of lateness in all. That no order has a smaller greatest
lateness is J. R. Jackson's rule ("Scheduling a production line to minimize maximum tardiness",
Management Sciences Research Project 43, UCLA 1955). Two machines: the five jobs of the same
chapter, from memory, in the order of S. M. Johnson's rule ("Optimal two- and three-stage
production schedules with setup times included", Nav. Res. Logist. Q. 1 (1954) 61-68), done after
35 hours.
"""

from itertools import accumulate, permutations

from fittings.promise import Order, schedule
from tests.fittings.promise.benches import DAY, EVERY_DAY, TODAY, bench, workroom

ONE_MACHINE = {"A": (6, 8), "B": (2, 6), "C": (8, 18), "D": (3, 15), "E": (9, 23)}
TWO_MACHINES = {"A": (5, 2), "B": (3, 6), "C": (8, 4), "D": (10, 7), "E": (7, 12)}


def one_machine_plans():
    stages = {job: (bench("work", "cutter", work),) for job, (work, _) in ONE_MACHINE.items()}
    orders = [Order(job, job, TODAY + due * DAY) for job, (_, due) in ONE_MACHINE.items()]
    return schedule(workroom(EVERY_DAY), orders, TODAY, stages)


def two_machine_plans(order):
    stages = {
        job: (bench("one", "cutter", first), bench("two", "finisher", second, "one"))
        for job, (first, second) in TWO_MACHINES.items()
    }
    orders = [Order(job, job, TODAY + place * DAY) for place, job in enumerate(order)]
    return schedule(workroom(EVERY_DAY), orders, TODAY, stages)


def days_taken(plan):
    return (plan.ready - TODAY).days


def test_earliest_due_date_gives_textbook_completions():
    plans = one_machine_plans()

    assert {job: days_taken(plan) for job, plan in plans.items()} == {
        "B": 2, "A": 8, "D": 11, "C": 19, "E": 28,
    }  # fmt: skip
    assert sum(days_taken(plan) for plan in plans.values()) == 68


def test_lateness_in_all_is_the_textbooks():
    assert sum(max(0, -plan.slack) for plan in one_machine_plans().values()) == 6


def test_no_order_has_smaller_greatest_lateness():
    def greatest(order):
        ends = accumulate(ONE_MACHINE[job][0] for job in order)
        return max(end - ONE_MACHINE[job][1] for job, end in zip(order, ends, strict=True))

    ours = max(-plan.slack for plan in one_machine_plans().values())

    assert ours == min(map(greatest, permutations(ONE_MACHINE))) == 5


def test_johnsons_order_is_done_in_thirty_five():
    plans = two_machine_plans("BEDCA")

    assert max(map(days_taken, plans.values())) == 35
    assert [days_taken(plans[job]) for job in "BEDCA"] == [9, 22, 29, 33, 35]


def test_no_order_on_two_machines_is_sooner():
    soonest = min(max(map(days_taken, two_machine_plans(order).values()))
                  for order in permutations(TWO_MACHINES))  # fmt: skip

    assert soonest == 35


def test_equal_due_dates_keep_the_order_they_came():
    stages = {"job": (bench("work", "cutter", 2),)}
    orders = [Order(key, "job", TODAY + 9 * DAY) for key in ("second", "first", "third")]

    plans = schedule(workroom(EVERY_DAY), orders, TODAY, stages)

    assert [days_taken(plans[key]) for key in ("second", "first", "third")] == [2, 4, 6]
