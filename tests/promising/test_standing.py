"""How far a garment is, by what was entered, in the stages of the promise engine."""

import datetime

import pytest

from fittings.promise import STAGES
from fittings.promising.standing import Standing, standing_of, with_tickets

DAY = datetime.date(2026, 3, 2)


def reached(kind, entered):
    days = [(stage, DAY + datetime.timedelta(days=n)) for n, stage in enumerate(entered.split())]
    return standing_of(STAGES[kind], days, DAY).reached


@pytest.mark.parametrize(
    ("entered", "behind"),
    [
        ("ordered", "cloth"),
        ("ordered cut", "cut"),
        ("ordered cut basted", "baste"),
        ("cut basted first-fitting", "first-fitting"),
        ("basted first-fitting altering", "first-fitting"),
        ("basted first-fitting altering basted", "forward-baste"),
        ("basted first-fitting altering basted forward-fitting", "forward-fitting"),
        ("first-fitting forward-fitting altering", "forward-fitting"),
        ("first-fitting forward-fitting altering basted", "alter-forward"),
        ("first-fitting finishing", "alter-forward"),
        ("first-fitting finishing finished", "finish"),
        ("finished final-look", "final-look"),
        ("finished final-look altering", "final-look"),
        ("finished final-look altering finished", "last-touches"),
        ("finished altering forward-fitting", "finish"),
        ("finished final-look delivered", "last-touches"),
        ("finished delivered returned", "final-look"),
        ("finished delivered returned altering finished", "last-touches"),
    ],
)
def test_coat_stands_behind_what_was_entered(entered, behind):
    assert reached("coat", entered) == behind


@pytest.mark.parametrize(
    ("entered", "behind"),
    [
        ("ordered cut basted", "baste"),
        ("basted first-fitting altering basted", "first-fitting"),
        ("first-fitting forward-fitting", "first-fitting"),
        ("first-fitting finishing", "first-fitting"),
        ("finishing finished", "finish"),
        ("finished delivered returned", "final-look"),
    ],
)
def test_trousers_take_the_stage_before(entered, behind):
    assert reached("trousers", entered) == behind


def test_what_was_passed_over_is_behind_it():
    rows = STAGES["coat"]
    done = Standing("forward-baste", DAY).done(rows)

    assert [row.key for row in rows if row.key not in done] == [
        "forward-fitting",
        "alter-forward",
        "make-up",
        "finish",
        "final-look",
        "last-touches",
    ]


@pytest.mark.parametrize(("behind", "first"), [("baste", "ticket"), ("first-fitting", "cloth")])
def test_ticket_counts_where_no_stage_does(behind, first):
    rows = with_tickets(STAGES["coat"], Standing(behind, DAY), "coat", 90)

    assert rows[0].key == first


def test_ticket_comes_before_what_is_left():
    rows = with_tickets(STAGES["trousers"], Standing("first-fitting", DAY), "trousers", 45)
    after = {row.key: row.after for row in rows}

    assert (rows[0].craft, rows[0].minutes) == ("trouser-maker", 45)
    assert after["make-up"] == ("first-fitting", "ticket")
    assert after["finish"] == ("make-up",)


@pytest.mark.parametrize(
    ("reached", "booked", "behind"),
    [
        ("forward-fitting", "forward-fitting", "forward-baste"),
        ("alter-forward", "forward-fitting", "forward-baste"),
        ("finish", "forward-fitting", "finish"),
        ("final-look", "final-look", "finish"),
        ("first-fitting", "first-fitting", "baste"),
        ("baste", "first-fitting", "baste"),
    ],
)
def test_fitting_booked_once_more_is_before_it(reached, booked, behind):
    assert Standing(reached, DAY).before_again([booked]).reached == behind
