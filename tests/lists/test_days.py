"""Days as lists write them, against Python's own calendar."""

import datetime

import pytest

from fittings.lists.days import DAY_FIRST, MONTH_FIRST, DayError, orders_that_fit, read_day

LAST_OF_MARCH = datetime.date(2024, 3, 31)
THIRD_OF_APRIL = datetime.date(2024, 4, 3)


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2024-03-31", "", LAST_OF_MARCH),
        ("2024-03-31 00:00:00", "", LAST_OF_MARCH),
        ("31.03.2024", "", LAST_OF_MARCH),
        ("31. 3. 2024", MONTH_FIRST, LAST_OF_MARCH),
        ("31 March 2024", "", LAST_OF_MARCH),
        ("31-Mar-2024", "", LAST_OF_MARCH),
        ("3/4/2024", DAY_FIRST, THIRD_OF_APRIL),
        ("4/3/2024", MONTH_FIRST, THIRD_OF_APRIL),
        ("03-04-2024", DAY_FIRST, THIRD_OF_APRIL),
        ("2024-02-29", "", datetime.date(2024, 2, 29)),
    ],
)
def test_day_is_read_in_the_ways_it_is_written(text, order, day):
    assert read_day(text, order) == day


@pytest.mark.parametrize(
    ("text", "order", "says"),
    [
        ("3/4/2024", "", "Nobody said whether day or month comes first"),
        ("31/4/2024", DAY_FIRST, "There is no such day"),
        ("2023-02-29", "", "There is no such day"),
        ("0000-01-01", "", "There is no such day"),
        ("3/4/24", DAY_FIRST, "That is no day"),
        ("31 of March", "", "That is no day"),
        ("45382", "", "That is no day"),
        ("31 Mai 2024", "", "That is no day"),
        ("2024-03-31'; DROP", "", "That is no day"),
    ],
)
def test_what_is_no_day_is_refused_with_an_example(text, order, says):
    with pytest.raises(DayError) as refused:
        read_day(text, order)

    assert str(refused.value).startswith(says)
    assert "such as 2024-03-31" in str(refused.value)


@pytest.mark.parametrize(
    ("texts", "orders"),
    [
        (["2024-03-31", "Wren"], ()),
        (["3/4/2024"], (DAY_FIRST, MONTH_FIRST)),
        (["3/4/2024", "13/4/2024"], (DAY_FIRST,)),
        (["3/4/2024", "4/13/2024"], (MONTH_FIRST,)),
        (["13/4/2024", "4/13/2024"], (DAY_FIRST, MONTH_FIRST)),
    ],
)
def test_order_is_known_only_when_one_fits_all(texts, orders):
    assert orders_that_fit(texts) == orders


def test_every_day_of_a_leap_year_comes_back():
    days = [datetime.date(2024, 1, 1) + datetime.timedelta(days=at) for at in range(366)]

    for form in ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%d %B %Y", "%d %b %Y"):
        assert [read_day(day.strftime(form), DAY_FIRST) for day in days] == days
