"""The drawings as templates: links, marks and pins, on a screen and on paper.

No published source: the picture is checked against the table it is drawn from, and against what
WeasyPrint and pdfium make of it.
"""

import re
import xml.etree.ElementTree as ET
from io import BytesIO
from types import SimpleNamespace

import pypdfium2
import pytest
from django.template import Context, Template
from django.utils import translation
from weasyprint import HTML

from garments import drawing, seams
from garments.drawing import Pin

EVERY_VIEW = [
    pytest.param(v, id=f"{v.kind}-{v.key}") for k in seams.KINDS for v in drawing.views(k)
]
SVG = "{http://www.w3.org/2000/svg}"


def mark(state, count=0, side=""):
    return SimpleNamespace(state=state, count=count, side=side)


def every_pin(kind):
    return [Pin(seam.key, "both", n) for n, seam in enumerate(seams.seams(kind), 1)]


def draw(kind, view, **given):
    words = " ".join(f"{name}={name}" for name in given)
    source = f"{{% load drawing %}}{{% garment_drawing kind view {words} %}}"
    return Template(source).render(Context({"kind": kind, "view": view, **given}))


def tree(kind, view, **given):
    return ET.fromstring(draw(kind, view, **given))


@pytest.mark.parametrize("kind", seams.KINDS)
def test_every_zone_links_in_its_views(kind):
    links = {
        (v.key, a.get("href"))
        for v in drawing.views(kind)
        for a in tree(kind, v.key, links=True).iter(f"{SVG}a")
    }

    wanted = {
        (v, f"#zone-{k}") for k in drawing.zone_keys(kind) for v in drawing.zone_views(kind, k)
    }
    assert links == wanted


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
    assert ink(34, 100) == 255
    assert ink(-7.7, 225) < 140


def test_breast_welt_lies_on_the_wearers_left():
    # A man's coat has its breast pocket on the wearer's left (common practice, no source), which in
    # front is the viewer's right.
    ink = rendered(drawing.view("coat", "front"), [])

    assert ink(61.5, 122.25) < 140
    assert ink(-61.5, 122.25) == 255
