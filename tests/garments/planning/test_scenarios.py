"""Ten garments on the stand, each with the plan a tailor would sign, and why, worked by hand.

Amounts in inches, each side. A seam let out moves both edges: both side seams by 1/4 give 1 in.
Sources: VS 246 (inlays), PE and BS (cut cuff holes: work from the head), MF and GQ (a low shoulder
is padded), TM 25 (a tight seat pulls the vents open), BS (trousers' waist at the seat seam),
GG (a collar sinks 5/8 at most), H 91 (what does not spoil a coat). How much each man would rather
do with two ways open: common practice, no source.
"""

from customers.lengths import Length, parse
from tests.garments.planning.making import inlays, measure, pin, planned, signed


def test_waist_tight_is_let_out_at_the_sides():
    """1 in tight at the waist, 3/8 to let out at each side, nothing behind: chest and seat are
    right, so at the waist alone. 1/4 each side, both edges, is the whole inch; 1/8 is left over."""
    left = inlays("coat", side_seam="3/4", centre_back="1/4")

    plan = planned(
        "coat",
        [measure("waist", "37", "38"), measure("chest", "42", "42"), measure("seat", "42", "42")],
        left,
    )

    assert signed(plan.lines) == ["let-out-waist side-seam both 1/4"]
    assert plan.inlay_after["side-seam", "L"] == parse("1/2")
    assert plan.left_over == ()


def test_sleeve_long_with_cut_cuff_holes_goes_up_at_the_head():
    """3/8 long, but the cuff holes are cut: shortened there they would sit at the edge. The sleeve
    comes out of the scye and loses 3/8 at its head, on both, as both arms are alike."""
    long = [measure("sleeve/L", "25 3/8", "25"), measure("sleeve/R", "25 3/8", "25")]

    plan = planned("coat", long, blocked=["cut-cuff-holes"])

    assert signed(plan.lines) == ["shorten-head sleeve-head both 3/8"]
    assert plan.left_out == (
        "Shorten sleeve at cuff: The cuff holes are cut: work from the sleeve head.",
    )


def test_right_shoulder_low_in_a_check_is_padded():
    """1/4 off the right shoulder end would cure it, but the check would no longer meet at the
    shoulder seam. Wadding of the same thickness on the low side; the cloth is not touched."""
    plan = planned(
        "coat", [], pinned=[pin("take-in-shoulder-end shoulder-seam R 1/4")], blocked=["checks"]
    )

    assert signed(plan.lines) == ["pad-shoulder shoulder-seam R 1/4"]
    assert plan.left_out[0].startswith("Take in shoulder end, shoulder seam: Checks or stripes")
    assert plan.left_over == ()


def test_seat_tight_with_vents_pulling_is_let_out_over_the_hips():
    """1 1/2 in tight over the seat, the vents stand open; waist and chest are clean. The centre
    back is cut away into the vent here. 3/8 each side over the seat is the inch and a half; the
    vents are looked at when it is done, and the line says so."""
    left = inlays("coat", centre_back="1/4")
    rows = [measure("seat", "40 1/2", "42"), measure("waist", "38", "38")]

    plan = planned("coat", rows, left)

    assert signed(plan.lines) == ["let-out-seat side-seam both 3/8"]
    assert plan.inlay_after["side-seam", "R"] == parse("5/8")


def test_trousers_waist_and_seat_are_let_out_in_one_seam():
    """1 in tight at waist and seat alike: the seat seam gives both at once, 1/2 on each half, where
    the side seams would be two. Its inlay of 1 in keeps 1/2, more than the 3/8 it must."""
    rows = [measure("waist", "33", "34"), measure("seat", "39", "40"), measure("thigh", "25", "25")]

    plan = planned("trousers", rows)

    assert signed(plan.lines) == ["let-out seat-seam - 1/2"]
    assert (plan.inlay_after["seat-seam", ""], plan.minutes) == (parse("1/2"), 47)


def test_trousers_one_leg_short_is_let_down_alone():
    """The left leg is 1/2 short, inside and out; the right breaks as it should. One hem, no more:
    to let both down would spoil the good one."""
    rows = [
        measure("inside-leg/L", "31", "31 1/2"),
        measure("inside-leg/R", "31 1/2", "31 1/2"),
        measure("side-length/L", "41", "41 1/2"),
        measure("side-length/R", "41 1/2", "41 1/2"),
    ]

    plan = planned("trousers", rows)

    assert signed(plan.lines) == ["let-down-hem hem L 1/2"]


def test_coat_too_long_with_a_roll_sinks_the_collar_first():
    """The fitter pinned a roll under the collar: sink the back neck 3/8. That takes 3/8 from the
    length, which was 7/8 over; the hem then goes up 1/2 only. Collar before hem."""
    plan = planned(
        "coat", [measure("back-length", "31 7/8", "31")], pinned=[pin("sink-neck back-neck - 3/8")]
    )

    assert signed(plan.lines) == ["sink-neck back-neck - 3/8", "raise-hem hem both 1/2"]
    assert [line.pinned for line in plan.lines] == [True, False]


def test_front_short_on_an_erect_man_is_let_down_before_the_waist():
    """Erect: the front balance 1/2 short, and 1 in loose at the waist. The front shoulder is let
    down 1/2 out of its 3/4 inlay; then the centre back is taken in 1/2 on each half at the waist.
    Balance before width, or the looseness is judged on a coat that hangs wrong."""
    rows = [
        measure("front-balance", "12", "12 1/2"),
        measure("waist", "39", "38"),
        measure("chest", "42", "42"),
    ]

    plan = planned("coat", rows)

    assert signed(plan.lines) == [
        "let-down-shoulder shoulder-seam both 1/2",
        "take-in-waist centre-back - 1/2",
    ]


def test_waistcoat_strained_everywhere_is_let_out_down_the_side():
    """1 in tight at chest and waist. Vincent leaves an inch in the side seam of the back: 1/4 each
    side, both edges, is the inch, in chest and waist at once; the centre back holds too little."""
    left = inlays("waistcoat", centre_back="3/8")

    plan = planned("waistcoat", [measure("chest", "39", "40"), measure("waist", "35", "36")], left)

    assert signed(plan.lines) == ["let-out side-seam both 1/4"]


def test_chest_far_too_small_wants_new_foreparts():
    """3 in tight in the chest, and only 1/2 left in the side seams of a finished coat: 1/8 each
    side is all there is. The rest no seam can give: new foreparts, and there is cloth for them."""
    left = inlays("coat", side_seam="1/2", centre_back="1/4", underarm_seam="1/4")

    plan = planned("coat", [measure("chest", "39", "42")], left, cloth_left=parse("100 cm"))

    assert signed(plan.lines) == ["let-out side-seam both 1/8"]
    assert plan.left_over[0].beyond == Length(0) - parse("2 1/4")
    assert (plan.answer.kind, plan.answer.pieces) == ("piece", ("foreparts",))


def test_back_width_and_chest_both_beyond_cloth_are_a_remake():
    """Nothing is left anywhere: chest and back are each 2 in small. Foreparts and back would both
    be cut again, and that is a new coat."""
    left = inlays("coat", side_seam="3/8", centre_back="1/4", underarm_seam="1/4")

    plan = planned("coat", [measure("chest", "40", "42"), measure("back-width", "15", "17")], left)

    assert (plan.lines, plan.answer.kind) == ((), "remake")
    assert plan.answer.words == (
        "Foreparts and back would all be cut again: a remake is the honest answer."
    )


def test_an_eighth_beyond_tolerance_is_shown_and_left():
    """The cuff is 3/8 narrow, a quarter of it within what nobody sees, and no inlay is left: 1/8
    beyond is not worth a new sleeve."""
    plan = planned("coat", [measure("cuff", "10 5/8", "11")], inlays("coat", hindarm="1/4"))

    assert (plan.lines, plan.answer.kind) == ((), "accept")
    assert plan.left_over[0].words == "Cuff 10 5/8 in: 3/8 in under its target of 11 in."


def test_check_that_stops_the_seams_asks_for_no_new_piece():
    """1 in tight in a check: there is cloth in the seams, and only the match stops it. Nobody cuts
    new foreparts before the customer was asked whether he minds."""
    plan = planned("coat", [measure("waist", "37", "38")], blocked=["checks"])

    assert (plan.lines, plan.answer.kind, plan.answer.pieces) == ((), "accept", ())
    assert plan.answer.words.startswith("No new piece is asked for: see first what stops the seams")
