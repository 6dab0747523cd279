"""A line changed by the fitter: what he sees at once."""

from customers.lengths import parse
from garments.planning import choices, effect_of
from tests.garments.planning.making import STEP, inlays, measure, pin, planned


def shown(lines, measures=(), kind="coat", left=None, **more):
    now = inlays(kind) if left is None else left
    return effect_of([pin(line) for line in lines], measures, now, choices(kind), STEP, **more)


def test_changed_line_shows_measure_inlay_and_minutes():
    effect = shown(["let-out side-seam both 3/8"], [measure("waist", "37", "38")])

    assert [(row.after, row.moved, row.beyond) for row in effect.measures] == [
        (parse("38 1/2"), parse("1 1/2"), parse("1/4"))
    ]
    assert effect.inlay_after["side-seam", "L"] == parse("5/8")
    assert (effect.minutes, effect.seams_opened, effect.warnings) == (88, 2, ())


def test_lines_come_in_working_order_and_share_the_inlay():
    effect = shown(
        [
            "let-out-waist side-seam both 1/8",
            "let-down-shoulder shoulder-seam both 1/4",
            "let-out side-seam L 1/8",
        ]
    )

    assert [row.step.operation for row in effect.lines] == [
        "let-down-shoulder",
        "let-out-waist",
        "let-out",
    ]
    assert [row.inlay_after for row in effect.lines] == [
        parse("1/2"),
        parse("7/8"),
        parse("3/4"),
    ]


def test_plan_read_back_gives_the_plan():
    rows = [
        measure("waist", "37", "38"),
        measure("sleeve/L", "25", "25 1/2"),
        measure("sleeve/R", "25", "25 1/4"),
    ]
    plan = planned("coat", rows)

    effect = effect_of(
        [row.step for row in plan.lines], rows, inlays("coat"), choices("coat"), STEP
    )

    assert (effect.minutes, effect.inlay_after) == (plan.minutes, plan.inlay_after)
    assert [row.beyond.nm for row in effect.measures] == [0, 0, 0]


def test_what_speaks_against_a_line_is_said():
    effect = shown(
        [
            "let-out side-seam both 3/4",
            "take-in hindarm L 3/16",
            "sink-neck back-neck - 3/4",
            "shorten-cuff cuff R 1/8",
        ],
        blocked=["cut-cuff-holes"],
    )

    assert effect.warnings == (
        "Let out, side seam: 1/8 in of inlay is missing.",
        "Let out, side seam: beyond the usual limit of 1/2 in.",
        "Take in, hindarm seam: not in whole steps of 1/8 in.",
        "Take in, hindarm seam: one side only; see that the figure asks for it.",
        "Lower collar, back neck: beyond the usual limit of 5/8 in.",
        "Shorten sleeve at cuff: The cuff holes are cut: work from the sleeve head.",
    )


def test_seam_without_an_entered_inlay_lacks_it_all():
    effect = shown(["let-out side-seam both 1/4"], left={})

    assert effect.warnings == ("Let out, side seam: 5/8 in of inlay is missing.",)
    assert effect.lines[0].inlay_after is None
