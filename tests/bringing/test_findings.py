"""Errors planted in a list: each is found once, where it is, and nothing is written."""

import datetime
from collections import Counter

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from fittings.bringing.services import choose_all
from fittings.bringing.standing import fates_of
from fittings.bringing.writing import write_list
from fittings.models import Upload
from tests.bringing.lists import good_row, ledger_rows, rows_of
from tests.factories import CustomerFactory

pytestmark = pytest.mark.django_db
TOMORROW = str(timezone.localdate() + datetime.timedelta(days=2))
LONG_AGO = str(timezone.localdate().year - 101)

# Column, what is put there, and the kind of finding it must give.
PLANTED = (
    ("family name", "", "no name"),
    ("family name", "M" * 61, "family_name refused"),
    ("given name", "<b>Tobiah", "given_name refused"),
    ("telephone", "ring the shop", "phone refused"),
    ("e-mail", "tobiah at example", "email refused"),
    ("measures in", "ells", "unit"),
    ("chest", "38 9/8", "length"),
    ("waist", "0", "nothing"),
    ("measured on", "", "no day"),
    ("measured on", "31 of March", "day"),
    ("measured on", TOMORROW, "future day"),
    ("measured on", f"{LONG_AGO}-03-31", "old day"),
    ("garment", "cape", "kind"),
    ("cut", "Hard", "cut"),
    ("cloth", "", "no cloth"),
    ("cloth pattern", "tartan", "cloth_pattern"),
    ("cutter", "Nobody Known", "cutter"),
    ("promised on", "2024-04-01", "promise"),
    ("stage", "delivered", "stage"),
    ("cloth", "x" * 121, "cloth refused"),
)


def planted_list():
    """Ten rows of each error among two hundred good ones, and where each was put."""
    rows, planted = [], []
    for number in range(400):
        row = good_row(number)
        if number % 2:
            heading, wrong, kind = PLANTED[number // 2 % len(PLANTED)]
            row[heading] = wrong
            planted.append((number + 2, heading, kind))
        rows.append(row)
    return rows_of(*rows), planted


def test_two_hundred_planted_errors_are_found_once_each(read, findings):
    rows, planted = planted_list()
    before = ledger_rows()

    upload = read(rows)

    assert (len(planted), len(Counter(kind for _, _, kind in planted))) == (200, 20)
    assert findings(upload) == planted
    assert ledger_rows() == before


def test_list_with_a_finding_is_not_written(read, owner):
    upload = read(rows_of(good_row(1), good_row(2) | {"chest": "x"}))
    before = ledger_rows()

    with pytest.raises(ValidationError, match="1 rows still wait"):
        write_list(upload=upload, seen=upload.version, by=owner)

    assert ledger_rows() == before


@pytest.mark.parametrize(
    ("change", "column", "kind", "says"),
    [
        ({"chest": "97 in cm"}, "chest", "length", "two units"),
        ({"chest": "400 in"}, "chest", "length", "at most 120 in"),
        ({"chest": "-38"}, "chest", "length", "leave out the minus sign"),
        ({"measured on": "2024-02-30"}, "measured on", "day", "no such day in the calendar"),
        ({"measured on": "24-03-31"}, "measured on", "day", "such as 2024-03-31"),
        ({"promised on": "2099-01-01"}, "promised on", "promise", "five years away"),
        ({"stage": "sewn"}, "stage", "stage", "Write ordered, cut, basted"),
        ({"garment": ""}, "garment", "kind", "“cut” belongs to an order"),
        ({"cut": "Hard"}, "cut", "cut", "write Soft."),
        ({"cutter": "Nobody"}, "cutter", "cutter", "write Ann Weir."),
    ],
)
def test_finding_says_what_would_be_right(read, change, column, kind, says):
    upload = read(rows_of(good_row(1) | change))

    (found,) = upload.rows_read.get().findings

    assert (found["row"], found["column"], found["kind"]) == (2, column, kind)
    assert says in found["says"]


def test_row_written_twice_is_found_the_second_time(read, findings):
    upload = read(rows_of(good_row(1), good_row(2), good_row(1)))

    assert findings(upload) == [(4, "the whole row", "repeated")]


def test_same_reference_with_another_name_is_found(read, findings):
    other = good_row(1) | {"family name": "Fennimore", "measured on": "2024-04-01"}

    upload = read(rows_of(good_row(1), other))

    assert findings(upload) == [(3, "family name", "other name")]


def test_cell_too_many_is_found_and_named(read):
    rows = rows_of(good_row(1))

    upload = read([rows[0], [*rows[1], "left over"]])

    (found,) = upload.rows_read.get().findings
    assert (found["column"], found["found"], found["kind"]) == (
        "the whole row",
        "left over",
        "cells",
    )


@pytest.mark.parametrize(
    ("number", "kinds"),
    [("C9999-9", ["number"]), ("C1042-P", ["unknown number"]), ("", [])],
)
def test_our_number_that_is_none_is_found(read, number, kinds):
    upload = read([["our number", "family name"], [number, "Marrowby"]])

    assert [found["kind"] for found in upload.rows_read.get().findings] == kinds


def test_our_number_with_another_name_is_found(read):
    known = CustomerFactory(family_name="Marrowby")

    upload = read([["our number", "given name", "family name"], [known.number, "Odile", "Wren"]])

    (found,) = upload.rows_read.get().findings
    assert found["says"] == f"{known.number} is Tobiah Marrowby: the number is wrong, or the name."


def test_row_left_out_waits_no_more_and_counts_no_finding(read):
    upload = read(rows_of(good_row(1), good_row(2) | {"chest": "x", "waist": "y"}))
    before = fates_of(upload)

    choose_all(upload=upload, what="wrong-out")
    after = fates_of(upload)

    assert [(fates.findings, fates.waiting, fates.going_in) for fates in (before, after)] == [
        (2, 1, 1),
        (0, 0, 1),
    ]


def test_list_without_a_day_of_measuring_says_where_to_give_one(read):
    upload = read([("given name", "family name", "chest"), ("Tobiah", "Marrowby", "38")])

    (finding,) = Upload.objects.get(pk=upload.pk).rows_read.get().findings

    assert finding["says"] == (
        "Measures need the day they were taken on: say which column has it, or a day."
    )
