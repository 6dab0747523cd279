"""The owner's page of points read twice: whose, where, in which year, and how sure."""

import datetime

import pytest
from django.urls import reverse

from customers.lengths import Length
from fittings.review.repeat import hands, pairs_read, years_of
from tests.factories import MeasurementFactory, MeasurementSetFactory, UserFactory

pytestmark = pytest.mark.django_db

PAGE = "/review/read-twice/"


def twice(hand, *apart, point="waist", side="", year=2026, **values):
    """Sets of that hand in which a point was read twice, so many eighths of an inch apart."""
    for eighths in apart:
        row = MeasurementSetFactory(
            by=hand, taken_by=hand, taken_on=datetime.date(year, 2, 3), **values
        )
        for reading, value in ((1, Length.inches(33)), (2, Length.inches(33 + eighths / 8))):
            MeasurementFactory(in_set=row, point=point, side=side, reading=reading, value=value)
    return row


def lines_of(unit="in"):
    return {
        hand.name: [(line.point, line.whole, line.says, line.years) for line in hand.lines]
        for hand in hands(pairs_read(), unit)
    }


@pytest.fixture
def steady():
    return UserFactory(role="fitter", first_name="Ansel", last_name="Wren")


@pytest.fixture
def unsteady():
    return UserFactory(role="fitter", first_name="Hester", last_name="Crane")


def test_each_hand_has_its_error_by_point_and_year(steady, unsteady):
    # sqrt(5 x (1/8)^2 / 10) = 0.0884 in is near 3/32 in; sqrt(6 x 1^2 / 12) = 0.707 in, near 23/32
    twice(steady, 1, -1, 1, -1, 1)
    twice(unsteady, 8, -8, 8, year=2024)
    twice(unsteady, 8, -8, 8, year=2026)
    twice(unsteady, 1, point="wrist", side="L")

    assert lines_of() == {
        "Ansel Wren": [
            ("Waist", "3/32 in (5 pairs)", "as published", ["3/32 in (5 pairs)", "none"])
        ],
        "Hester Crane": [
            (
                "Waist",
                "23/32 in (6 pairs)",
                "wanders",
                ["3: too few to tell", "3: too few to tell"],
            ),
            ("Wrist", "1: too few to tell", "", ["1: too few to tell", "none"]),
        ],
    }


def test_error_reads_in_the_houses_unit(steady):
    twice(steady, 2, -2, 2, -2, 2)

    # sqrt(5 x 0.635^2 / 10) = 0.449 cm
    assert lines_of("cm")["Ansel Wren"][0][1] == "0.45 cm (5 pairs)"


def test_sides_of_a_point_count_together(steady):
    twice(steady, 1, 1, 1, point="wrist", side="L")
    twice(steady, 1, 1, 1, point="wrist", side="R")

    assert [line[1] for line in lines_of()["Ansel Wren"]] == ["3/32 in (6 pairs)"]


def test_corrected_sets_are_not_counted(steady):
    wrong = twice(steady, 80)
    twice(steady, 1, customer=wrong.customer, strikes=wrong)

    assert [pair.second - pair.first for pair in pairs_read()] == [Length.inches("1/8")]


def test_second_reading_alone_is_no_pair(steady):
    row = MeasurementSetFactory(by=steady)
    MeasurementFactory(in_set=row, point="waist", reading=2)
    MeasurementFactory(in_set=row, point="chest", reading=1)

    assert pairs_read() == []


def test_newest_three_years_are_shown(steady):
    for year in (2021, 2022, 2024, 2026):
        twice(steady, 1, year=year)

    assert years_of(pairs_read()) == [2026, 2024, 2022]


def test_page_shows_hands_by_name(client, steady, unsteady):
    client.force_login(UserFactory(role="owner"))
    twice(unsteady, 1)
    twice(steady, 1)

    answer = client.get(reverse("review:repeat_page"))

    assert [hand.name for hand in answer.context["hands"]] == ["Ansel Wren", "Hester Crane"]
    assert answer.text.count("1: too few to tell") == 4


def test_page_of_a_house_without_pairs_says_so(client):
    client.force_login(UserFactory(role="owner"))

    assert client.get(PAGE).text.count("Nothing read twice yet") == 1


@pytest.mark.parametrize("role", ["front of house", "fitter", "workroom"])
def test_page_is_the_owners_alone(client, role):
    client.force_login(UserFactory(role=role))

    assert client.get(PAGE).status_code == 403


def test_page_escapes_a_name(client):
    client.force_login(UserFactory(role="owner"))
    twice(UserFactory(first_name="<script>", last_name="x"), 1)

    assert client.get(PAGE).text.count("<script>") == 0


@pytest.mark.parametrize("count", [1, 3, 30])
def test_page_costs_same_queries(client, count, django_assert_num_queries):
    client.force_login(UserFactory(role="owner"))
    for _ in range(count):
        twice(UserFactory(), 1, 2, 3)

    with django_assert_num_queries(6):  # session, user, roles, pairs, house, names
        client.get(PAGE)
