"""Funnel limits: Spiegelhalter (2005), exact binomial, interpolated, at the 7.4 % of his letter of
2002; the figures were worked from his formula (from memory), and SciPy holds the tails."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom
from statsmodels.stats.proportion import binom_test

from fittings.rates import binomial_limits, funnel


@pytest.mark.parametrize(
    ("n", "inner", "outer"),
    [(10, 0.2274, 0.3851), (20, 0.1864, 0.2861), (50, 0.1447, 0.1992), (100, 0.1246, 0.1607)],
)
def test_limits_follow_the_formula_of_spiegelhalter(n, inner, outer):
    highs = [float(binomial_limits(n, 0.074, level)[1][0]) for level in (0.95, 0.998)]

    assert [round(high, 4) for high in highs] == [inner, outer]


@settings(max_examples=40)
@given(st.integers(5, 400), st.floats(0.01, 0.6))
def test_limits_lie_between_the_exact_whole_counts(n, target):
    (low,), (high,) = binomial_limits(n, target, 0.95)

    below, above = binom.ppf([0.025, 0.975], n, target)
    assert max(below - 1, 0) - 1e-9 <= low * n <= below + 1e-9
    assert above - 1 - 1e-9 <= high * n <= above + 1e-9


@settings(max_examples=40)
@given(st.integers(0, 40), st.integers(5, 200))
def test_point_beyond_a_limit_is_beyond_in_statsmodels(k, n):
    k = min(k, n)

    point = funnel({"one": (k, n), "others": (80, 1000)}).points[0]

    target = (80 + k) / (1000 + n)
    side = "larger" if k / n > target else "smaller"
    chance = binom_test(k, n, target, side)
    assert (point.lies != "inside the limits") == (chance <= 0.025)
    assert (point.lies == "beyond the 99.8 % limit") == (chance <= 0.001)


def test_funnel_stands_by_name_round_the_rate_of_all():
    found = funnel({"Weir": (30, 60), "adair": (4, 60), "Brock": (1, 3), "new": (0, 0)})

    assert found.target == 35 / 123
    assert [(point.name, point.lies) for point in found.points] == [
        ("adair", "beyond the 99.8 % limit"),
        ("Brock", "too few to tell"),
        ("Weir", "beyond the 99.8 % limit"),
    ]


def test_funnel_limits_narrow_with_the_number():
    found = funnel({"small": (2, 12), "large": (40, 400)})

    widths = [high - low for low, high in found.inner]
    assert widths[0] > 2 * widths[-1]
    assert all(a[0] <= b[0] and b[1] <= a[1] for a, b in zip(found.outer, found.inner, strict=True))


def test_funnel_limits_are_drawn_past_every_group_and_closest_where_they_bend():
    sizes = funnel({"small": (2, 12), "large": (40, 400)}).sizes

    steps = [after - size for size, after in pairwise(sizes)]
    assert (sizes[0], sizes[-1]) == (5, 420)
    assert steps[0] == 1 < steps[-1]


def test_funnel_of_nothing_is_none():
    assert funnel({"shut": (0, 0)}) is None


@pytest.mark.parametrize(("n", "target"), [(0, 0.1), (10, -0.1), (10, 1.1)])
def test_limits_refuse_what_is_no_group(n, target):
    with pytest.raises(ValueError):
        binomial_limits(n, target, 0.95)
