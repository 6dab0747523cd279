"""Amounts as they are written, spoken, and put down by dictation."""

import pytest

from customers.lengths import Length
from fittings import catalogue
from fittings.callout import read_line

INCHES = [
    ("3/8", "3/8"),
    ("three eighths", "3/8"),
    ("three-eighths", "3/8"),
    ("3 eighths", "3/8"),
    ("3/8ths", "3/8"),
    ("three eight", "3/8"),
    ("five eights", "5/8"),
    ("⅜", "3/8"),
    ("a quarter", "1/4"),
    ("quarter", "1/4"),
    ("quarter of an inch", "1/4"),
    ("a quarter inch", "1/4"),
    ("half an inch", "1/2"),
    ("half inch", "1/2"),
    ("half", "1/2"),
    ("three quarters", "3/4"),
    ("three quarters of an inch", "3/4"),
    ("an inch", "1"),
    ("one inch", "1"),
    ("1 in", "1"),
    ('1"', "1"),
    ("1 1/2", "1 1/2"),
    ("1-1/2", "1 1/2"),
    ("1½", "1 1/2"),
    ("1 and a half", "1 1/2"),
    ("one and a half", "1 1/2"),
    ("one and a half inches", "1 1/2"),
    ("an inch and a half", "1 1/2"),
    ("inch and a quarter", "1 1/4"),
    ("two inches and three eighths", "2 3/8"),
    ("one and three eighths", "1 3/8"),
    ("0.5", "1/2"),
    ("point five", "1/2"),
    ("one point five inches", "1 1/2"),
    ("a sixteenth", "1/16"),
]
METRIC = [
    ("2 cm", "20"),
    ("2cm", "20"),
    ("two centimetres", "20"),
    ("two centimeters", "20"),
    ("one and a half centimetres", "15"),
    ("half a centimetre", "5"),
    ("1,5", "15"),
    ("1.5", "15"),
    ("five mil", "5"),
    ("12 mm", "12"),
    ("two", "20"),
]


def amount(said, unit, line="collar off {} at the back"):
    found = read_line(line.format(said), catalogue.load(), "coat", unit)
    return [entry.amount for entry in found.entries]


@pytest.mark.parametrize(("said", "inches"), INCHES)
def test_amount_in_inches_is_read_after_the_fault(said, inches):
    assert amount(said, "in") == [Length.inches(_sum(inches))]


@pytest.mark.parametrize(("said", "inches"), INCHES)
def test_amount_in_inches_is_read_before_the_fault(said, inches):
    assert amount(said, "in", "{} off at the collar") == [Length.inches(_sum(inches))]


@pytest.mark.parametrize(("said", "mm"), METRIC)
def test_amount_in_centimetres_is_read(said, mm):
    assert amount(said, "cm") == [Length.of_mm(int(mm))]


@pytest.mark.parametrize("said", ["a quarter", "3/8", "three eighths"])
def test_parts_of_inches_are_inches_in_a_metric_house(said):
    (entry,) = read_line(f"collar off {said}", catalogue.load(), "coat", "cm").entries

    assert entry.amount in (Length.inches(0.25), Length.inches(0.375))
    assert entry.forgiven[-1].meant.endswith(" in")


@pytest.mark.parametrize("said", ["0", "1/0", "9/8", "1/3", "99999999999", "٣"])
def test_number_that_is_no_amount_is_left_over(said):
    found = read_line(f"collar off {said}", catalogue.load(), "coat", "in")

    assert [(entry.choices[0].fault, entry.amount) for entry in found.entries] == [
        ("collar-stands-off", None)
    ]
    assert [piece.text for piece in found.leftovers] == [said]


@pytest.mark.parametrize("line", ["two folds across the chest", "one lapel higher on the left"])
def test_number_that_counts_is_no_amount(line):
    found = read_line(line, catalogue.load(), "coat", "in")

    assert [entry.amount for entry in found.entries] == [None]


def _sum(text):
    whole, _, part = text.rpartition(" ")
    over, _, under = part.partition("/")
    return int(whole or 0) + (int(over) / int(under) if under else int(over))
