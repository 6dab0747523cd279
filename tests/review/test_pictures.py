"""Where the marks of the pictures stand: worked out from the frame and the figures alone."""

from itertools import pairwise

import pytest

from fittings.rates import funnel, monthly_chart, returning
from fittings.review.charts import round_steps
from fittings.review.pictures import (
    APART,
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Scale,
    beams,
    curve_picture,
    funnel_picture,
    month_picture,
)


def months(*counts):
    chart = monthly_chart([(f"2026-{place:02}", k, n) for place, (k, n) in enumerate(counts, 1)])
    return month_picture(chart, [""] * len(counts), "Returns")


def groups(**counts):
    return funnel_picture(funnel(counts), [""] * len(counts), "Returns", "garments")


def curve(*rows):
    found = returning(rows)
    return curve_picture(found, {step.day: "" for step in found.steps}, "Returns")


def places(line):
    return [tuple(float(part) for part in place.split(",")) for place in line.split()]


@pytest.mark.parametrize(
    ("top", "steps"), [(0, (1, 1)), (5, (1, 5)), (5.1, (2, 3)), (10, (2, 5)), (100, (20, 5))]
)
def test_axis_takes_the_smallest_round_step(top, steps):
    assert round_steps(top) == steps


def test_scale_stands_rates_between_its_ends():
    scale = Scale.holding([0.02, 0.31])

    assert [tick.text for tick in scale.ticks()] == ["0 %", "10 %", "20 %", "30 %", "40 %"]
    middle = (TOP + BOTTOM) / 2
    assert [scale.y(rate) for rate in (0, 0.2, 0.4, 0.9)] == [BOTTOM, middle, TOP, TOP]


# -- months ----------------------------------------------------------------------------------------


def test_months_in_a_run_are_filled_squares():
    picture = months(*[(20, 100)] * 9, *[(30, 100)] * 9)

    assert [mark.beyond for mark in picture.marks] == [True] * 18


def test_limits_of_a_month_reach_over_its_slot():
    picture = months((5, 100), (9, 100))

    steps = [[x for x, _ in places(line)] for line in picture.dotted]
    middle = (LEFT + RIGHT) / 2
    assert steps == [[LEFT, middle]] * 2 + [[middle, RIGHT]] * 2


def test_month_without_any_has_a_name_and_no_mark():
    picture = months((5, 100), (0, 0), (9, 100))

    assert [tick.text for tick in picture.across] == ["26-01", "26-02", "26-03"]
    assert [mark.x for mark in picture.marks] == [picture.across[0].at, picture.across[2].at]


def test_months_of_no_house_are_an_empty_frame():
    picture = months()

    assert (picture.marks, picture.dotted, picture.across, picture.middle) == ([], [], [], None)


# -- groups ----------------------------------------------------------------------------------------


def test_only_what_lies_beyond_the_outer_limits_is_filled():
    """Beyond the dashes alone lies one of twenty equal rows; all together are 263 of 2560."""
    picture = groups(Ada=(33, 260), Ben=(80, 1000), Cara=(60, 200), Dan=(90, 1100))

    assert [mark.says.rpartition(", ")[2] for mark in picture.marks] == [
        "inside the limits",
        "beyond the 95 % limit",
        "beyond the 99.8 % limit",
        "beyond the 95 % limit",
    ]
    assert [mark.beyond for mark in picture.marks] == [False, False, True, False]


def test_funnel_lines_narrow_and_leave_out_what_is_above_the_frame():
    found = funnel({"small": (2, 12), "large": (40, 400)})

    picture = funnel_picture(found, ["", ""], "Returns", "garments")

    low, high = (places(line) for line in picture.dotted)
    assert [x for x, _ in low] == sorted(x for x, _ in low)
    assert high[0][1] < high[-1][1] < picture.middle < low[-1][1] <= low[0][1]
    assert len(high) < len(low) == len(found.sizes)


def test_largest_group_stands_within_its_limits_drawn():
    picture = groups(small=(2, 12), large=(40, 400))

    assert max(mark.x for mark in picture.marks) < places(picture.dotted[0])[-1][0] == RIGHT


# -- how soon --------------------------------------------------------------------------------------


def test_band_of_the_curve_lies_about_it():
    picture = curve((10, True, 4), (30, True, 4), (60, False, 40))

    (line,), (lows, tops) = picture.solid, picture.dashed
    heights = [places(part)[-1][1] for part in (lows, line, tops)]
    assert heights == sorted(heights, reverse=True)
    assert len(set(heights)) == 3
    assert places(line)[0] == (LEFT, BOTTOM)


def test_marks_of_the_curve_stand_a_finger_apart():
    picture = curve(*((day, True, 1) for day in range(1, 80)), (90, False, 200))

    apart = [max(after.x - mark.x, mark.y - after.y) for mark, after in pairwise(picture.marks)]
    assert min(apart) >= APART
    assert picture.marks[-1].says == "By day 79, 28.3 % had come back"
    assert picture.says == "By day 79, 28.3 % had come back."


def test_curve_names_few_round_days():
    picture = curve((10, True, 4), (65, False, 40))

    assert [tick.text for tick in picture.across] == ["0", "20", "40", "60"]


# -- bars ------------------------------------------------------------------------------------------


def test_bars_say_what_they_make_up_together():
    drawn = beams("faults", "Faults", [("collar", 6, ""), ("waist", 3, ""), ("vent", 1, "")])

    assert [beam.share for beam in drawn.beams] == [
        "6 (60 % so far)",
        "3 (90 % so far)",
        "1 (100 % so far)",
    ]
    assert [beam.length for beam in drawn.beams] == [440, 220, 73.3]
    assert drawn.says == "Most often: collar 6; waist 3; vent 1."


def test_bars_beyond_twelve_count_and_are_not_drawn():
    drawn = beams("faults", "Faults", [(str(place), 1, "") for place in range(20)])

    assert len(drawn.beams) == 12
    assert drawn.beams[-1].share == "1 (60 % so far)"
