"""Rates against published tables and two reference libraries.

Published: Newcombe (1998) Stat. Med. 17:857-872, Table I, method 3 (Wilson score, 95 %);
Student (1908) Biometrika 6:1-25, the sleep data, with the interval that R prints for them.
"""

import math

import pytest
import scipy.stats
from hypothesis import assume, given
from hypothesis import strategies as st
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from fittings.rates import difference, mean_from_sums, mean_rows, proportion, rows

LEVELS = st.floats(min_value=0.01, max_value=0.999)


def mean_of(values, *level):
    return mean_from_sums(len(values), sum(values), sum(value**2 for value in values), *level)


@st.composite
def counts(draw, most=2000):
    n = draw(st.integers(1, most))
    return draw(st.integers(0, n)), n


# -- two proportions -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "second", "value", "low", "high"),
    # Newcombe (1998) Stat. Med. 17:873-890, Table II, method 10 (from memory, to four decimals)
    [((56, 70), (48, 80), 0.2, 0.0524, 0.3339), ((9, 10), (3, 10), 0.6, 0.1705, 0.8090)],
)
def test_difference_reproduces_newcombe_table_two(first, second, value, low, high):
    found = difference(proportion(*first), proportion(*second))

    assert (found.value, found.low, found.high) == pytest.approx((value, low, high), abs=5e-5)


@given(counts(), counts())
def test_difference_agrees_with_statsmodels_newcombe(first, second):
    found = difference(proportion(*first), proportion(*second))

    oracle = confint_proportions_2indep(*first, *second, method="newcomb", compare="diff")
    assert (found.low, found.high) == pytest.approx(oracle, abs=1e-9)


@given(counts(), counts())
def test_difference_turns_its_sign_with_its_groups(first, second):
    one = difference(proportion(*first), proportion(*second))
    other = difference(proportion(*second), proportion(*first))

    assert (one.low, one.high) == pytest.approx((-other.high, -other.low))


@pytest.mark.parametrize(
    ("first", "second", "words", "real"),
    [
        ((0, 0), (3, 9), "too few to tell", False),
        ((3, 9), (0, 0), "too few to tell", False),
        ((4, 4), (0, 9), "too few to tell", False),
        ((56, 70), (48, 80), "+20 points (likely +5 to +33)", True),
        ((48, 80), (56, 70), "-20 points (likely -33 to -5)", True),
        ((5, 10), (5, 10), "+0 points (likely -37 to +37)", False),
        # To whole points this range would end at nothing, and leave it out in the same breath.
        ((4, 150), (10, 115), "-6.0 points (likely -12.8 to -0.4)", True),
    ],
)
def test_difference_says_what_it_can_tell(first, second, words, real):
    found = difference(proportion(*first), proportion(*second))

    assert (found.words(), found.real) == (words, real)


# -- one proportion --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_proportion_reproduces_newcombe_table_one(k, n, low, high):
    rate, *limits = proportion(k, n)

    assert rate == k / n
    assert [round(limit, 4) for limit in limits] == [low, high]


@given(counts(), LEVELS)
def test_proportion_agrees_with_scipy_wilson(case, level):
    k, n = case

    _, low, high = proportion(k, n, level)

    oracle = scipy.stats.binomtest(k, n).proportion_ci(level, method="wilson")
    assert (low, high) == pytest.approx((oracle.low, oracle.high), abs=1e-12)


@given(counts(), LEVELS)
def test_proportion_agrees_with_statsmodels_wilson(case, level):
    k, n = case

    _, low, high = proportion(k, n, level)

    oracle = proportion_confint(k, n, alpha=1 - level, method="wilson")
    assert (low, high) == pytest.approx(oracle, abs=1e-12)


@given(counts(most=10**9), st.floats(0, 1, exclude_min=True, exclude_max=True))
def test_proportion_limits_hold_rate_within_unit(case, level):
    rate, low, high = proportion(*case, level)

    assert 0 <= low <= rate <= high <= 1


@given(counts())
def test_proportion_mirrors_when_good_and_bad_swap(case):
    k, n = case

    _, low, high = proportion(k, n)
    _, mirrored_low, mirrored_high = proportion(n - k, n)

    assert (low, high) == pytest.approx((1 - mirrored_high, 1 - mirrored_low), abs=1e-12)


@given(counts(most=200))
def test_proportion_narrows_with_ten_times_the_count(case):
    k, n = case

    _, low, high = proportion(k, n)
    _, wide_low, wide_high = proportion(10 * k, 10 * n)

    assert wide_high - wide_low < high - low


@pytest.mark.parametrize(("k", "n", "limit"), [(0, 7, 0.0), (7, 7, 1.0), (0, 1, 0.0), (1, 1, 1.0)])
def test_proportion_ends_exactly_at_none_and_all(k, n, limit):
    rate, low, high = proportion(k, n)

    assert rate == limit
    assert limit in (low, high)


def test_proportion_of_nothing_is_no_rate():
    assert tuple(proportion(0, 0)) == (None, None, None)


@pytest.mark.parametrize(
    ("k", "n", "message"),
    [
        (3, 2, "k cannot exceed n: 3 of 2"),
        (1, 0, "k cannot exceed n: 1 of 0"),
        (-1, 5, "k must be a whole number, 0 or more, not -1"),
        (0, -1, "n must be a whole number, 0 or more, not -1"),
        (1.0, 5, "k must be a whole number, 0 or more, not 1.0"),
        (1, 5.5, "n must be a whole number, 0 or more, not 5.5"),
        ("1", 5, "k must be a whole number, 0 or more, not '1'"),
        (None, 5, "k must be a whole number, 0 or more, not None"),
        (True, 5, "k must be a whole number, 0 or more, not True"),
        (1, math.nan, "n must be a whole number, 0 or more, not nan"),
    ],
)
def test_proportion_refuses_what_is_no_count(k, n, message):
    with pytest.raises(ValueError) as refusal:
        proportion(k, n)

    assert str(refusal.value) == message


@pytest.mark.parametrize("level", [0, 1, -0.5, 95, math.nan, math.inf])
def test_proportion_refuses_level_outside_zero_and_one(level):
    with pytest.raises(ValueError) as refusal:
        proportion(1, 5, level)

    assert str(refusal.value) == f"level must lie between 0 and 1, not {level!r}"


# -- its words -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("k", "n", "words"),
    [
        (0, 0, "too few to tell: 0 of 0"),
        (1, 3, "too few to tell: 1 of 3"),
        (4, 4, "too few to tell: 4 of 4"),
        (1, 5, "1 of 5 (20 %, likely 4–62 %)"),
        (1, 29, "1 of 29 (3 %, likely 1–17 %)"),
        (0, 20, "0 of 20 (0 %, likely 0–16 %)"),
        (20, 20, "20 of 20 (100 %, likely 84–100 %)"),
        (1, 400, "1 of 400 (<1 %, likely 0–1 %)"),
        (399, 400, "399 of 400 (>99 %, likely 99–100 %)"),
    ],
)
def test_words_give_counts_and_likely_range(k, n, words):
    assert proportion(k, n).words() == words


# -- groups ----------------------------------------------------------------------------------------


def test_rows_come_by_name_never_by_rate():
    table = rows({"Weir": (0, 40), "adair": (9, 10), "Brock": (1, 3)})

    assert [row.name for row in table] == ["adair", "Brock", "Weir"]
    assert [(row.figure.k, row.figure.n) for row in table] == [(9, 10), (1, 3), (0, 40)]


def test_rows_of_no_groups_are_empty():
    assert rows({}) == []


def test_mean_rows_come_by_name_with_their_sums():
    table = mean_rows({"Weir": (2, 5, 13), "adair": (1, 3, 9)})

    assert [(row.name, row.figure.count, row.figure.mean) for row in table] == [
        ("adair", 1, 3.0),
        ("Weir", 2, 2.5),
    ]


# -- means -----------------------------------------------------------------------------------------


def test_mean_reproduces_the_sleep_data_of_student():
    """Student 1908: extra sleep of ten people, here in tenths of an hour, printed as mean 1.58 and
    s.d. 1.17 (divisor n); R's t.test of the same data prints 0.7001142 to 2.4598858 hours.
    Printed figures from memory."""
    extra = [12, 24, 13, 13, 0, 10, 18, 8, 46, 14]

    answer = mean_of(extra)

    assert (answer.count, answer.mean) == (10, 15.8)
    assert round(answer.sd * math.sqrt(9 / 10), 1) == 11.7
    assert (round(answer.low, 6), round(answer.high, 6)) == (7.001142, 24.598858)


@given(st.lists(st.integers(0, 12), min_size=2, max_size=300), LEVELS)
def test_mean_agrees_with_scipy_student_interval(values, level):
    assume(len(set(values)) > 1)

    answer = mean_of(values, level)

    low, high = scipy.stats.t.interval(
        level, len(values) - 1, loc=scipy.stats.tmean(values), scale=scipy.stats.sem(values)
    )
    assert (answer.low, answer.high) == pytest.approx((low, high), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([], "too few to tell: 0 counted"),
        ([2], "too few to tell: 1 counted"),
        ([2, 3, 2, 4], "too few to tell: 4 counted"),
        ([2, 3, 2, 4, 2], "2.6 (likely 1.5–3.7, 5 counted)"),
        ([3] * 12, "3.0 (all 12 alike)"),
    ],
)
def test_mean_words_carry_range_and_count(values, words):
    assert mean_of(values).words() == words


def test_mean_of_one_has_no_spread():
    answer = mean_of([3])

    assert (answer.mean, answer.sd, answer.low, answer.high) == (3.0, None, None, None)


@pytest.mark.parametrize(
    ("sums", "message"),
    [
        ((2, 10, 1), "no counts have these sums: 2, 10, 1"),
        ((0, 0, 4), "no counts have these sums: 0, 0, 4"),
        ((0, 3, 0), "no counts have these sums: 0, 3, 0"),
        ((-1, 0, 0), "count must be a whole number, 0 or more, not -1"),
        ((1, 2.0, 4), "total must be a whole number, 0 or more, not 2.0"),
    ],
)
def test_mean_refuses_sums_of_no_counts(sums, message):
    with pytest.raises(ValueError) as refusal:
        mean_from_sums(*sums)

    assert str(refusal.value) == message
