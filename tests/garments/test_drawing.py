"""The drawings: zones that answer a finger, places of seams, pins on paper.

Published sources checked against:
- WCAG 2.2, success criterion 2.5.5 (level AAA): a target is at least 44 by 44 CSS pixels.
- Isotonic regression by SciPy, against which the spreading of pins is checked.
Which zones a garment has is the house's own list, top to bottom.
"""

import re
import xml.etree.ElementTree as ET
from collections import Counter
from io import BytesIO
from itertools import combinations, pairwise
from math import ceil
from types import SimpleNamespace

import numpy as np
import pypdfium2
import pytest
from django.template import Context, Template
from django.utils import translation
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
SVG = "{http://www.w3.org/2000/svg}"


def draw(kind, view, **given):
    words = " ".join(f"{name}={name}" for name in given)
    source = f"{{% load drawing %}}{{% garment_drawing kind view {words} %}}"
    return Template(source).render(Context({"kind": kind, "view": view, **given}))


def tree(kind, view, **given):
    return ET.fromstring(draw(kind, view, **given))


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


@pytest.mark.parametrize(("kind", "keys"), ZONES.items())
def test_every_zone_links_in_its_views(kind, keys):
    links = {
        (v.key, a.get("href"))
        for v in drawing.views(kind)
        for a in tree(kind, v.key, links=True).iter(f"{SVG}a")
    }

    wanted = {(v, f"#zone-{k}") for k in keys.split() for v in drawing.zone_views(kind, k)}
    assert links == wanted
    assert {href for _, href in links} == {f"#zone-{key}" for key in keys.split()}


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


def test_pockets_lie_on_the_wearers_left():
    # A man's coat carries its breast welt and the hole of its lapel on the wearer's left
    # (common practice, no source): on the viewer's right in front.
    art = draw("coat", "front")

    assert '<path d="M51 124.5L72 120' in art
    assert '<path d="M38 76L46 80.5' in art


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


@given(HEIGHTS, st.integers(1, 40))
def test_spread_agrees_with_isotonic_regression(wanted, gap):
    steps = gap * np.arange(len(wanted))
    best = isotonic_regression(np.array(wanted) - steps).x + steps if wanted else []

    assert drawing.spread(wanted, gap) == pytest.approx(list(best), abs=0.051)


@given(HEIGHTS, st.integers(1, 40))
def test_spread_keeps_every_gap(wanted, gap):
    heights = drawing.spread(wanted, gap)

    assert all(b - a >= gap - 0.101 for a, b in pairwise(heights))


def test_spread_leaves_what_is_apart():
    assert drawing.spread([10, 50, 90], 40) == [10, 50, 90]


def test_spread_parts_two_at_one_height():
    assert drawing.spread([100, 100], 30) == [85, 115]


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


def test_drawn_marks_differ_by_shape():
    marks = {"collar": mark("fault", 3), "length": mark("clean")}
    shown = tree("coat", "front", marks=marks, links=True)

    drawn = {
        zone.get("data-zone"): (m.get("data-state"), [t.text for t in m.iter(f"{SVG}text")])
        for zone in shown.iter(f"{SVG}g")
        for m in zone.iterfind(f"{SVG}g[@class='mark']")
    }

    assert drawn == {"collar": ("fault", ["3"]), "length": ("clean", [])}


def test_labels_say_what_was_found():
    marks = {"collar": mark("fault", 1), "sleeve": mark("fault", 2, "L"), "length": mark("clean")}

    labels = [
        a.get("aria-label") for a in tree("coat", "front", marks=marks, links=True).iter(f"{SVG}a")
    ]

    found = [label for label in labels if ":" in label]
    assert sorted(found) == ["Collar: 1 fault", "Length: clean", "Sleeve, left: 2 faults"]
    assert len(set(labels)) == len(labels)


def test_current_zone_is_told_to_everybody():
    shown = tree("coat", "front", links=True, current="lapel")

    current = [a.get("aria-label") for a in shown.iter(f"{SVG}a") if a.get("aria-current")]

    assert current == ["Lapel, right", "Lapel, left"]


def test_drawing_without_links_is_an_image():
    shown = tree("coat", "back", marks={"seat": mark("fault", 1)})

    assert shown.get("role") == "img"
    assert list(shown.iter(f"{SVG}a")) == []
    assert [t.text for t in shown.iter(f"{SVG}text")] == ["1"]


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_drawings_carry_their_own_looks(view):
    pins = every_pin(view.kind)
    shown = [*tree(view.kind, view.key, pins=pins).iter(), *tree(view.kind, view.key).iter()]

    names = {name for node in shown for name in node.attrib}
    assert names & {"style", "id", "onclick", "filter", "clip-path"} == set()
    assert {node.get("text-anchor") for node in shown if node.tag == f"{SVG}text"} <= {"middle"}
    assert [node.tag for node in shown[0]][:2] == [f"{SVG}title", f"{SVG}desc"]


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_pins_show_the_numbers_given(view):
    pins = [Pin(seam.key, "", f"{n}b") for n, seam in enumerate(seams.seams(view.kind), 1)]

    texts = [t.text for t in tree(view.kind, view.key, pins=pins).iter(f"{SVG}text")]

    assert texts == [p.number for p in drawing.lay_out(view, pins).pins]


def test_drawings_speak_svg_in_every_language():
    plain = draw("coat", "front", pins=[("hem", "L", 1200)])

    with translation.override("de"):
        assert draw("coat", "front", pins=[("hem", "L", 1200)]) == plain
    assert ">1200</text>" in plain


def test_hostile_pins_are_escaped():
    shown = draw("coat", "front", pins=[("hem", "L", "<script>x</script>")])

    assert re.findall(r"<script|&lt;script&gt;", shown) == ["&lt;script&gt;"] * 2


def rendered(view, pins):
    """The drawing alone on a page of its own size in px, by WeasyPrint, two dots a px."""
    from weasyprint import HTML

    left, top, width, height = drawing.lay_out(view, pins).box
    page = f"@page{{size:{width}px {height}px;margin:0}}body{{margin:0}}svg{{display:block}}"
    pdf = HTML(string=f"<style>{page}</style>" + draw(view.kind, view.key, pins=pins)).write_pdf()
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    picture = document[0].render(scale=2 * 96 / 72).to_pil().convert("L")
    document.close()
    return lambda x, y: picture.getpixel((round((x - left) * 2), round((y - top) * 2)))


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_paper_has_ink_at_every_pin(view):
    pins = every_pin(view.kind)
    ink = rendered(view, pins)

    for pin in drawing.lay_out(view, pins).pins:
        assert ink(pin.x, pin.y - pin.radius * 0.85) < 40
        assert ink(pin.to.x, pin.to.y) < 40


def test_paper_is_white_without_pins():
    view = drawing.view("coat", "front")
    ink = rendered(view, [])

    assert ink(-view.width / 2 + 1, 150) == 255
    assert ink(*zone_of("lapel", "L").at) == 255
    assert ink(-7.7, 225) < 140
