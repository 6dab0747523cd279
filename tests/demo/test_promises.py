"""The promise of the coming week that slips, and what cures it."""

import datetime

import pytest

from fittings.promise import Overtime, Period, Step, compare, risk
from fittings.promising.queries import read_promises
from garments.models import Garment

WEEK = datetime.timedelta(days=7)


@pytest.fixture
def wedding(demo):
    """All that is promised, and the garment that is wanted sooner than was told."""
    return read_promises(demo), Garment.objects.in_work().get(notes__contains="wedding")


def test_wedding_of_the_week_waits_at_a_bench(wedding, demo):
    promises, garment = wedding
    plan = promises.plans[garment.number]

    found = risk(plan)
    assert demo < garment.promised_on <= demo + WEEK
    assert (found.step, " short at the " in found.reason) == (Step.LATE, True)


def test_help_at_its_bench_cures_the_wedding(wedding, demo):
    promises, garment = wedding
    case = promises.case
    period = Period(demo, demo + WEEK)

    crafts = {row.stage.craft for row in promises.plans[garment.number].stages} - {""}
    helped = [case.another_maker(craft) for craft in crafts]
    helped += [case.overtime(Overtime(craft, 120, period)) for craft in crafts]

    found = [compare(case, changed)[garment.number] for changed in helped]
    assert any(row.before.late and not row.after.late for row in found)


def test_most_promises_of_the_house_are_sure(wedding):
    promises, _ = wedding

    steps = [risk(plan).step for plan in promises.plans.values()]
    assert steps.count(Step.SURE) / len(steps) > 0.7
