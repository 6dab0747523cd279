import datetime

import pytest

from fittings.rates import Row, mean_from_sums, proportion
from fittings.review.asking import Asked
from fittings.review.figures import Table
from fittings.review.measures import FITTINGS, REMAKES
from fittings.review.tables import review
from tests.factories import UserFactory
from tests.review.scenes import NOW, altered, delivered

YEAR = Asked(since=datetime.date(2026, 1, 1), until=datetime.date(2026, 12, 31))


@pytest.mark.django_db
def test_tables_share_their_rows_by_name():
    delivered(cutter=UserFactory(first_name="Tace", last_name="Weir"))
    altered("cured", cutter=UserFactory(first_name="Bram", last_name="Pell"))

    tables = review(YEAR, NOW)

    grouped = ["remakes", "returns", "late", "first-fault", "cures", "fittings"]
    assert [table.measure.key for table in tables][:6] == grouped
    assert [[line[0] for line in table.lines] for table in tables][:6] == [
        ["Bram Pell", "Tace Weir", "All together"]
    ] * 6


@pytest.mark.django_db
def test_group_with_nothing_to_count_says_so():
    altered("cured", cutter=UserFactory(first_name="Bram", last_name="Pell"))

    remakes = review(YEAR, NOW)[0]

    assert remakes.lines[0] == ["Bram Pell", 0, 0, "too few to tell", ""]


@pytest.mark.django_db
@pytest.mark.parametrize(("day", "note"), [("2026-03-31", False), ("2026-04-10", True)])
def test_returns_alone_note_what_is_still_watched(day, note):
    delivered(day)

    assert [bool(table.note) for table in review(YEAR, NOW)] == [False, note, *[False] * 6]


@pytest.mark.parametrize(
    ("table", "count", "said"),
    [
        (Table(REMAKES, "Cutter", [], Row("", proportion(1, 29))), "1 of 29", "likely 1–17 %"),
        (Table(REMAKES, "Cutter", [], Row("", proportion(1, 3))), "1 of 3", ""),
        (
            Table(FITTINGS, "Cutter", [], Row("", mean_from_sums(5, 13, 37))),
            "13 fittings of 5 garments",
            "likely 1.5–3.7",
        ),
        (
            Table(FITTINGS, "Cutter", [], Row("", mean_from_sums(6, 18, 54))),
            "18 fittings of 6 garments",
            "all 6 alike",
        ),
    ],
)
def test_figure_of_all_together_tells_count_and_range(table, count, said):
    assert (table.count, table.range) == (count, said)


def test_table_without_rows_shows_no_total():
    table = Table(REMAKES, "Cutter", [], Row("All together", proportion(0, 0)))

    assert (table.lines, table.number_lines) == ([], [])
