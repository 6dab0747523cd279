import datetime

import pytest

from customers.lengths import Length
from customers.models import House
from customers.queries import (
    all_sets,
    before_and_since,
    last_measures,
    latest_set,
    newest_customers,
    standing_sets,
    unit_of,
)
from tests.factories import CustomerFactory, MeasurementSetFactory

pytestmark = pytest.mark.django_db


def taken(customer, day, strikes=None, **inches):
    measures = {(point.replace("_", "-"), ""): value for point, value in inches.items()}
    taken_on = datetime.date(2026, 1, day)
    return MeasurementSetFactory(
        customer=customer, taken_on=taken_on, measures=measures, strikes=strikes
    )


@pytest.fixture
def customer():
    return CustomerFactory()


@pytest.mark.parametrize(
    ("own", "house", "unit"), [("", "in", "in"), ("", "cm", "cm"), ("in", "cm", "in")]
)
def test_unit_of_customer_is_their_own_or_the_houses(customer, own, house, unit):
    House.objects.update(unit=house)
    customer.unit = own

    assert unit_of(customer) == unit


def test_newest_customers_come_first(customer):
    newer = CustomerFactory()

    assert list(newest_customers()) == [newer, customer]


def test_latest_set_is_the_newest_that_stands(customer):
    taken(customer, 5, chest=38)
    wrong = taken(customer, 9, chest=83)
    right = taken(customer, 8, chest=39, strikes=wrong)
    taken(CustomerFactory(), 10, chest=44)

    assert latest_set(customer) == right
    assert latest_set(CustomerFactory()) is None


def test_standing_and_all_sets_are_newest_first(customer):
    first = taken(customer, 5, chest=38)
    wrong = taken(customer, 9, chest=83)
    right = taken(customer, 10, chest=39, strikes=wrong)

    assert standing_sets(customer) == [right, first]
    assert list(all_sets(customer)) == [right, wrong, first]


def test_last_measures_take_each_point_from_its_newest_set(customer):
    taken(customer, 5, chest=38, waist=32)
    taken(customer, 7, seat=40)
    wrong = taken(customer, 8, chest=83)
    taken(customer, 9, chest=39, strikes=wrong)

    assert last_measures(customer) == {
        ("chest", ""): Length.inches(39),
        ("waist", ""): Length.inches(32),
        ("seat", ""): Length.inches(40),
    }


def test_last_measures_without_a_set_are_those_before_it(customer):
    taken(customer, 5, chest=38)
    middle = taken(customer, 7, chest=39)
    taken(customer, 7, chest=40)
    taken(customer, 9, chest=41)

    assert last_measures(customer, without=middle) == {("chest", ""): Length.inches(38)}


@pytest.mark.parametrize("sets", [1, 3, 30])
def test_queries_are_few_however_many_sets(customer, sets, django_assert_num_queries):
    for day in range(sets):
        taken(customer, day + 1, chest=38, waist=32)

    with django_assert_num_queries(4):  # last measures; standing sets, their measures; all sets
        last_measures(customer)
        standing_sets(customer)
        [row.taken_by.get_full_name() for row in all_sets(customer)]


def test_measures_before_and_since_take_one_query(customer, django_assert_num_queries):
    taken(customer, 3, chest=36, waist=30)
    row = taken(customer, 5, chest=38, waist=33)
    taken(customer, 9, chest=39, neck=15)
    wrong = taken(customer, 12, chest=93)
    taken(customer, 12, strikes=wrong, chest=39.5)
    taken(CustomerFactory(), 20, chest=50)

    with django_assert_num_queries(1):
        before, since = before_and_since(row)

    assert before == {("chest", ""): Length.inches(38), ("waist", ""): Length.inches(33)}
    assert since == {("chest", ""): Length.inches(39.5), ("neck", ""): Length.inches(15)}
