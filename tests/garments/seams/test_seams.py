"""Seams, inlays and operations.

Published sources checked against, all in inches:
- W.D.F. Vincent, Vincent's Systems of Cutting All Kinds of Tailor-Made Garments, about 1903,
  page image 246: inlays.
- W.D.F. Vincent, Cutters' Practical Guide to the Cutting of Ladies' Garments, page images 58, 59:
  making faults removed first, balance at the side seams.
- Sartorial Gazette, June 1922; P. Thickett in The Modern Tailor, Outfitter and Clothier, 1949,
  chapter XXII: the order of correction, as worked out from them.
What must stay inside a seam, and minutes: common practice, no source.
"""

from dataclasses import FrozenInstanceError, replace
from itertools import permutations
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.lengths import Length, parse
from garments import seams

EVERY_OPERATION = sorted({o.key for kind in seams.KINDS for o in seams.operations(kind)})
EVERY_PLACE = [
    pytest.param(kind, op.key, at, id=f"{kind}-{op.key}-{at}")
    for kind in seams.KINDS
    for op in seams.operations(kind)
    for at in op.seams(kind)
]
SEAM_KEYS = {
    "coat": "centre-back side-seam underarm-seam shoulder-seam back-neck gorge collar-seam scye "
    "sleeve-head hindarm forearm cuff hem front-edge vent buttons lining canvas",
    "waistcoat": "centre-back side-seam shoulder-seam back-neck neck-edge scye front-edge hem "
    "buttons strap",
    "trousers": "seat-seam side-seam leg-seam waistband fork fly hem crease",
}


class Line(NamedTuple):
    operation: str
    side: str = ""


def order(*keys):
    return seams.working_order(keys, key=str)


# Seams and their inlays


@pytest.mark.parametrize(("kind", "keys"), SEAM_KEYS.items())
def test_seams_come_in_reading_order(kind, keys):
    assert [s.key for s in seams.seams(kind)] == keys.split()


def test_overcoat_has_the_seams_of_the_coat():
    assert [s.key for s in seams.seams("overcoat")] == SEAM_KEYS["coat"].split()


@pytest.mark.parametrize(
    ("kind", "key", "inlay"),
    [
        ("coat", "cuff", "1 1/2"),
        ("coat", "vent", "1"),
        ("coat", "back-neck", "1/2"),
        ("coat", "side-seam", "1"),
        ("coat", "shoulder-seam", "3/4"),
        ("coat", "gorge", "1/2"),
        ("coat", "scye", "1/2"),
        ("coat", "hindarm", "3/4"),
        ("waistcoat", "side-seam", "1"),
        ("trousers", "hem", "1 1/4"),
        ("trousers", "side-seam", "1"),
        ("trousers", "seat-seam", "1"),
        ("trousers", "leg-seam", "1/2"),
    ],
)
def test_inlay_agrees_with_vincent(kind, key, inlay):
    row = seams.seam(kind, key)

    assert row.inlay == parse(inlay)
    assert row.source.startswith("VS 246")


@pytest.mark.parametrize("kind", seams.KINDS)
def test_every_seam_leaves_cloth_to_use(kind):
    rows = seams.seams(kind)

    assert [s.key for s in rows if not s.source] == []
    assert [s.key for s in rows if s.holds_inlay and not Length(0) < s.keep < s.inlay] == []


def test_usable_part_leaves_the_seam_itself():
    row = seams.seam("coat", "side-seam")

    assert [row.usable(parse(left)) for left in ("1", "3/8", "1/4")] == [
        parse("5/8"),
        Length(0),
        Length(0),
    ]


def test_normal_inlays_name_each_side():
    inlays = seams.normal_inlays("trousers")

    assert inlays["side-seam", "L"] == inlays["side-seam", "R"] == parse("1")
    assert inlays["seat-seam", ""] == parse("1")
    assert [key for key in inlays if key[0] == "crease"] == []


# Operations


@pytest.mark.parametrize("key", EVERY_OPERATION)
def test_operation_row_is_whole(key):
    op = seams.operation(key)

    assert all([op.name, op.does, op.source, op.reason])
    assert all(seams.block_reason(b) for b in op.blocks)
    assert [k for k in op.after if k not in EVERY_OPERATION] == []


@pytest.mark.parametrize("key", EVERY_OPERATION)
def test_operation_name_fits_large_type(key):
    assert len(seams.operation(key).name) <= 24


@pytest.mark.parametrize(("kind", "key", "at"), EVERY_PLACE)
def test_place_exists_and_can_give_the_cloth(kind, key, at):
    op, row = seams.operation(key), seams.seam(kind, at)

    assert row.holds_inlay or op.inlay != seams.USES


@pytest.mark.parametrize("key", EVERY_OPERATION)
def test_letting_out_is_blocked_by_no_inlay(key):
    op = seams.operation(key)

    assert ("no-inlay" in op.blocks) == (op.inlay == seams.USES)


@pytest.mark.parametrize(
    ("key", "block"),
    [
        ("lengthen-cuff", "cut-cuff-holes"),
        ("shorten-cuff", "cut-cuff-holes"),
        ("take-in", "cut-pocket"),
        ("raise-hem", "cut-pocket"),
        ("raise-button-point", "cut-buttonholes"),
    ],
)
def test_cut_work_blocks_what_moves_it(key, block):
    assert block in seams.operation(key).blocks
    assert seams.block_reason(block).endswith(".")


def test_buttons_still_move_when_holes_are_cut():
    assert seams.operation("move-buttons-out").blocks == ()


def test_operations_differ_in_name():
    names = [seams.operation(key).name for key in EVERY_OPERATION]

    assert len(set(names)) == len(EVERY_OPERATION) >= 50


def test_default_seam_differs_by_garment():
    op = seams.operation("let-out")

    assert op.default_seam("coat") == "side-seam"
    assert seams.operation("raise-opening").default_seam("trousers") == ""


def test_anything_may_be_cut_again_anywhere():
    recut = seams.operation("recut")

    assert recut.seams("trousers") == tuple(SEAM_KEYS["trousers"].split())
    assert recut.seams("overcoat") == recut.seams("coat")


@pytest.mark.parametrize(
    ("key", "side", "seam", "words"),
    [
        ("let-out", "both", "side-seam", "each side"),
        ("let-out", "R", "side-seam", "in all, right side only"),
        ("let-out", "L", "", "in all, left side only"),
        ("let-out", "", "side-seam", "side not said"),
        ("let-out", "", "centre-back", "each side of the seam"),
        ("reduce-seat-angle", "", "", "each side of the seam"),
        ("sink-neck", "", "back-neck", "in all"),
        ("shorten-collar", "", "", "in all"),
        ("release-lining", "both", "lining", ""),
    ],
)
def test_amount_words_say_how_it_is_meant(key, side, seam, words):
    assert seams.operation(key).amount_words(side, seam) == words


@pytest.mark.parametrize(("kind", "key", "at"), EVERY_PLACE)
def test_every_amount_says_each_side_or_in_all(kind, key, at):
    op = seams.operation(key)
    sides = ("L", "R", "both") if seams.needs_side(kind, key, at) else ("",)

    words = [op.amount_words(side, at) for side in sides]

    assert all(w.startswith(("each side", "in all")) for w in words) == op.takes_amount


@pytest.mark.parametrize(
    ("amount", "side", "minutes"),
    [("1/4", "L", 41), ("1/4", "both", 82), ("3/16", "L", 41), (None, "L", 35)],
)
def test_minutes_count_begun_eighths_and_both_sides(amount, side, minutes):
    length = parse(amount) if amount else None

    assert seams.operation("let-out").minutes(length, side) == minutes


def test_rows_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        seams.operation("let-out").rank = 0
    with pytest.raises(TypeError):
        seams.operation("let-out").at["coat"] = ()


# What an operation does to the inlay


@pytest.mark.parametrize(
    ("key", "side", "after"),
    [
        ("let-out", "both", {"L": "3/4", "R": "1/4"}),
        ("let-out", "R", {"L": "1", "R": "1/4"}),
        ("take-in", "L", {"L": "1 1/4", "R": "1/2"}),
        ("pass-up", "both", {"L": "1", "R": "1/2"}),
        ("raise-opening", "", {"L": "3/4", "R": "1/4"}),
    ],
)
def test_inlay_after_moves_the_whole_amount_each_side(key, side, after):
    left = {"L": parse("1"), "R": parse("1/2")}

    got = seams.inlay_after(left, key, parse("1/4"), side)

    assert got == {where: parse(text) for where, text in after.items()}


@given(
    amount=st.integers(0, 16).map(lambda n: Length(n * seams.EIGHTH.nm)),
    side=st.sampled_from(["L", "R", "both"]),
)
def test_taking_in_undoes_letting_out(amount, side):
    left = {"L": parse("1"), "R": parse("3/4")}

    out = seams.inlay_after(left, "let-out", amount, side)

    assert seams.inlay_after(out, "take-in", amount, side) == left
    assert all(left[where] - out[where] in (amount, Length(0)) for where in left)


def test_shortfall_counts_what_must_stay_inside():
    row = seams.seam("coat", "side-seam")
    left = {"L": parse("1"), "R": parse("1/2")}

    assert seams.shortfall(row, left, "let-out", parse("1/4"), "both") == {"R": parse("1/8")}
    assert seams.shortfall(row, left, "let-out", parse("1/4"), "L") == {}
    assert seams.shortfall(row, left, "take-in", parse("3"), "both") == {}


def test_inlay_after_refuses_an_unknown_side():
    with pytest.raises(seams.UnknownKeyError, match="side “R”"):
        seams.inlay_after({"": parse("1")}, "let-out", parse("1/4"), "R")


# What is refused


@pytest.mark.parametrize(
    ("given_line", "said"),
    [
        (("coat", "let-out", "side-seam", "both", "3/8"), []),
        (("coat", "sink-neck", "back-neck", "", "1/4"), []),
        (("coat", "release-lining", "lining", "L", None), []),
        (("coat", "let-out", "side-seam", "", "3/8"), ["Say left, right or both."]),
        (("coat", "let-out", "centre-back", "L", "3/8"), ["There is no left or right here."]),
        (("coat", "let-out", "side-seam", "both", None), ["Say how much."]),
        (("coat", "let-out", "side-seam", "both", "0"), ["Say how much."]),
        (
            ("coat", "let-out", "side-seam", "both", "-1/4"),
            ["The amount is never below nothing: choose the operation for the other way."],
        ),
        (
            ("coat", "release-lining", "lining", "L", "1/4"),
            ["“Release lining” takes no amount."],
        ),
        (
            ("coat", "let-out", "hem", "both", "1/4"),
            ["“Let out” is not done at the hem of a coat."],
        ),
        (("coat", "let-out", "fork", "both", "1/4"), ["A coat has no seam called “fork”."]),
        (("coat", "mend", "hem", "both", "1/4"), ["There is no operation called “mend”."]),
    ],
)
def test_refusals_say_what_is_wrong(given_line, said):
    *where, amount = given_line

    length = parse(amount, signed=True) if amount else None

    assert seams.refusals(*where, length) == said


@pytest.mark.parametrize(
    ("look_up", "said"),
    [
        (lambda: seams.seams("cape"), "There is no garment kind called “cape”."),
        (lambda: seams.seam("coat", "fork"), "A coat has no seam called “fork”."),
        (lambda: seams.operation("mend"), "There is no operation called “mend”."),
        (lambda: seams.block_reason("rain"), "There is no block called “rain”."),
        (lambda: order("mend"), "There is no operation called “mend”."),
    ],
)
def test_unknown_key_is_named(look_up, said):
    with pytest.raises(KeyError) as refused:
        look_up()

    assert str(refused.value) == said


# Working order


@pytest.mark.parametrize(
    ("first", "then"),
    [
        ("release-lining", "pass-up"),
        ("pass-up", "let-out"),
        ("pick-up-shoulder", "take-in"),
        ("let-out", "draw-in-edge"),
        ("take-in-shoulder-end", "deepen-scye"),
        ("deepen-scye", "rotate-sleeve-forward"),
        ("sink-neck", "shorten-collar"),
        ("raise-neck", "lengthen-collar"),
        ("rotate-sleeve-back", "shorten-cuff"),
        ("let-out-fork", "close-leg"),
        ("shorten-back-rise", "raise-hem"),
    ],
)
def test_working_order_follows_the_trade(first, then):
    assert order(then, first) == order(first, then) == [first, then]
    assert first in seams.operation(then).after


def test_working_order_is_one_whatever_the_entry_order():
    keys = ("shorten-cuff", "let-out", "sink-neck", "pass-up", "deepen-scye")

    orders = {tuple(order(*shuffled)) for shuffled in permutations(keys)}

    assert orders == {("pass-up", "let-out", "sink-neck", "deepen-scye", "shorten-cuff")}


def test_working_order_leaves_equals_as_entered():
    lines = [Line("let-out", "R"), Line("pass-up"), Line("take-in"), Line("let-out", "L")]

    assert seams.working_order(lines) == [lines[1], lines[0], lines[2], lines[3]]


def test_working_order_of_all_operations_goes_by_rank():
    ranks = [seams.operation(key).rank for key in order(*EVERY_OPERATION)]

    assert ranks == sorted(ranks)
    assert order() == []


def test_working_order_names_the_keys_of_a_cycle():
    one, other = seams.operation("let-out"), seams.operation("pass-up")
    table = {one.key: one, other.key: replace(other, after=frozenset({one.key}))}

    with pytest.raises(ValueError, match=r"wait for each other: .*let-out") as refused:
        seams.working_order(["let-out", "pass-up"], key=str, table=table)

    assert "pass-up" in str(refused.value)
