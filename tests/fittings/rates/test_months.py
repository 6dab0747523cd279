"""The monthly chart against the worked example of a public handbook.

NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2: 30 wafers of 50 chips. The thirty counts
are from memory; their mean .2313 and the limits .4102 and .0524 are the printed ones.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from fittings.rates import monthly_chart
from fittings.rates.months import limits

WAFERS = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11]
WAFERS += [20, 18, 24, 15, 9, 12, 7, 13, 9, 6]


def chart_of(counts, n=50):
    return monthly_chart([(str(place), k, n) for place, k in enumerate(counts, 1)])


def test_chart_reproduces_the_handbook_wafers():
    chart = chart_of(WAFERS)

    first = chart.months[0]
    assert [round(x, 4) for x in (chart.middle, first.low, first.high)] == [0.2313, 0.0524, 0.4102]
    assert [month.name for month in chart.months if month.outside] == ["15", "23"]


def test_chart_says_which_months_lie_outside():
    assert chart_of(WAFERS).signals == ["15, 23: outside the limits."]


@settings(max_examples=30)
@given(st.integers(1, 60), st.floats(0.005, 0.08))
def test_limits_with_few_expected_keep_their_tail(n, middle):
    low, high = limits(n, middle)

    beyond = binom.sf(round(high * n), n, middle) + binom.cdf(round(low * n) - 1, n, middle)
    assert beyond <= 0.0027


def test_month_on_its_limit_is_inside():
    high = round(limits(10, 0.05)[1] * 10)

    chart = monthly_chart([("a", high, 10), *((str(i), 0, 10) for i in range(5))])

    assert chart.months[0].k / 10 <= chart.months[0].high
    assert not chart.months[0].outside


def test_eight_even_months_on_one_side_signal():
    """A step in the middle of the days is two runs, one on each side, and is told as two."""
    low = [(f"low {place}", 20, 100) for place in range(9)]
    high = [(f"high {place}", 30, 100) for place in range(9)]

    chart = monthly_chart([*low, *high])

    assert [month.run for month in chart.months] == [True] * 18
    assert chart.signals == [
        "low 0 to low 8: below the middle in a row, longer than luck makes but seldom.",
        "high 0 to high 8: above the middle in a row, longer than luck makes but seldom.",
    ]


def test_two_runs_on_one_side_are_not_one_where_others_lie_between():
    low, between = [("low", 20, 100)] * 9, [("between", 55, 100)] * 3
    months = [(f"{name} {place}", k, n) for place, (name, k, n) in enumerate(low + between + low)]

    first, second = monthly_chart(months).signals[-2:]

    assert (first[:14], second[:16]) == ("low 0 to low 8", "low 12 to low 20")


def test_seven_months_on_one_side_are_no_signal():
    months = ([("low", 20, 100)] * 7 + [("high", 29, 100)] * 7) * 2

    assert not any(month.run for month in monthly_chart(months).months)


def test_month_on_the_middle_belongs_to_neither_side():
    months = [("low", 20, 100)] * 5 + [("even", 25, 100)] + [("low", 20, 100)] * 5
    months += [("high", 35, 100)] * 5

    assert not any(month.run for month in monthly_chart(months).months)


def test_months_all_alike_are_no_run():
    assert not any(month.run for month in monthly_chart([("even", 20, 100)] * 12).months)


def test_empty_hands_month_after_month_are_luck():
    """At one return in twenty a month of four brings none four times in five: eight are usual."""
    months = [("none", 0, 4)] * 9 + [("one", 1, 4)] + [("none", 0, 4)] * 9 + [("two", 3, 4)]

    assert not any(month.run for month in monthly_chart(months).months)


def test_month_without_deliveries_neither_counts_nor_breaks():
    half = [("low", 20, 100)] * 4
    chart = monthly_chart([*half, ("shut", 0, 0), *half, *([("high", 30, 100)] * 8)])

    shut = chart.months[4]
    assert (shut.rate, shut.low, shut.high, shut.outside, shut.run) == (None,) * 3 + (False,) * 2
    assert [month.run for month in chart.months[:4]] == [True] * 4
    assert [said.split(":")[0] for said in chart.signals] == ["low to low", "high to high"]


@pytest.mark.parametrize("months", [[], [("shut", 0, 0)]])
def test_chart_of_an_empty_house_has_no_middle(months):
    chart = monthly_chart(months)

    assert (chart.middle, len(chart.months), chart.signals) == (None, len(months), [])


def test_chart_of_pure_luck_alarms_seldom():
    """Four hundred years of twelve months of 8 garments at 8 %: 12 x 0.27 % would be 3.2 %."""
    years = np.random.default_rng(3).binomial(8, 0.08, (400, 12))

    charts = [chart_of(year.tolist(), 8) for year in years]

    alarmed = [any(month.outside or month.run for month in chart.months) for chart in charts]
    assert np.mean(alarmed) <= 0.05
