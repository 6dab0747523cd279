"""The drawings: zones that answer a finger, places of seams, pins on paper.

Published sources checked against:
- WCAG 2.2, success criterion 2.5.5 (level AAA): a target is at least 44 by 44 CSS pixels.
- Isotonic regression by SciPy, against which the spreading of pins is checked.
Which zones a garment has is the house's own list, top to bottom.
"""

from collections import Counter
from itertools import combinations, pairwise
from math import ceil
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw
from scipy.optimize import isotonic_regression

from garments import drawing, seams
from garments.drawing import Found, Pin

COAT = (
    "collar shoulder sleeve-head armhole chest lapel sleeve waist button length back seat vents "
    "fronts"
)
ZONES = {
    "coat": COAT,
    "overcoat": COAT,
    "waistcoat": "neck shoulder armhole chest opening back waist length fronts",
    "trousers": "waistband front-rise fork seat hip thigh knee leg calf bottom",
}
TARGET = 44
ROOM = (700, 560)
FINE = 2
EVERY_VIEW = [pytest.param(v, id=f"{v.kind}-{v.key}") for k in ZONES for v in drawing.views(k)]
EVERY_SEAM = [
    pytest.param(kind, seam, id=f"{kind}-{seam.key}")
    for kind in ZONES
    for seam in seams.seams(kind)
]


def mark(state, count=0, side=""):
    return SimpleNamespace(state=state, count=count, side=side)


def raster(view, zone):
    """The zone's hit area as ones, two dots a unit; a dot counts when its middle is inside."""
    size = (view.width * FINE, view.height * FINE)
    picture = Image.new("1", size)
    corners = [((x + view.width / 2) * FINE, y * FINE) for x, y in zone.hit]
    ImageDraw.Draw(picture).polygon(corners, fill=1, outline=0)
    return np.asarray(picture, dtype=np.int64)


def holds_square(area, side):
    sums = np.pad(area.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    inside = sums[side:, side:] - sums[:-side, side:] - sums[side:, :-side] + sums[:-side, :-side]
    return bool((inside == side * side).any())


def shown_scale(kind):
    views = drawing.views(kind)
    width, height = sum(v.width for v in views), max(v.height for v in views)
    return min(ROOM[0] / width, ROOM[1] / height)


@pytest.mark.parametrize("kind", ZONES)
def test_zones_are_the_house_list(kind):
    assert drawing.zone_keys(kind) == set(ZONES[kind].split())


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_hit_areas_never_overlap(view):
    layers = sum(raster(view, zone) for zone in view.zones)

    assert layers.max() == 1


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_hit_areas_hold_a_finger(view):
    side = ceil(TARGET / shown_scale(view.kind) * FINE)

    small = [z.name for z in view.zones if not holds_square(raster(view, z), side)]

    assert small == []


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_hit_areas_stay_in_view(view):
    half = view.width / 2

    out = [
        zone.name
        for zone in view.zones
        for x, y in zone.hit
        if not (-half <= x <= half and 0 <= y <= view.height)
    ]

    assert out == []


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_marks_lie_on_their_zones(view):
    off = [
        zone.name
        for zone in view.zones
        if not raster(view, zone)[int(zone.at.y * FINE), int((zone.at.x + view.width / 2) * FINE)]
    ]

    assert off == []


@pytest.mark.parametrize("view", [p for p in EVERY_VIEW if not p.id.endswith("side")])
def test_zone_sides_are_the_wearers(view):
    left_is = 1 if view.key == "front" else -1

    sides = Counter(zone.side for zone in view.zones)

    assert sides["L"] == sides["R"] > 0
    assert all((z.at.x * left_is > 0) == (z.side == "L") for z in view.zones if z.side)


@pytest.mark.parametrize(("kind", "seam"), EVERY_SEAM)
def test_every_seam_has_its_places(kind, seam):
    places = drawing.seam_places(kind, seam.key)

    assert tuple(sorted(p.side for p in places)) == seam.sides
    assert len({(p.view, p.at) for p in places}) == len(places)


@pytest.mark.parametrize(("kind", "seam"), EVERY_SEAM)
def test_seam_places_lie_on_their_side(kind, seam):
    for place in drawing.seam_places(kind, seam.key):
        shown = drawing.view(kind, place.view)
        seen = "" if not place.side else drawing.RIGHT_HAND[place.view]

        assert abs(place.at.x) < shown.width / 2
        assert 0 < place.at.y < shown.height
        assert (place.at.x > 0) == (place.side == seen) or not place.side


@pytest.mark.parametrize(
    ("seam", "side", "found"),
    [
        ("hem", "L", ["L"]),
        ("hem", "R", ["R"]),
        ("hem", "both", ["L", "R"]),
        ("hem", "", ["L", "R"]),
        ("buttons", "L", [""]),
        ("centre-back", "both", [""]),
    ],
)
def test_seam_places_follow_the_side(seam, side, found):
    assert [p.side for p in drawing.seam_places("coat", seam, side)] == found


def test_unknown_seams_and_views_are_named():
    with pytest.raises(seams.UnknownSeamError, match="A coat has no seam called “fly”"):
        drawing.seam_places("coat", "fly")
    with pytest.raises(drawing.UnknownViewError, match="no drawing of the side of a waistcoat"):
        drawing.view("waistcoat", "side")
    with pytest.raises(drawing.UnknownViewError, match="no drawing of a cape"):
        drawing.views("cape")


HEIGHTS = st.lists(st.integers(0, 400), max_size=14).map(sorted)
GAPS = st.lists(st.integers(1, 40), min_size=13, max_size=13)


@given(HEIGHTS, GAPS)
def test_spread_agrees_with_isotonic_regression(wanted, gaps):
    steps = np.cumsum([0, *gaps])[: len(wanted)]
    best = isotonic_regression(np.array(wanted) - steps).x + steps if wanted else []

    assert drawing.spread(wanted, gaps) == pytest.approx(list(best), abs=0.051)


@given(HEIGHTS, GAPS)
def test_spread_keeps_every_gap(wanted, gaps):
    heights = drawing.spread(wanted, gaps)

    pairs = zip(pairwise(heights), gaps, strict=False)
    assert all(b - a >= gap - 0.101 for (a, b), gap in pairs)


def test_spread_leaves_what_is_apart():
    assert drawing.spread([10, 50, 90], [40, 40]) == [10, 50, 90]


def test_spread_parts_two_at_one_height():
    assert drawing.spread([100, 100], [30]) == [85, 115]


def every_pin(kind):
    return [Pin(seam.key, "both", n) for n, seam in enumerate(seams.seams(kind), 1)]


@pytest.mark.parametrize("kind", ZONES)
def test_every_line_is_pinned_somewhere(kind):
    pins = every_pin(kind)

    placed = Counter(p.number for v in drawing.views(kind) for p in drawing.lay_out(v, pins).pins)

    sides = {pin.number: len(seams.seam(kind, pin.seam).sides) for pin in pins}
    assert placed == sides


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_pins_never_touch_each_other(view):
    sheet = drawing.lay_out(view, every_pin(view.kind) * 2)

    gaps = [((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5 for a, b in combinations(sheet.pins, 2)]

    assert all(gap > 2 * view.pin_radius for gap in gaps)


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_words_beside_the_pins_never_overlap(view):
    rows = ("1 1/4 in", "each side", "of the", "seam,", "left only", "take in")
    pins = [pin._replace(words=rows[: 2 + pin.number % 5]) for pin in every_pin(view.kind)]

    placed = drawing.lay_out(view, pins).pins

    for right in (True, False):
        column = sorted((p for p in placed if p.on_right == right), key=lambda p: p.y)
        for one, other in pairwise(column):
            assert other.rows[0][1] - one.rows[-1][1] >= view.word_size


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_words_beside_the_pins_stay_on_the_sheet(view):
    sheet = drawing.lay_out(
        view, [pin._replace(words=("each side",) * 5) for pin in every_pin(view.kind)]
    )
    _, top, _, height = sheet.box

    bases = [base for pin in sheet.pins for _, base in pin.rows]
    assert all(base - view.word_size * 0.8 >= top for base in bases)
    assert all(base + view.word_size * 0.2 <= top + height for base in bases)


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_pins_stay_on_a_growing_sheet(view):
    sheet = drawing.lay_out(view, every_pin(view.kind) * 2)
    left, top, width, height = sheet.box

    assert top <= 0
    assert top + height >= view.height
    assert all(
        left <= p.x - p.radius
        and p.x + p.radius <= left + width
        and top <= p.y - p.radius
        and p.y + p.radius <= top + height
        for p in sheet.pins
    )


def test_pins_of_one_side_stand_there():
    sheet = drawing.lay_out(drawing.view("coat", "front"), [Pin("cuff", "L", 3)])

    assert [(p.number, p.x > 0, p.to.x > 0) for p in sheet.pins] == [(3, True, True)]


def test_pinned_views_leave_out_the_rest():
    back = drawing.pinned_views("coat", [Pin("vent", "L", 1)])
    both = drawing.pinned_views("coat", [Pin("vent", "L", 1), Pin("cuff", "", 2)])

    assert [v.key for v in back] == ["back"]
    assert [v.key for v in both] == ["front", "back"]


def zone_of(key, side):
    return next(z for z in drawing.view("coat", "front").zones if (z.key, z.side) == (key, side))


@pytest.mark.parametrize(
    ("marks", "side", "found"),
    [
        ({}, "L", Found()),
        ({"sleeve": mark("clean")}, "L", Found("clean")),
        ({"sleeve": mark("fault", 2)}, "R", Found("fault", 2)),
        ({"sleeve": mark("fault", 2, "L")}, "R", Found()),
        ({"sleeve": [mark("fault", 2, "both"), mark("fault", 1, "R")]}, "R", Found("fault", 3)),
        ({"sleeve": [mark("clean"), mark("fault", 1, "L")]}, "L", Found("fault", 1)),
        ({"sleeve": [mark("clean"), mark("fault", 1, "L")]}, "R", Found("clean")),
        ({"sleeve": mark("")}, "L", Found()),
        ({"lapel": mark("fault", 1)}, "L", Found()),
    ],
)
def test_marks_add_up_by_side(marks, side, found):
    assert drawing.found_at(zone_of("sleeve", side), marks) == found


def test_marks_of_one_side_show_where_there_is_one():
    assert drawing.found_at(zone_of("collar", ""), {"collar": mark("fault", 1, "L")}) == Found(
        "fault", 1
    )
