"""How measures are laid out, and the question when two readings do not agree."""

import pytest

from customers.lengths import Length
from customers.measuring.sheet import (
    KEYS,
    Compared,
    Taken,
    field_name,
    lay_out_set,
    lay_out_two,
)
from customers.plausible import readings_apart
from customers.points import GROUPS, POINTS

CHEST, LEFT = ("chest", ""), ("wrist", "L")


def inches(**values):
    keys = {
        "chest": CHEST,
        "left": LEFT,
        "neck": ("neck", ""),
        "length": ("leg-length", "L"),
    }
    return {keys[name]: Length.inches(value) for name, value in values.items()}


def cells(groups):
    return {line.point.key: list(line.cells) for group in groups for line in group.lines}


def test_every_place_has_a_field_name_of_its_own():
    names = [field_name(key, reading) for key in KEYS for reading in (1, 2)]

    assert len(set(names)) == 2 * sum(len(point.sides) for point in POINTS)
    assert (field_name(LEFT), field_name(CHEST, 2)) == ("wrist-L", "chest-again")


def test_set_is_laid_out_from_top_to_bottom():
    groups = lay_out_set(inches(left=6.5, chest=38, neck=15.5), {}, "in")

    assert [group.name for group in groups] == list(GROUPS[:3])
    assert list(cells(groups)) == ["neck", "chest", "wrist"]
    assert groups[1].garments == ["coat", "overcoat", "waistcoat"]


def test_set_shows_other_unit_second_reading_and_gap():
    groups = lay_out_set(inches(chest=38.5, left=6.5), inches(chest=38.625), "in")

    assert cells(groups) == {
        "chest": [Taken("", "38 1/2 in", "97.8 cm", "38 5/8 in")],
        "wrist": [Taken("left", "6 1/2 in", "16.5 cm", ""), Taken("right", "", "", "")],
    }


@pytest.mark.parametrize(
    ("one", "other", "unit", "shown"),
    [
        (38, 39.125, "in", ("38 in", "39 1/8 in", "+1 1/8 in (± 3/8 in)")),
        (39.125, 38, "in", ("39 1/8 in", "38 in", "-1 1/8 in (± 3/8 in)")),
        (38, 38, "in", ("38 in", "38 in", "same")),
        (38, 38.25, "in", ("38 in", "38 1/4 in", "+1/4 in, no change (± 3/8 in)")),
        (38, 39, "cm", ("96.5 cm", "99.1 cm", "+2.5 cm (± 1 cm)")),
    ],
)
def test_two_sets_differ_with_their_sign(one, other, unit, shown):
    groups = lay_out_two(inches(chest=one), inches(chest=other), unit)

    (cell,) = cells(groups)["chest"]
    assert (cell.one, cell.other, cell.words) == shown


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_what_the_tape_cannot_tell_apart_is_same(unit):
    groups = lay_out_two({CHEST: Length.of_cm(97.8)}, inches(chest=38.5), unit)

    assert cells(groups)["chest"][0].words == "same"


def test_measure_missing_from_one_set_shows_as_missing():
    groups = lay_out_two(inches(chest=38), inches(left=6.5), "in")

    assert cells(groups) == {
        "chest": [Compared("", "38 in", "", None)],
        "wrist": [Compared("left", "", "6 1/2 in", None), Compared("right", "", "", None)],
    }


# ISO 20685 allows a skilled hand 9 mm on a large girth and 5 mm on a segment length, as printed in
# Woodhead, Anthropometry, Apparel Sizing and Design, p. 41: 3/8 in is 9.5 mm, 1/4 in is 6.4 mm.
@pytest.mark.parametrize(
    ("first", "second", "asked"),
    [
        (inches(chest=38), inches(chest=38.375), []),
        (inches(chest=38.375), inches(chest=38), []),
        (
            inches(chest=38),
            inches(chest=38.5),
            ["Chest 38 in, then 38 1/2 in. Which is right? Take it a third time."],
        ),
        (inches(length=31), inches(length=31.25), []),
        (
            inches(length=31),
            inches(length=31.375),
            ["Leg length left 31 in, then 31 3/8 in. Which is right? Take it a third time."],
        ),
        ({}, inches(chest=38), []),
        ({}, {}, []),
    ],
)
def test_readings_apart_are_asked_about_beyond_the_tape(first, second, asked):
    assert [doubt.question for doubt in readings_apart(first, second)] == asked


def test_readings_apart_are_named_in_the_unit_of_the_set():
    first, second = {CHEST: Length.of_cm(97)}, {CHEST: Length.of_cm(99)}

    (doubt,) = readings_apart(first, second, unit="cm")

    assert (doubt.point, doubt.side) == CHEST
    assert doubt.question == "Chest 97 cm, then 99 cm. Which is right? Take it a third time."
