"""Headings as houses write them, and what each is taken to mean."""

import csv

import pytest

from customers.points import BY_KEY, POINTS
from fittings.lists import MEANINGS, best_columns, template_text
from fittings.lists.columns import measure_of, read_heading
from fittings.lists.words import KINDS, PATTERNS, STAGES, UNITS, meant
from garments.models import Cloth, Kind, Stage


@pytest.mark.parametrize(
    ("heading", "means", "unit"),
    [
        ("Surname", "family_name", ""),
        ("E-Mail", "email", ""),
        ("TELEPHONE", "phone", ""),
        ("Promised on", "promised_on", ""),
        ("Taken on", "taken_on", ""),
        ("chest", "measure:chest:", ""),
        ("Chest (cm)", "measure:chest:", "cm"),
        ("chest in", "measure:chest:", "in"),
        ('chest"', "measure:chest:", "in"),
        ("Breast [mm]", "measure:chest:", "mm"),
        ("wrist L", "measure:wrist:L", ""),
        ("Left wrist, inches", "measure:wrist:L", "in"),
        ("right_thigh_cm", "measure:thigh:R", "cm"),
        ("Wrist", "measure:wrist:both", ""),
        ("inside leg (in)", "measure:leg-length:both", "in"),
        ("hip girth", "measure:seat:", ""),
        ("measures in", "unit", ""),
        ("chest left", "", ""),
        ("shoe size", "", ""),
        ("in", "", ""),
        ("", "", ""),
    ],
)
def test_heading_is_read_with_its_side_and_unit(heading, means, unit):
    column = read_heading(heading)

    assert (column.heading, column.means, column.unit) == (heading, means, unit)


def test_every_name_of_ours_means_itself():
    read = {key: read_heading(meaning.name).means for key, meaning in MEANINGS.items()}

    same = {key: means for key, means in read.items() if not key.endswith(":both")}
    assert same == {key: key for key in same}


def test_every_point_can_be_brought_in_for_each_side():
    measures = [measure for key in MEANINGS if (measure := measure_of(key))]

    sides = {(point.key, side) for point, sides in measures for side in sides}
    assert sides == {(point.key, side) for point in POINTS for side in point.sides}


def test_second_heading_of_one_meaning_is_left_to_choose():
    columns = best_columns(["seat", "hips", "waist"])

    assert [column.means for column in columns] == ["measure:seat:", "", "measure:waist:"]


@pytest.mark.parametrize(
    ("table", "values"),
    [
        (KINDS, set(Kind.values)),
        (PATTERNS, set(Cloth.values)),
        (STAGES, set(Stage.values) - {"delivered", "returned", "remade"}),
        (UNITS, {"in", "cm", "mm"}),
    ],
)
def test_words_stand_for_what_the_ledger_has(table, values):
    assert set(table) == values
    assert {meant(table, key) for key in table} == values


def test_labels_of_the_ledger_are_understood_as_well():
    kinds = {kind.value: meant(KINDS, kind.label) for kind in Kind}
    stages = {key: meant(STAGES, Stage(key).label) for key in STAGES}

    assert kinds == {key: key for key in Kind.values}
    assert stages == {key: key for key in STAGES}


def test_template_carries_every_point_with_its_sides():
    heading = template_text().splitlines()[0]

    wanted = sum(len(point.sides) for point in BY_KEY.values())
    assert heading.count(", left") == heading.count(", right")
    assert len([c for c in best_columns(next(csv.reader([heading]))) if ":" in c.means]) == wanted
