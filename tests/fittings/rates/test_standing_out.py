"""Who stands out: published tables, statsmodels, and houses whose truth is known.

Published: R. A. Fisher's tea (The Design of Experiments, 1935), 3 of 4 right; Y. Benjamini and
Y. Hochberg (1995), 15 chances of a trial (from memory), of which four stand at .05; J. L. Fleiss
(1981), table A.3, from memory: 827 a group for .60 against .70 at 1 %, 95 times in 100.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, fisher_exact
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import power_proportions_2indep

from fittings.rates import (
    compare,
    fisher,
    funnel,
    garments_each,
    garments_to_tell,
    more_to_name,
    more_to_tell,
    proportion,
    raised,
    seen,
    stand_out,
)
from fittings.review.pictures import funnel_picture

RUNS = 1000
BENJAMINI_HOCHBERG = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459]
BENJAMINI_HOCHBERG += [0.324, 0.4262, 0.5719, 0.6528, 0.759, 1]
EIGHTY_AND_SIXTY = (
    "56 of 70, before 48 of 80: +20 points (likely +5 to +33). "
    "That is more, beyond what chance alone makes."
)
NO_DIFFERENCE = (
    "5 of 50, before 5 of 50: +0 points (likely -13 to +13). Chance alone makes as much. "
    "So small a difference no number of garments the house makes would show."
)


def house(counts, n):
    return {f"cutter {place}": (int(k), n) for place, k in enumerate(counts)}


def named(counts, n):
    return [standing.different for standing in stand_out(house(counts, n))]


def squares(counts, n):
    """Whom the picture of the same page marks as beyond its limits."""
    drawn = funnel_picture(funnel(house(counts, n)), [""] * len(counts), "Returns", "garments")
    return [mark.beyond for mark in drawn.marks]


# -- published -------------------------------------------------------------------------------------


def test_fisher_reproduces_the_tasting_of_tea():
    assert round(fisher(3, 4, 1, 4), 4) == 0.4857


def test_first_four_of_benjamini_and_hochberg_stand():
    adjusted = np.array(raised(BENJAMINI_HOCHBERG))

    assert (adjusted <= 0.05).sum() == 4
    assert multipletests(BENJAMINI_HOCHBERG, method="fdr_bh")[1] == pytest.approx(adjusted)


def test_sample_size_reproduces_fleiss():
    assert garments_to_tell(0.6, 0.7, level=0.99, sureness=0.95) == 827


@settings(max_examples=60)
@given(st.lists(st.integers(0, 150), min_size=4, max_size=4))
def test_fisher_agrees_with_scipy_on_any_table(cells):
    k, missed, other_k, other_missed = cells
    exact = fisher_exact([[k, missed], [other_k, other_missed]]).pvalue

    chance = fisher(k, k + missed, other_k, other_k + other_missed)

    assert chance == pytest.approx(exact, rel=1e-8)


# -- statsmodels -----------------------------------------------------------------------------------


@settings(max_examples=25)
@given(st.lists(st.tuples(st.integers(0, 12), st.integers(12, 80)), min_size=2, max_size=7))
def test_chances_agree_with_statsmodels_where_nobody_stands_out(counts):
    groups = {str(place): pair for place, pair in enumerate(counts)}

    found = stand_out(groups)

    if any(standing.different for standing in found):
        return
    hits, total = map(sum, zip(*counts, strict=True))
    theirs = [
        fisher_exact([[s.k, s.n - s.k], [hits - s.k, total - s.n - hits + s.k]])[1] for s in found
    ]
    adjusted = multipletests(theirs, method="fdr_bh")[1]
    for ours, chance, among in zip(found, theirs, adjusted, strict=True):
        if ours.chance is not None:  # else it has too few hits to be named, and counts all the same
            assert (ours.chance, ours.adjusted) == pytest.approx((chance, among))


@pytest.mark.parametrize(
    ("rate", "other", "times"), [(0.2, 0.1, 1), (0.24, 0.08, 4), (0.4, 0.3, 2)]
)
def test_sample_size_has_its_power_in_statsmodels(rate, other, times):
    size = garments_to_tell(rate, other, times_as_many=times)

    theirs = power_proportions_2indep(rate - other, other, size, ratio=times).power
    assert 0.8 <= theirs <= 0.89  # the correction for continuity asks for somewhat more


# -- houses whose truth is known -------------------------------------------------------------------


@pytest.mark.parametrize("n", [60, 120])
def test_house_of_pure_luck_names_hardly_anyone(n):
    """Five cutters equal at 8 %, 1,000 runs: in words, or by a filled square of the picture."""
    runs = np.random.default_rng(7).binomial(n, 0.08, (RUNS, 5))

    alarmed = [any(named(run, n)) or any(squares(run, n)) for run in runs]

    assert np.mean(alarmed) <= 0.05


@pytest.mark.parametrize(("groups", "n"), [(6, 40), (20, 20), (60, 12)])
def test_many_equal_groups_of_few_garments_name_hardly_anyone(groups, n):
    """Equal at 5 %, as makers or cuts are: most have no hit at all, and each was a chance."""
    runs = np.random.default_rng(11).binomial(n, 0.05, (400, groups))

    assert np.mean([any(named(run, n)) for run in runs]) <= 0.05


@pytest.mark.parametrize(("n", "least"), [(60, 0.65), (120, 0.92)])
def test_cutter_at_three_times_the_rate_is_found(n, least):
    rates = [0.24, 0.08, 0.08, 0.08, 0.08]
    runs = np.random.default_rng(7).binomial(n, rates, (RUNS, 5))

    found = np.array([named(run, n) for run in runs])

    assert found[:, 0].mean() >= least
    assert found[:, 1:].any(axis=1).mean() <= 0.05  # and hardly anyone beside that one
    assert seen(n, 4 * n, 0.08, 3, 5) == pytest.approx(found[:, 0].mean(), abs=0.04)


def test_several_tables_share_the_false_alarms_among_them():
    """Five tables of a lucky house, as the letter has them: anyone in any, in 5 of 100 at most."""
    houses = np.random.default_rng(9).binomial(60, 0.08, (400, 5, 5))

    alarmed = [
        any(row.different for table in tables for row in stand_out(house(table, 60), 0.01))
        for tables in houses
    ]

    assert np.mean(alarmed) <= 0.05


# -- what could be seen ----------------------------------------------------------------------------


@pytest.mark.parametrize(("n", "others", "rate", "times"), [(20, 60, 0.1, 3), (40, 40, 0.3, 2)])
def test_seen_adds_up_everything_that_may_happen(n, others, rate, times):
    """Every count of both, each held against the other by the whole test: nothing left out."""
    own = binom.pmf(np.arange(n + 1), n, rate * times)
    rest = binom.pmf(np.arange(others + 1), others, rate)
    named = sum(
        own[k] * rest[other]
        for k in range(n + 1)
        for other in range(others + 1)
        if max(k, (k + other) * n / (n + others)) >= 3 and fisher(k, n, other, others) <= 0.05 / 3
    )

    assert seen(n, others, rate, times, 3) == pytest.approx(named, abs=1e-5)


def test_seen_passes_smoothly_into_the_normal_curve():
    exact, normal = seen(400, 1600, 0.05, 1.8, 5), seen(401, 1604, 0.05, 1.8, 5)

    assert 0.3 < exact < 0.95
    assert normal == pytest.approx(exact, abs=0.05)


@pytest.mark.parametrize(("n", "others", "rate"), [(30, 30, 0.2), (450, 30, 0.3)])
def test_of_two_groups_as_many_are_seen_as_are_named(n, others, rate):
    """Two are one comparison and not two; beside thirty the normal curve says too much."""
    drawn = np.random.default_rng(5).binomial([n, others], [2 * rate, rate], (RUNS, 2))
    found = [stand_out({"twice": (int(k), n), "other": (int(other), others)}) for k, other in drawn]

    share = np.mean([any(standing.different for standing in pair) for pair in found])
    assert seen(n, others, rate, 2, 2) == pytest.approx(share, abs=0.04)


def test_chances_looked_at_and_left_out_count_too():
    assert raised([0.001, 0.02], among=50) == pytest.approx([0.05, 0.5])


def test_garments_each_are_enough_four_times_in_five():
    n = garments_each(0.08, 3, 5)

    assert 0.77 <= seen(n, 4 * n, 0.08, 3, 5) <= 0.86


def test_nothing_can_be_seen_in_a_handful():
    assert (seen(9, 200, 0.08, 3, 5), seen(60, 240, 0, 3, 5)) == (0, 0)
    assert (garments_each(0.08, 3, 1), garments_each(0.5, 3, 5)) == (None, None)


# -- nobody is named on two coats ------------------------------------------------------------------


def test_two_coats_of_two_name_nobody():
    found = stand_out({"new": (2, 2), "others": (1, 400)})

    assert [(standing.name, standing.says) for standing in found] == [
        ("new", "too few to tell"),
        ("others", "too few to tell"),
    ]


@pytest.mark.parametrize(
    ("k", "n", "says"),
    [
        (5, 9, "too few to tell"),
        (5, 10, "higher than luck makes"),
        (3, 10, "higher than luck makes"),
        (2, 10, "too few to tell"),
    ],
)
def test_nobody_is_named_below_ten_garments_or_three_hits(k, n, says):
    (new, _) = stand_out({"new": (k, n), "others": (0, 400)})

    assert new.says == says


def test_one_bad_group_makes_no_other_look_good():
    found = stand_out({"bad": (40, 100), "b": (8, 100), "c": (8, 100), "d": (9, 100)})

    assert {standing.name: standing.says for standing in found} == {
        "b": "within luck",
        "bad": "higher than luck makes",
        "c": "within luck",
        "d": "within luck",
    }


def test_group_without_hits_is_low_only_among_many():
    found = stand_out({"many": (30, 200), "more": (32, 210), "none": (0, 80)})

    assert [standing.says for standing in found] == [
        "within luck",
        "within luck",
        "lower than luck makes",
    ]


def test_of_two_groups_the_higher_is_the_news():
    found = stand_out({"low": (0, 80), "high": (60, 400)})

    assert [standing.says for standing in found] == ["higher than luck makes", "within luck"]


@pytest.mark.parametrize("groups", [{}, {"one": (3, 40)}, {"none": (0, 40), "neither": (0, 50)}])
def test_nobody_stands_out_alone_or_among_equals(groups):
    assert not any(standing.different for standing in stand_out(groups))


# -- how many more ---------------------------------------------------------------------------------


def test_more_to_name_would_name_the_group():
    groups = {"high": (6, 40), "rest": (12, 160)}
    high = stand_out(groups)[0]

    more = more_to_name(high, 18, 200, 2)

    grown = 40 + more
    assert 40 < grown < 400
    assert seen(grown, 4 * grown, 0.075, 2, 2) == pytest.approx(0.8, abs=0.04)


@pytest.mark.parametrize(
    ("groups", "hits", "total"),
    [
        ({"same": (4, 40), "rest": (16, 160)}, 20, 200),
        ({"alone": (4, 40)}, 4, 40),
        ({"near": (40, 401), "rest": (160, 1600)}, 200, 2001),
    ],
)
def test_no_number_names_a_group_like_the_others(groups, hits, total):
    (first, *_) = (s for s in stand_out(groups) if s.name != "rest")

    assert more_to_name(first, hits, total, len(groups)) is None


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        ((1, 3), (2, 40), "1 of 3, before 2 of 40: too few to tell."),
        (
            (56, 70),
            (48, 80),
            EIGHTY_AND_SIXTY,
        ),
        (
            (5, 50),
            (5, 50),
            NO_DIFFERENCE,
        ),
    ],
)
def test_comparison_is_a_plain_sentence(first, second, says):
    assert compare(proportion(*first), proportion(*second)) == says


def test_comparison_says_how_many_more_would_tell():
    first, second = proportion(9, 60), proportion(5, 60)

    more = more_to_tell(first, second)

    assert more == garments_to_tell(9 / 60, 5 / 60) - 60
    assert compare(first, second).endswith(
        f"If it is as large as it looks, about {more} more of each would tell."
    )


@pytest.mark.parametrize("rates", [(0.2, 0.2), (-0.1, 0.2), (0.2, 1.2)])
def test_sample_size_refuses_rates_that_are_none(rates):
    with pytest.raises(ValueError):
        garments_to_tell(*rates)


@pytest.mark.parametrize(
    ("first", "second", "more"),
    [
        ((9, 60), (25, 300), garments_to_tell(9 / 60, 25 / 300) - 60),  # of the smaller group
        ((60, 100), (20, 100), 1),  # it is told already
        ((30, 300), (25, 300), garments_to_tell(0.1, 25 / 300) - 300),  # 4524
        ((30, 300), (26, 300), None),  # over 5000
    ],
)
def test_more_to_tell_counts_from_the_smaller_group(first, second, more):
    assert more_to_tell(proportion(*first), proportion(*second)) == more
