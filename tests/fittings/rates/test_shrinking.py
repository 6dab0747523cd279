"""Rates drawn to the house against a published example and SciPy.

Published: A. Gelman et al., "Bayesian Data Analysis", chapter 5, 70 groups of rats and the 71st,
4 of 14. The counts are from memory; they give the printed moments, mean .136 and s.d. .103, and
the beta (1.4, 8.6) that goes with them, with which 4 of 14 is drawn to .223 to .225. The likeliest
beta was found once more by another optimiser.
"""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import beta, betabinom

from fittings.rates import House, drawn_rates, fit_house
from fittings.rates.shrinking import MOST_WEIGHT, draw

GROUPS = """
0/20 0/20 0/20 0/20 0/20 0/20 0/20 0/19 0/19 0/19 0/19 0/18 0/18 0/17 1/20 1/20 1/20 1/20 1/19 1/19
1/18 1/18 2/25 2/24 2/23 2/20 2/20 2/20 2/20 2/20 2/20 1/10 5/49 2/19 5/46 3/27 2/17 7/49 7/47 3/20
3/20 2/13 9/48 10/50 4/20 4/20 4/20 4/20 4/20 4/20 4/20 10/48 4/19 4/19 4/19 5/22 11/46 12/49 5/20
5/20 6/23 5/19 6/22 6/20 6/20 6/20 16/52 15/47 15/46 9/24
"""
RATS = [tuple(int(part) for part in group.split("/")) for group in GROUPS.split()]


def test_rats_from_memory_have_the_printed_moments():
    rates = np.array([k / n for k, n in RATS])

    mean, variance = rates.mean(), rates.var(ddof=1)
    weight = mean * (1 - mean) / variance - 1
    assert [round(x, 1) for x in (mean * weight, (1 - mean) * weight)] == [1.4, 8.6]


def test_printed_house_draws_the_last_rats_as_printed():
    drawn = draw("4 of 14", 4, 14, House(1.356, 8.615))

    assert round(drawn.rate, 3) == 0.223


def test_range_of_a_drawn_rate_holds_it_95_times_in_100():
    drawn = draw("4 of 14", 4, 14, House(1.356, 8.615))

    below, within = beta(5.356, 18.615).cdf([drawn.low, drawn.high])
    assert (below, within) == pytest.approx((0.025, 0.975))


def test_fit_is_the_likeliest_by_another_optimiser():
    house = fit_house(RATS)

    k, n = np.array(RATS).T
    other = minimize(
        lambda p: -betabinom.logpmf(k, n, *np.exp(p)).sum(), (0, 1), method="Nelder-Mead"
    )
    assert (house.alpha, house.beta) == pytest.approx(np.exp(other.x), rel=1e-3)
    assert [round(x, 2) for x in (house.alpha, house.beta)] == [2.30, 14.08]


def test_likeliest_house_draws_the_last_rats():
    assert round(draw("4 of 14", 4, 14, fit_house(RATS)).rate, 3) == 0.207


def test_fit_finds_the_beta_that_made_the_groups():
    rng = np.random.default_rng(5)
    rates = rng.beta(4, 36, 400)
    counts = [(int(rng.binomial(60, rate)), 60) for rate in rates]

    house = fit_house(counts)

    assert house.rate == pytest.approx(0.1, abs=0.01)
    assert house.weight == pytest.approx(40, rel=0.3)


def test_equal_groups_are_drawn_almost_onto_the_house():
    house, drawn = drawn_rates({"a": (8, 100), "b": (8, 100), "c": (8, 100), "d": (2, 10)})

    assert house.weight > MOST_WEIGHT / 2
    assert all(row.rate == pytest.approx(house.rate, abs=0.01) for row in drawn)


def test_small_group_is_drawn_further_than_a_large_one():
    groups = {"large": (40, 100), "small": (4, 10), "low": (5, 100), "other": (8, 100)}

    house, drawn = drawn_rates(groups)

    by = {row.name: row for row in drawn}
    assert list(by) == ["large", "low", "other", "small"]
    assert house.rate < by["small"].rate < by["large"].rate < 0.4


@pytest.mark.parametrize(
    "counts", [[], [(1, 9), (2, 9)], [(0, 9), (0, 8), (0, 7)], [(3, 3), (4, 4), (5, 5)]]
)
def test_nothing_is_drawn_where_nothing_tells(counts):
    assert fit_house(counts) is None
