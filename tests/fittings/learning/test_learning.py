import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from fittings.learning import Case, Chance, Frequency, Row, Work, learn
from fittings.learning.weights import DAY_CAP, VERDICTS


class Book:
    """Two causes of one fault: the second has another fault of its own."""

    priors = {"short": 0.1, "square": 0.1}
    links = {("short", "collar"): 0.4, ("square", "collar"): 0.4, ("square", "folds"): 0.7}
    leaks = {"collar": 0.01, "folds": 0.01}


BOOKS = {"coat": Book}


def case(verdict="cured", *, day=1, cause="short", seen=("collar",), clean=(), **more):
    work = (Work("pass-up", frozenset({"collar"}), verdict),)
    return Case(day, "coat", cause, frozenset(seen), frozenset(clean), work, **more)


def value(cases, row):
    return learn(cases, BOOKS).figures[row].learnt


SHORT = Row("short", kind="coat")
SQUARE = Row("square", kind="coat")
LINK = Row("short", "collar")
REMEDY = Row("short", "collar", "pass-up")


def test_remedy_counts_better_for_half():
    verdicts = ["cured", "cured", "better", "same"]
    cases = [case(verdict, day=day) for day, verdict in enumerate(verdicts)]

    figure = learn(cases, BOOKS).figures[REMEDY]

    # By hand: 4 cases at 0.65 of the books, 2.5 of 4 of the house.
    assert figure.learnt == pytest.approx((4 * 0.65 + 2.5) / 8)
    assert figure.cases == 4


def test_remedy_record_counts_whole_alterations():
    learnt = learn([case("cured"), case("better"), case("worse")], BOOKS)

    assert learnt.remedy_record("collar", "short", "pass-up") == (1, 3)
    assert learnt.remedy_record("collar", "short", "let-out") == (0, 0)


def test_interval_is_that_of_scipy_beta():
    figure = Chance(0.65, 6, worth=4, good=4, bad=2)

    assert figure.interval() == pytest.approx(stats.beta(6.6, 3.4).interval(0.95))


def test_frequency_interval_is_that_of_scipy_gamma():
    figure = Frequency(0.5, 9, worth=8, found=9, expected=4)
    low, high = stats.gamma(17, scale=1 / 12).interval(0.95)

    assert figure.ratio == pytest.approx(17 / 12)
    assert figure.interval() == pytest.approx((low / (1 + low), high / (1 + high)))


@given(st.sampled_from(["short", "square"]), st.booleans())
@settings(max_examples=8)
def test_cure_never_lowers_failure_never_raises(cause, folds):
    about = {"cause": cause, "clean": ("folds",) if folds else ()}
    row = Row(cause, kind="coat")

    assert value([case("cured", **about)], row) >= 0.1
    assert value([case("same", **about)], row) <= 0.1
    assert value([case("worse", **about)], row) <= 0.1


def test_failure_of_an_unlikely_cause_does_not_raise_it():
    """By the books it is behind one collar in a thousand: even a failure could seem to speak up."""

    class Unlikely(Book):
        priors = {"short": 0.1, "rare": 0.004}
        links = {("short", "collar"): 0.9, ("rare", "collar"): 0.03}

    learnt = learn([case("same", cause="rare")], {"coat": Unlikely})

    assert learnt.figures[Row("rare", kind="coat")].learnt == pytest.approx(0.004)


def test_failed_cause_makes_its_rival_likelier():
    cases = [case("same", day=day) for day in range(10)]

    assert value(cases, SHORT) < 0.1 < value(cases, SQUARE)


def test_house_that_agrees_moves_no_prior():
    """Half the collars are each cause's, as the books have it, and surely known."""
    cases = [case(day=day, cause=("short", "square")[day % 2]) for day in range(400)]

    assert value(cases, SHORT) == pytest.approx(0.1, abs=0.002)


def test_clean_zone_counts_against_link():
    looked_for = [case(day=day, cause="square", clean=("folds",)) for day in range(5)]
    row = Row("square", "folds")

    # By hand: 12 cases at 0.7 of the books, 5 cures worth 0.9 each without the fault.
    assert value(looked_for, row) == pytest.approx(12 * 0.7 / (12 + 4.5))


def test_fault_not_looked_at_counts_nothing():
    assert Row("square", "folds") not in learn([case(cause="square")], BOOKS).figures


def test_other_cause_shares_credit_for_fault():
    alone = value([case()], LINK)
    beside = value([case(beside=frozenset({"square"}))], LINK)

    # By the noisy-OR: 0.4 / (1 - 0.6 * 0.99 * 0.6), of a cure worth 0.9.
    credit = 0.4 / (1 - 0.6 * 0.99 * 0.6)
    assert beside == pytest.approx((12 * 0.4 + 0.9 * credit) / 12.9)
    assert beside < alone


@pytest.mark.parametrize("row", [REMEDY, SHORT, LINK])
@pytest.mark.parametrize("verdict", VERDICTS)
def test_one_day_cannot_swing_a_figure(row, verdict):
    usual = [case("cured", day=day) for day in range(20)]
    cured = value(usual, row)
    bad_day = value([*usual, *[case(verdict, day=99)] * 50], row)
    endless_day = value([*usual, *[case(verdict, day=99)] * 500], row)

    # Any figure stands on 22 cases at least, books and house: a day weighs two beside them.
    assert abs(bad_day - cured) <= DAY_CAP / 22
    assert endless_day == pytest.approx(bad_day)


def test_order_of_cases_changes_nothing():
    rng = np.random.default_rng(5)
    cases = [case(VERDICTS[n % 4], day=n % 7, cause=("short", "square")[n % 2]) for n in range(40)]
    mixed = [cases[n] for n in rng.permutation(40)]

    one, other = learn(cases, BOOKS).figures, learn(mixed, BOOKS).figures
    assert {row: figure.learnt for row, figure in one.items()} == pytest.approx(
        {row: figure.learnt for row, figure in other.items()}
    )


def test_row_left_out_goes_by_the_books():
    learnt = learn([case()], BOOKS).leaving_out([SHORT])

    assert learnt.priors("coat")["short"] == 0.1
    assert learnt.figures[SHORT].learnt > 0.1


def test_cause_unknown_to_the_books_teaches_its_remedy():
    learnt = learn([case(cause="own-words")], BOOKS)

    assert list(learnt.figures) == [Row("own-words", "collar", "pass-up")]


def test_verdict_there_is_not_is_refused():
    with pytest.raises(ValueError, match="not 'perfect'"):
        Work("pass-up", frozenset(), "perfect")
