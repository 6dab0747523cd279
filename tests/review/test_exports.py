"""CSV by RFC 4180 and OWASP ASVS 5.0.0, 1.2.10 (text that a spreadsheet might run)."""

import csv
import io

import pytest

from fittings.rates import Row, mean_from_sums, proportion
from fittings.review.exports import to_csv
from fittings.review.figures import Table
from fittings.review.measures import FITTINGS, REMAKES
from fittings.review.sheets import Money, Share, Sheet, Tenths


def table(*names, n=29):
    rows = [Row(name, proportion(1, n)) for name in names]
    return Table(REMAKES, "Cutter", rows, Row("All together", proportion(0, 0)))


def read(data):
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))


def test_csv_holds_text_quoted_and_numbers_bare():
    data = to_csv(table("Özge Lorrimer"))

    assert data.decode("utf-8") == (
        '\ufeff"Cutter","Cut again","Garments","Rate",'
        '"Lowest likely","Highest likely","In words"\r\n'
        '"Özge Lorrimer",1,29,0.034483,0.006113,0.171755,"1 of 29 (3 %, likely 1–17 %)"\r\n'
        '"All together",0,0,"","","","too few to tell: 0 of 0"\r\n'
    )


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\0"])
def test_csv_makes_text_harmless_that_might_run(start):
    line = read(to_csv(table(f"{start}1+1")))[1]

    assert line[0] == f"'{start}1+1"
    assert line[1:3] == ["1", "29"]


@pytest.mark.parametrize("name", ['Ann "Nan" Weir', "Weir, Ann", "Weir\r\nAnn", "Ann-Weir", "a=b"])
def test_csv_gives_other_text_back_unchanged(name):
    assert read(to_csv(table(name)))[1][0] == name


def test_csv_gives_small_groups_no_rate():
    line = read(to_csv(table("Weir", n=4)))[1]

    assert line == ["Weir", "1", "4", "", "", "", "too few to tell: 1 of 4"]


def test_csv_of_means_holds_sums_and_interval():
    rows = [Row("Weir", mean_from_sums(5, 13, 37))]
    means = Table(FITTINGS, "Cutter", rows, Row("All together", mean_from_sums(5, 13, 37)))

    line = read(to_csv(means))[1]

    assert line[:3] == ["Weir", "13", "5"]
    assert [round(float(cell), 2) for cell in line[3:6]] == [2.6, 1.49, 3.71]


def test_csv_of_no_rows_is_its_heading_alone():
    assert len(read(to_csv(table()))) == 1


@pytest.mark.parametrize("text", ["=1+1", " =1+1", "\t@x", "+1", "-1", "\uff1d1+1", "\n=1"])
def test_text_that_would_run_is_made_harmless(text):
    sheet = Sheet("x", "X", ["Name", "Number"], [[text, -0.5]])

    rows = list(csv.reader(io.StringIO(to_csv(sheet).decode("utf-8-sig"), newline="")))

    assert rows[1] == [f"'{text}", "-0.5"]


def test_numbers_of_a_sheet_are_rounded_once_for_page_and_file():
    cells = [Share(1 / 29), Share(None), Money(1234.567), Tenths(9.96)]
    sheet = Sheet("x", "X", ["Rate", "None", "Cost", "Days"], [cells])

    assert sheet.shown == [(["3.4 %", "–", "1,234.57", "10.0"], "")]
    assert read(to_csv(sheet))[1] == ["0.034", "", "1234.57", "10.0"]
