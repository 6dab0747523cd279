"""Whether carrying into the pattern helps: who counts, how, and what is said of the difference."""

import datetime

import pytest

from fittings.rates import difference, proportion
from fittings.review.asking import Asked
from fittings.review.carried import carried
from fittings.review.counting import count_anew
from fittings.review.facts import first_looks
from tests.factories import CarryAnswerFactory, CustomerFactory, GarmentFactory, UserFactory
from tests.review.scenes import answered, looked_at

pytestmark = pytest.mark.django_db

FIRST_HALF = Asked(since=datetime.date(2026, 1, 1), until=datetime.date(2026, 6, 30))


def test_first_fittings_stand_apart_by_the_answer():
    answered(accepted=True)
    answered(accepted=True, faults=2)
    answered(accepted=False, faults=3)

    # with a fault, garments, faults, their squares
    assert first_looks(FIRST_HALF) == {"carried": (1, 2, 2, 4), "left out": (1, 1, 3, 9)}


def test_one_change_carried_makes_a_garment_carried():
    coat = answered(accepted=False, faults=1)
    CarryAnswerFactory(garment=coat, seam="cuff", operation="lengthen-cuff")

    assert first_looks(FIRST_HALF) == {"carried": (1, 1, 1, 1)}


def test_answer_struck_by_a_newer_counts_no_more():
    coat = answered(accepted=True)
    old = coat.carry_answers.get()
    CarryAnswerFactory(garment=coat, accepted=False, strikes=old)

    assert first_looks(FIRST_HALF) == {"left out": (0, 1, 0, 0)}


@pytest.mark.parametrize(
    ("stage", "found"), [("delivered", {"nothing answered": (1, 1, 1, 1)}), ("ordered", {})]
)
def test_second_garment_nothing_was_answered_for_stands_apart(stage, found):
    customer = CustomerFactory()
    GarmentFactory(customer=customer, stage=stage)
    looked_at(GarmentFactory(customer=customer), "2026-03-02", faults=1)

    assert first_looks(FIRST_HALF) == found


@pytest.mark.parametrize("kind", ["coat", "trousers"])
def test_first_of_a_kind_of_a_customer_does_not_count(kind):
    coat = GarmentFactory(kind="coat")
    before = CustomerFactory() if kind == "coat" else coat.customer
    GarmentFactory(customer=before, kind=kind, stage="delivered", serial=1)
    looked_at(coat, "2026-03-02", faults=1)

    assert first_looks(FIRST_HALF) == {}


def test_later_fittings_of_the_garment_do_not_count():
    coat = answered("2026-03-02", accepted=True)
    looked_at(coat, "2026-03-20", faults=4)

    assert first_looks(FIRST_HALF) == {"carried": (0, 1, 0, 0)}


def test_measuring_is_no_first_fitting():
    coat = answered("2026-03-02", accepted=True, faults=1)
    looked_at(coat, "2026-02-20", purpose="measure")

    assert first_looks(FIRST_HALF) == {"carried": (1, 1, 1, 1)}


def test_fault_struck_out_was_not_seen():
    coat = answered(accepted=True, faults=1)
    fault = coat.observations.get(fault__gt="")
    type(fault).objects.create(
        fitting=fault.fitting, garment=coat, zone=fault.zone, strikes=fault, void=True, by=fault.by
    )

    assert first_looks(FIRST_HALF) == {"carried": (0, 1, 0, 0)}


@pytest.mark.parametrize(
    "asked",
    [
        {"since": datetime.date(2026, 3, 3)},
        {"until": datetime.date(2026, 3, 1)},
        {"kind": "trousers"},
    ],
)
def test_only_days_and_garments_asked_about_count(asked):
    answered("2026-03-02", accepted=True)

    days = {"since": FIRST_HALF.since, "until": FIRST_HALF.until}
    assert first_looks(Asked(**days | asked)) == {}


def test_only_the_cutter_asked_about_counts():
    mine = answered(accepted=True, faults=1).cutter
    answered(accepted=True)

    assert first_looks(Asked(FIRST_HALF.since, FIRST_HALF.until, cutter=mine)) == {
        "carried": (1, 1, 1, 1)
    }


def test_tables_show_each_answer_and_all_together():
    for number in range(6):
        answered(accepted=True, faults=number % 2)
        answered(accepted=False, faults=2)

    rates, means = carried(FIRST_HALF)

    assert [line[:4] for line in rates.lines] == [
        ["Carried", 3, 6, "50 %"],
        ["Left out", 6, 6, "100 %"],
        ["All together", 9, 12, "75 %"],
    ]
    assert [line[:4] for line in means.lines] == [
        ["Carried", 3, 6, "0.5"],
        ["Left out", 12, 6, "2.0"],
        ["All together", 15, 12, "1.2"],
    ]


def test_difference_is_told_with_its_interval_and_its_limits():
    for number in range(20):
        answered(accepted=True, faults=number % 4 == 0)
        answered(accepted=False, faults=1)

    note = carried(FIRST_HALF)[0].note

    words = difference(proportion(5, 20), proportion(20, 20)).words()
    assert note == (
        f"Carried less left out: {words}, more than chance makes. "
        "Who carries and who leaves out was not drawn by lot: it may have other causes."
    )


@pytest.mark.parametrize("accepted", [True, False])
def test_one_answer_alone_is_held_against_nothing(accepted):
    answered(accepted=accepted)

    assert carried(FIRST_HALF)[0].note == ""


def test_difference_of_few_garments_is_not_told():
    answered(accepted=True)
    answered(accepted=False, faults=1)

    assert carried(FIRST_HALF)[0].note == "Carried against left out: too few to tell."


@pytest.mark.parametrize("times", [1, 3, 10])
def test_tables_take_three_queries_whatever_the_data(times, django_assert_num_queries):
    for _ in range(times):
        answered(accepted=True, faults=1)
        answered(accepted=False, cutter=UserFactory())
    count_anew()

    with django_assert_num_queries(3):  # whether anything is to be counted, the marks, what was
        carried(FIRST_HALF)
