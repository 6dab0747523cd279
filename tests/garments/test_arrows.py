"""The signs drawn at a seam. No published source: checked by where their points lie."""

import re

import pytest

from garments import drawing, seams
from garments.arrows import arrow, beside
from garments.drawing import Pin
from garments.seams.ways import WAYS


def points(path):
    return [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]


def tips(path):
    """The fourth corner of each arrow: its tip."""
    return [points(part)[3] for part in path.split("Z") if part]


@pytest.mark.parametrize(
    ("sign", "view", "at", "moved"),
    [
        ("up", "front", (60, 100), (0, -1)),
        ("down", "back", (60, 100), (0, 1)),
        # The wearer's front: towards the middle line seen from before, away from it from behind.
        ("forward", "front", (60, 100), (-1, 0)),
        ("forward", "front", (-60, 100), (1, 0)),
        ("back", "front", (60, 100), (1, 0)),
        ("forward", "back", (60, 100), (1, 0)),
        ("back", "back", (-60, 100), (1, 0)),
        ("forward", "side", (60, 100), (-1, 0)),
        ("back", "side", (-60, 100), (1, 0)),
        ("inward", "front", (-60, 100), (1, 0)),
        ("outward", "front", (-60, 100), (-1, 0)),
    ],
)
def test_single_arrow_points_the_way(sign, view, at, moved):
    ((x, y),) = tips(arrow(sign, view, "side-seam", at, 20))

    assert (x - at[0], y - at[1]) == pytest.approx((moved[0] * 23.2, moved[1] * 23.2), abs=0.1)


@pytest.mark.parametrize(
    ("sign", "seam", "far"),
    [
        ("part", "side-seam", [(23.2, 0), (-23.2, 0)]),
        ("meet", "side-seam", [(3.2, 0), (-3.2, 0)]),
        ("part", "hem", [(0, -23.2), (0, 23.2)]),
        ("longer", "side-seam", [(0, -23.2), (0, 23.2)]),
        ("shorter", "collar-seam", [(3.2, 0), (-3.2, 0)]),
    ],
)
def test_pair_lies_across_the_seam_or_along_it(sign, seam, far):
    assert tips(arrow(sign, "front", seam, (0, 0), 20)) == far


def test_forward_at_the_middle_line_is_a_ring():
    towards = arrow("forward", "front", "fly", (0, 100), 20)
    away = arrow("back", "front", "fly", (0, 100), 20)

    assert [path.count("A") for path in (towards, away)] == [6, 4]
    assert arrow("back", "back", "seat-seam", (0, 100), 20) == towards


def test_no_sign_draws_nothing():
    assert arrow("", "front", "hem", (0, 0), 20) == ""


@pytest.mark.parametrize("sign", sorted({way.sign for way in WAYS.values()}))
def test_signs_are_told_apart_by_shape_alone(sign):
    others = {way.sign for way in WAYS.values()} - {sign}
    mine = arrow(sign, "front", "side-seam", (60, 100), 20)

    # Back and outward, forward and inward, are one direction in a front view: the word says which.
    same = {other for other in others if arrow(other, "front", "side-seam", (60, 100), 20) == mine}
    assert same <= {"back", "outward", "forward", "inward"}


def test_several_signs_at_one_seam_stand_apart():
    places = [beside("side-seam", (80, 200), nth, 20) for nth in range(4)]

    assert places == [(80, 200), (80, 175), (80, 225), (80, 150)]


def test_signs_at_a_level_seam_stand_side_by_side():
    left, right = (beside("hem", (x, 340), 1, 20) for x in (-60, 60))

    assert (left, right) == ((-35, 340), (35, 340))


@pytest.mark.parametrize("kind", seams.KINDS)
def test_every_amount_has_a_sign_on_every_drawing(kind):
    for operation in seams.operations(kind):
        for seam in operation.seams(kind) if operation.takes_amount else ():
            pin = Pin(seam, "", 1, WAYS[operation.key].sign, ("1/4 in",))
            shown = drawing.pinned_views(kind, [pin])
            placed = [p for view in shown for p in drawing.lay_out(view, [pin]).pins]
            assert placed
            assert all(p.arrow for p in placed), (operation.key, seam)
