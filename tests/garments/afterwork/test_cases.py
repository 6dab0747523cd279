"""What an alteration came to, worked by hand from measures before and after."""

import datetime

import pytest

from customers.lengths import Length, parse
from garments import seams
from garments.afterwork.cases import Case, Done, Found, Reading, Work, cases_of

START = datetime.datetime(2026, 2, 2, 10, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)
SIDE_SEAM_OUT = Work("coat", "let-out", "side-seam")


def read(point, inches, hour, side="", where="board"):
    return Reading(point, side, where, parse(inches), START + hour * HOUR)


def done(operation, seam, amount, side="both", **when):
    hour, key = when.get("hour", 5), when.get("key", "one")
    return Done(key, operation, seam, side, parse(amount), START + hour * HOUR)


def offs(found):
    return [(case.work.operation, case.off) for case in found.cases]


def test_let_out_that_comes_short_is_found_at_the_seam():
    # Both side seams out 1/4 in, both edges: 1 in asked. 40 to 40 3/4 is 3/4: 3/16 at each seam.
    found = cases_of(
        "coat",
        [read("waist", "40", 1), read("waist", "40 3/4", 9)],
        [done("let-out", "side-seam", "1/4")],
    )

    at = START + 9 * HOUR
    asked, off = parse("1/4"), Length(-parse("1/16").nm)
    case = Case(SIDE_SEAM_OUT, frozenset({"one"}), asked, off, (("waist", ""),), at)
    assert found == Found((case,), 0)
    assert case.came == parse("3/16")


@pytest.mark.parametrize(
    ("line", "place", "moved", "off"),
    [
        # Taken in 1/8 at both seams: 1/2 less asked, 5/8 less came; 1/32 over at each.
        (("take-in", "side-seam", "1/8", "both"), ("waist", ""), "-5/8", "1/32"),
        # One side only: half of it, 1/2 in for 1/4; 3/8 came, 1/16 short at the one seam.
        (("let-out", "side-seam", "1/4", "L"), ("waist", ""), "3/8", "-1/16"),
        # The centre back, both halves: 2 x 1/4; as asked.
        (("let-out", "centre-back", "1/4", ""), ("waist", ""), "1/2", "0"),
        # The cuff of a sleeve: its own 1/4 and no more; 1/8 short of it.
        (("shorten-cuff", "cuff", "1/4", "both"), ("sleeve", "L"), "-1/8", "-1/8"),
    ],
)
def test_off_at_the_seam_by_hand(line, place, moved, off):
    point, side = place
    after = parse("40") + parse(moved, signed=True)

    found = cases_of(
        "coat", [read(point, "40", 1, side), read(point, str(after), 9, side)], [done(*line)]
    )

    assert offs(found) == [(line[0], parse(off, signed=True))]


def test_points_of_one_work_are_one_case_of_their_mean():
    # Chest as asked, waist 1/4 in short of the girth: 0 and 1/16 at the seam, 1/32 between them.
    readings = [read("chest", "44", 1), read("chest", "45", 9)]
    readings += [read("waist", "40", 1), read("waist", "40 3/4", 9)]

    found = cases_of("coat", readings, [done("let-out", "side-seam", "1/4")])

    assert [(case.off, len(case.points)) for case in found.cases] == [
        (Length(-parse("1/32").nm), 2)
    ]


def test_left_and_right_lines_of_one_work_are_one_case():
    # 1/4 left and 1/8 right: 2 x 3/8 = 3/4 asked; 1/2 came. 1/4 short over four edges: 1/16.
    lines = [
        done("let-out", "side-seam", "1/4", "L", key="l"),
        done("let-out", "side-seam", "1/8", "R", key="r"),
    ]

    found = cases_of("coat", [read("waist", "40", 1), read("waist", "40 1/2", 9)], lines)

    (case,) = found.cases
    assert (case.off, case.asked, case.keys) == (
        Length(-parse("1/16").nm),
        parse("3/16"),
        frozenset({"l", "r"}),
    )


def test_two_works_on_one_point_tell_nothing_and_are_counted():
    lines = [done("let-out", "side-seam", "1/4"), done("let-out", "centre-back", "1/8", "")]

    found = cases_of("coat", [read("waist", "40", 1), read("waist", "41", 9)], lines)

    assert found == Found((), 1)


def test_each_work_on_points_of_its_own_is_told():
    lines = [
        done("let-out", "side-seam", "1/4"),
        done("shorten-cuff", "cuff", "1/4", "both", key="two"),
    ]
    readings = [read("waist", "40", 1), read("waist", "41", 9)]
    readings += [read("sleeve", "25", 1, "R"), read("sleeve", "24 3/4", 9, "R")]

    found = cases_of("coat", readings, lines)

    assert sorted(offs(found)) == [("let-out", Length(0)), ("shorten-cuff", Length(0))]


@pytest.mark.parametrize(
    ("hours", "wheres"),
    [
        ((6, 9), ("board", "board")),  # both after it
        ((1, 4), ("board", "board")),  # both before it
        ((1, 9), ("board", "body")),  # not taken in the same way
    ],
)
def test_measures_that_do_not_span_the_work_tell_nothing(hours, wheres):
    readings = [
        read("waist", value, hour, where=where)
        for value, hour, where in zip(("40", "41"), hours, wheres, strict=True)
    ]

    assert cases_of("coat", readings, [done("let-out", "side-seam", "1/4")]) == Found((), 0)


def test_measure_at_the_moment_of_the_answer_is_after_it():
    readings = [read("waist", "40", 1), read("waist", "41", 5)]

    found = cases_of("coat", readings, [done("let-out", "side-seam", "1/4", hour=5)])

    assert offs(found) == [("let-out", Length(0))]


def test_piece_cut_again_in_between_tells_nothing():
    readings = [read("waist", "40", 1), read("waist", "41", 9)]
    line = done("let-out", "side-seam", "1/4")

    assert cases_of("coat", readings, [line], [START + 3 * HOUR]) == Found((), 0)
    assert len(cases_of("coat", readings, [line], [START + 12 * HOUR]).cases) == 1


def test_overcoat_is_learnt_with_the_coat():
    readings = [read("waist", "44", 1), read("waist", "45", 9)]

    (case,) = cases_of("overcoat", readings, [done("let-out", "side-seam", "1/4")]).cases

    assert case.work == SIDE_SEAM_OUT


@pytest.mark.parametrize(("after", "mistaken"), [("44", False), ("44 1/8", True), ("37", True)])
def test_case_over_three_quarters_off_is_a_mistake(after, mistaken):
    # 1 in asked. 44 is 3 over it, 3/4 at each seam: the last that is believed.
    (case,) = cases_of(
        "coat",
        [read("waist", "40", 1), read("waist", after, 9)],
        [done("let-out", "side-seam", "1/4")],
    ).cases

    assert case.mistaken is mistaken


@pytest.mark.parametrize("kind", ["coat", "waistcoat", "trousers"])
def test_work_done_as_asked_is_never_off(kind):
    # Every effect there is, moved exactly by its own table: found again as nothing off.
    found = []
    for (of, operation, seam), effect in seams.EFFECTS.items():
        if of != kind or not effect.moves:
            continue
        side = "both" if seams.seam(kind, seam).sided else ""
        readings = []
        for (point, at), times in seams.moves(kind, operation, seam, side).items():
            after = Length.inches(30) + seams.moved_by(times, parse("1/4"))
            readings += [read(point, "30", 1, at)]
            readings += [Reading(point, at, "board", after, START + 9 * HOUR)]
        found += cases_of(kind, readings, [done(operation, seam, "1/4", side)]).cases

    assert len(found) > 10
    assert {case.off for case in found} == {Length(0)}


def test_unknown_operation_is_refused_by_name():
    with pytest.raises(seams.UnknownOperationError, match="unpick"):
        cases_of(
            "coat", [read("waist", "40", 1), read("waist", "41", 9)], [done("unpick", "hem", "1")]
        )
