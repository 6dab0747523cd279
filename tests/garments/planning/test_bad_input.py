"""What cannot be planned from is named; what a pin asks beyond the cloth is told."""

from dataclasses import replace

import pytest

from customers.lengths import Length, parse
from garments import seams
from garments.planning import PlanningError, Step, choices, effect_of, plan, point_name
from tests.garments.planning.making import STEP, inlays, measure, pin, planned, signed

WAIST = measure("waist", "37", "38")
COAT = choices("coat")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (replace(WAIST, low=parse("39")), "Waist: the least is more than the most."),
        (replace(WAIST, low=parse("38 1/8")), "Waist: the target lies outside its own tolerance."),
        (replace(WAIST, found=float("nan")), "Waist, found: nan is no length."),
        (replace(WAIST, target=38), "Waist, target: 38 is no length."),
        (replace(WAIST, found=-parse("1")), "Waist, found is below nothing."),
        (replace(WAIST, weight=0), "Waist: a weight is a whole number from 1."),
        (replace(WAIST, weight=float("inf")), "Waist: a weight is a whole number from 1."),
    ],
)
def test_measure_that_cannot_be_is_named(row, said):
    with pytest.raises(PlanningError) as refused:
        plan([row], {}, COAT, STEP)

    assert str(refused.value) == said


@pytest.mark.parametrize("step", [Length(0), -STEP, float("nan"), 3])
def test_step_of_nothing_is_refused(step):
    with pytest.raises(PlanningError, match="The step must be more than nothing"):
        plan([WAIST], {}, COAT, step)


@pytest.mark.parametrize(
    ("left", "said"),
    [
        ({("pocket", "L"): STEP}, "There is no seam called “pocket L”."),
        ({("side-seam", "both"): STEP}, "There is no seam called “side-seam both”."),
        ({("side-seam", "L"): -STEP}, "The inlay of the side-seam is below nothing."),
        ({("side-seam", "L"): 0.5}, "The inlay of the side-seam: 0.5 is no length."),
    ],
)
def test_inlay_that_cannot_be_is_named(left, said):
    with pytest.raises(PlanningError) as refused:
        plan([WAIST], left, COAT, STEP)

    assert str(refused.value) == said


def test_measure_given_twice_is_refused():
    with pytest.raises(PlanningError, match="given twice"):
        plan([WAIST, WAIST], {}, COAT, STEP)


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (
            Step("let-out", "pocket", "both", STEP),
            "“let-out” is not done at a seam called “pocket”.",
        ),
        (Step("mend", "hem", "both", STEP), "“mend” is not done at a seam called “hem”."),
        (
            Step("let-out", "side-seam", "both", Length(0)),
            "Let out: say how much, more than nothing.",
        ),
        (Step("let-out", "side-seam", "both", -STEP), "Let out: say how much, more than nothing."),
        (Step("let-out", "side-seam", "both", None), "Let out: say how much, more than nothing."),
    ],
)
def test_line_that_cannot_be_is_named_by_both(step, said):
    for ask in (
        lambda: plan([WAIST], {}, COAT, STEP, pinned=[step]),
        lambda: effect_of([step], [WAIST], {}, COAT, STEP),
    ):
        with pytest.raises(PlanningError) as refused:
            ask()
        assert str(refused.value) == said


def test_pin_without_its_side_is_refused():
    with pytest.raises(PlanningError, match="Let out: say left, right or both"):
        plan([], {}, COAT, STEP, pinned=[Step("let-out", "side-seam", "", STEP)])


@pytest.mark.parametrize(
    "change", [{"operation": "mend"}, {"seam": "pocket"}, {"moves": {"L": {}}}]
)
def test_choice_that_cannot_be_is_refused(change):
    with pytest.raises(PlanningError):
        plan([WAIST], {}, [replace(COAT[0], **change)], STEP)


def test_unknown_kind_is_named():
    with pytest.raises(seams.UnknownKindError, match="no garment kind called “cape”"):
        choices("cape")


def test_pin_beyond_the_cloth_is_cut_down_and_told():
    plan_ = planned(
        "coat", [], inlays("coat", side_seam="5/8"), pinned=[pin("let-out side-seam both 1/2")]
    )

    assert signed(plan_.lines) == ["let-out side-seam both 1/4"]
    assert [row.words for row in plan_.left_over] == [
        "Let out, side seam: 1/4 in of the pin cannot be given."
    ]


def test_pin_with_no_cloth_at_all_is_left_out_and_told():
    plan_ = planned("coat", [], {}, pinned=[pin("let-out side-seam both 1/2")])

    assert plan_.lines == ()
    assert plan_.left_out == ("Let out, side seam: No cloth left in the seam.",)
    assert plan_.left_over[0].words == (
        "Let out, side seam: 1/2 in of the pin cannot be given at all."
    )


def test_two_pins_share_one_inlay():
    pins = [pin("let-out side-seam both 3/8"), pin("let-out-waist side-seam both 3/8")]

    plan_ = planned("coat", [], pinned=pins)

    assert signed(plan_.lines) == [
        "let-out side-seam both 3/8",
        "let-out-waist side-seam both 1/4",
    ]


def test_pin_is_taken_to_the_nearest_step():
    plan_ = planned("coat", [], pinned=[pin("take-in hindarm L 3/16")])

    assert plan_.lines[0].amount == parse("1/4")


def test_nothing_works_against_what_was_pinned():
    plan_ = planned(
        "coat",
        [measure("waist", "37", "38")],
        inlays("coat", centre_back="1/4", underarm_seam="1/4"),
        pinned=[pin("take-in-seat side-seam both 1/8")],
    )

    assert signed(plan_.lines) == ["take-in-seat side-seam both 1/8"]
    assert "Let out, side seam: It works against what was pinned there." in plan_.left_out


def test_nothing_to_do_is_said():
    plan_ = planned("coat", [measure("waist", "38", "38")])

    assert (plan_.lines, plan_.why) == ((), ("Every measure is in order.",))
    assert plan_.answer.kind == ""


def test_measure_no_operation_moves_stays_wrong():
    plan_ = planned("coat", [measure("pocket-height", "10", "11")])

    assert plan_.why == ("Nothing can be done by altering.",)
    assert [row.beyond for row in plan_.left_over] == [-parse("3/4")]


def test_point_is_called_by_its_side():
    assert point_name("coat", ("sleeve", "L")) == "Sleeve, left"
    assert point_name("coat", ("elbow", "")) == "elbow"
