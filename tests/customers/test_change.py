"""Two sets compared and trends found, against the published error and reference libraries."""

import datetime
from math import sqrt

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from customers.change import (
    KINDS,
    WISHED,
    changed_together,
    compare,
    error_of,
    error_text,
    kind_of,
    trend,
)
from customers.lengths import Length
from customers.points import POINTS

WAIST = ("waist", "")
EIGHTH, MILLIMETRE = 25.4 / 8, 1.0
ONE_OF_EACH = {
    "large girth": "waist",
    "small girth": "wrist",
    "height": "height",
    "segment length": "depth-of-scye",
    "breadth": "half-back",
}
PAIRS = 40_000


def waist(inches):
    return {WAIST: Length.inches(inches)}


def yearly(*inches):
    return [
        (datetime.date(2020 + year, 3, 1), Length.inches(value))
        for year, value in enumerate(inches)
    ]


def readings(rng, body, kind, grain):
    """Taken with the published technical error, and read off the tape in its grain."""
    taken = body + rng.normal(0, kind.error, len(body))
    return np.round(taken / grain) * grain


def share_changed(point, grain, by):
    """How many of many simulated pairs of sets are called changed by ``compare``."""
    rng, kind = np.random.default_rng(20685), kind_of(point)
    body = rng.uniform(500, 1200, PAIRS)
    before, after = (readings(rng, at, kind, grain) for at in (body, body + by))
    return (
        sum(
            compare({(point, ""): a}, {(point, ""): b})[point, ""].changed
            for a, b in zip(lengths(before), lengths(after), strict=True)
        )
        / PAIRS
    )


def lengths(millimetres):
    return [Length(round(value * 1e6)) for value in millimetres]


def test_every_point_has_a_kind_of_error():
    kinds = {point.key: kind_of(point.key).name for point in POINTS}

    assert {key for key, kind in kinds.items() if kind == WISHED} == {
        point.key for point in POINTS if point.style
    }
    # ISO 20685, as printed in AD 41
    assert {name: kind.limit for name, kind in KINDS.items() if name != WISHED} == {
        "large girth": 9,
        "small girth": 4,
        "height": 4,
        "segment length": 5,
        "breadth": 4,
    }


def test_error_of_a_waist_is_worked_by_hand():
    # The limit of 9 mm holds for 95 of 100 differences of two readings: 9 / 1.95996 = 4.59190 mm
    # is their standard deviation. Two readings to 1/8 in add 2 x 3.175^2 / 12 = 1.68010 mm^2.
    # sqrt(4.59190^2 + 1.68010) = 4.77133; x 1.95996 = 9.35163; half the grain more: 10.93913 mm.
    assert float(error_of("waist").mm) == pytest.approx(10.93913, abs=1e-4)
    # 4.59190 / sqrt 2, inside the 0.8 to 7.6 mm of Barrios and others (2016)
    assert KINDS["large girth"].error == pytest.approx(3.24697, abs=1e-4)


@pytest.mark.parametrize(
    ("later", "unit", "changed", "words"),
    [
        (33, "in", False, "same"),
        (33.375, "in", False, "+3/8 in, no change (± 3/8 in)"),
        (32.625, "in", False, "-3/8 in, no change (± 3/8 in)"),
        (33.5, "in", True, "+1/2 in (± 3/8 in)"),
        (32, "in", True, "-1 in (± 3/8 in)"),
        (34, "cm", True, "+2.5 cm (± 1 cm)"),
    ],
)
def test_waist_of_33_compared_with_later(later, unit, changed, words):
    change = compare(waist(33), waist(later), unit=unit)[WAIST]

    assert (change.delta, change.changed, change.words) == (
        Length.inches(later) - Length.inches(33),
        changed,
        words,
    )


def test_points_only_one_set_holds_are_not_compared():
    assert compare(waist(33), {("chest", ""): Length.inches(38)}) == {}
    assert compare({}, {}) == {}


def test_what_is_too_small_to_write_is_same():
    changes = compare({WAIST: Length.of_cm("97.8")}, waist(38.5))

    assert changes[WAIST].words == "same"


def test_chosen_width_is_told_as_wished():
    change = compare({("knee", ""): Length.inches(18)}, {("knee", ""): Length.inches(20)})[
        "knee", ""
    ]

    assert (change.error, change.changed, change.words) == (Length(), True, "+2 in, as wished")


@pytest.mark.parametrize("grain", [EIGHTH, MILLIMETRE])
@pytest.mark.parametrize("point", ONE_OF_EACH.values(), ids=ONE_OF_EACH)
def test_unchanged_point_raises_few_false_alarms(point, grain):
    assert share_changed(point, grain, by=0) <= 0.05


@pytest.mark.parametrize("grain", [EIGHTH, MILLIMETRE])
@pytest.mark.parametrize("by", [25.4, -25.4])
def test_inch_at_the_waist_is_nearly_always_found(grain, by):
    assert share_changed("waist", grain, by) >= 0.95


def simulated_sets(number, waist_by):
    """Pairs of whole sets of one body each, nothing changed but the waist by so much."""
    rng = np.random.default_rng(41)
    keys = [(point.key, side) for point in POINTS if not point.style for side in point.sides]
    bodies = {key: rng.uniform(500, 1200, number) for key in keys}
    columns = []
    for by in (0, waist_by):
        taken = {
            key: lengths(readings(rng, body + by * (key == WAIST), kind_of(key[0]), EIGHTH))
            for key, body in bodies.items()
        }
        columns.append([{key: taken[key][i] for key in keys} for i in range(number)])
    return list(zip(*columns, strict=True))


def test_whole_sets_unchanged_raise_few_false_alarms():
    alarms = [bool(changed_together(*pair)) for pair in simulated_sets(3000, 0)]

    assert sum(alarms) / len(alarms) <= 0.05


def test_inch_at_the_waist_is_found_among_all_points():
    found = [WAIST in changed_together(*pair) for pair in simulated_sets(3000, 25.4)]

    assert sum(found) / len(found) >= 0.95


def test_changed_together_leaves_out_what_was_chosen():
    before = waist(33) | {("knee", ""): Length.inches(18)}
    after = waist(35) | {("knee", ""): Length.inches(24)}

    assert list(changed_together(before, after)) == [WAIST]


@given(st.integers(-80, 80), st.sampled_from([point.key for point in POINTS]))
def test_comparing_backwards_turns_the_sign_only(eighths, point):
    one, other = ({(point, ""): Length.inches(30) + Length.inches("1/8") * n} for n in (0, eighths))

    there, back = compare(one, other)[point, ""], compare(other, one)[point, ""]

    assert (there.delta, there.changed) == (-back.delta, back.changed)


@given(st.floats(0.001, 0.5), st.floats(0.001, 0.5))
def test_stricter_level_never_allows_smaller_change(one, other):
    strict, easy = sorted([one, other])

    assert error_of("chest", strict) >= error_of("chest", easy)


@pytest.mark.parametrize("level", [0, 1, -0.1, 2])
def test_level_outside_nought_and_one_is_refused(level):
    with pytest.raises(ValueError, match="between 0 and 1"):
        error_of("waist", level)


def test_error_in_words_is_rounded_down():
    assert error_text(Length.of_mm("10.9"), "in") == "± 3/8 in"
    assert error_text(Length.of_mm("10.9"), "cm") == "± 1 cm"


# Trends


def test_trend_is_the_least_squares_line_of_scipy():
    series = yearly(33, 33.5, 33.75, 34.5, 34.75)

    found = trend("waist", series)

    years = [day.toordinal() / 365.25 for day, _ in series]
    line = stats.linregress(years, [float(length.mm) for _, length in series])
    assert float(found.slope.mm) == pytest.approx(line.slope, abs=1e-5)
    assert (found.changed, found.words) == (True, "+7/16 in a year (between +3/8 in and +9/16 in)")


@pytest.mark.parametrize(
    "inches", [(33, 33.125, 33.25), (33, 35, 33, 36), (33, 33, 33), (40, 38, 37, 35, 34)]
)
def test_trend_interval_agrees_with_statsmodels(inches):
    series = yearly(*inches)
    years = [day.toordinal() / 365.25 for day, _ in series]
    values = [float(length.mm) for _, length in series]
    model = sm.OLS(values, sm.add_constant(np.array(years)))
    scale = max(KINDS["large girth"].spread ** 2, model.fit().mse_resid)

    known = model.fit(cov_type="fixed scale", cov_kwds={"scale": scale})
    found = trend("waist", series)

    low, high = known.conf_int(0.05)[1]
    assert (float(found.low.mm), float(found.high.mm)) == pytest.approx((low, high), abs=1e-5)
    assert found.changed is not (low <= 0 <= high)


def test_trend_of_three_sets_is_worked_by_hand():
    # 2 x 365.25 days apart from first to last, the middle at half: slope (35 - 33) / 2 = 1 in.
    # The readings lie on the line: the error is that of a reading, sqrt(3.24697^2 + 0.91653^2) =
    # 3.37384 mm; over sqrt(1 + 0 + 1) and times 1.95996 it is 4.67578 mm either way.
    days = [datetime.date(2020, 1, 1) + datetime.timedelta(days=n) for n in (0, 487, 974)]
    series = list(zip(days, map(Length.inches, (33, 34, 35)), strict=True))
    a_year = 487 / 365.25

    found = trend("waist", series)

    assert float(found.slope.mm) * a_year == pytest.approx(25.4, abs=1e-4)
    assert float((found.high - found.slope).mm) * a_year == pytest.approx(4.67578, abs=1e-4)


def test_noise_over_years_is_no_trend():
    found = trend("waist", yearly(33, 33.25, 32.875, 33))

    assert (found.changed, found.words) == (
        False,
        "no change that the tape can tell (between -3/16 in and +1/8 in a year)",
    )


def test_simulated_noise_has_few_trends():
    rng, kind = np.random.default_rng(3), KINDS["large girth"]
    days = [datetime.date(2020, 1, 1) + datetime.timedelta(days=300 * n) for n in range(4)]
    bodies = np.full((5000, 4), 900.0) + rng.uniform(0, 4, (5000, 1))
    found = [
        trend("waist", list(zip(days, lengths(readings(rng, body, kind, EIGHTH)), strict=True)))
        for body in bodies
    ]

    assert sum(one.changed for one in found) / len(found) <= 0.05


@pytest.mark.parametrize(
    "series",
    [[], yearly(33, 34), [(datetime.date(2026, 1, 5), Length.inches(n)) for n in (33, 34, 35)]],
)
def test_too_few_dates_have_no_trend(series):
    assert trend("waist", series) is None


def test_chosen_width_has_no_trend():
    assert trend("knee", yearly(18, 19, 20)) is None


def test_trend_takes_sets_of_one_day_with_others():
    series = [*yearly(33, 34), *yearly(33.5)]

    assert float(trend("waist", series).slope.mm) == pytest.approx(0.75 * 25.4 / (365 / 365.25))


def test_spread_of_reading_is_the_two_errors_together():
    kind = KINDS["segment length"]

    assert kind.spread == pytest.approx(sqrt(kind.error**2 + EIGHTH**2 / 12))
