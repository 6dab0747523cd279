"""The page and its files: what they show, what they answer to nonsense, and what they cost."""

import csv
import io
import re

import pytest
from django.utils import timezone
from django.utils.html import escape, strip_tags
from django.utils.text import capfirst

from fittings.review.measures import MEASURES
from fittings.review.sums import forget
from tests.factories import CutVersionFactory, UserFactory
from tests.review.scenes import altered, answered, cut_again, delivered

pytestmark = pytest.mark.django_db

PAGE = "/review/"
DAYS = {"since": "2025-01-01", "until": "2025-12-31"}


def text_of(response):
    return re.sub(r"\s+", " ", strip_tags(response.content.decode()))


def lines_of(response, measure):
    """The rows of one table of the page, cell by cell."""
    tables = {table.measure.key: table for table, _ in response.context["tables"]}
    body = re.search(
        rf'<table class="ledger" id="{measure}">.*?<tbody>(.*?)</tbody>',
        response.content.decode(),
        re.DOTALL,
    )[1]
    cells = [
        [strip_tags(cell).strip() for cell in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL)]
        for row in re.findall(r"<tr>(.*?)</tr>", body, re.DOTALL)
    ]
    assert len(cells) == len(tables[measure].lines)
    return cells


def busy_year(times=1):
    cutter = UserFactory(first_name="Odile", last_name="Fennimore")
    version = CutVersionFactory(cut__name="Long roll", version=2)
    for _ in range(times):
        same = {"cutter": cutter, "cut_version": version}
        delivered("2025-02-10", back="2025-03-01", fittings=["2025-01-10"], fault="x", **same)
        delivered("2025-04-10", fittings=["2025-03-10", "2025-04-01"], fault="y", **same)
        cut_again("2025-05-10", **same)
        altered("cured", "2025-06-02", fault="x", **same)
        altered("same", "2025-06-02", fault="z", **same)
        answered("2025-07-01", accepted=True, **same)
        answered("2025-07-01", accepted=False, faults=3, **same)


# -- what it shows ---------------------------------------------------------------------------------


def test_page_shows_every_rate_with_range_and_count(owner):
    busy_year(times=5)

    page = owner.get(PAGE, DAYS)

    name = "Odile Fennimore"
    assert lines_of(page, "remakes")[0] == [name, "5", "15", "33 %", "15–58 %"]
    assert lines_of(page, "returns")[0] == [name, "5", "10", "50 %", "24–76 %"]
    assert lines_of(page, "cures")[0] == [name, "5", "10", "50 %", "24–76 %"]
    assert lines_of(page, "fittings")[0] == [name, "15", "10", "1.5", "1.1–1.9"]


def test_figure_of_all_together_stands_in_last_row(owner):
    busy_year(times=2)
    delivered("2025-02-10", kind="trousers")

    page = owner.get(PAGE, DAYS)

    assert lines_of(page, "remakes")[-1] == ["All together", "2", "7", "29 %", "8–64 %"]


def test_page_says_when_there_are_too_few(owner):
    busy_year()

    page = owner.get(PAGE, DAYS)

    assert lines_of(page, "remakes")[0] == ["Odile Fennimore", "1", "3", "too few to tell", ""]


@pytest.mark.parametrize(
    ("by", "heading", "first"),
    [
        ("cutter", "Cutter", "Odile Fennimore"),
        ("cut", "Cut and version", "Long roll 2 (coat)"),
        ("kind", "Garment", "Coat"),
        ("fault", "Fault seen", "fault-0"),
        ("month", "Month", "2025-01"),
        ("quarter", "Quarter", "2025 quarter 1"),
    ],
)
def test_page_groups_rows_as_asked(owner, by, heading, first):
    busy_year()

    page = owner.get(PAGE, {**DAYS, "by": by})

    table = page.context["tables"][0][0]
    assert table.columns[0] == heading
    assert lines_of(page, "remakes")[0][0] == first


def test_rows_by_fault_say_they_do_not_add_up(owner):
    busy_year(times=2)

    page = owner.get(PAGE, {**DAYS, "by": "fault"})

    assert [line[:3] for line in lines_of(page, "remakes")][-4:] == [
        ["x", "0", "2"],
        ["y", "0", "2"],
        ["z", "0", "0"],
        ["All together", "2", "6"],
    ]
    assert text_of(page).count("the rows do not add up to all together") == 1


def test_definitions_stand_on_the_page_once(owner):
    busy_year()

    text = text_of(owner.get(PAGE, DAYS))

    told = [
        f"Counted {capfirst(measure.hit)}. Among {capfirst(measure.among)}. "
        f"Day that counts {capfirst(measure.day)}."
        for measure in MEASURES
    ]
    assert [text.count(escape(words)) for words in told] == [1] * 8


def test_garments_still_watched_are_said_to_wait(owner):
    delivered(timezone.localdate().isoformat())

    text = text_of(owner.get(PAGE))

    assert text.count("1 garment of these days left less than 90 days ago: not counted yet") == 1


def test_chart_of_links_is_described_in_words(owner):
    busy_year(times=5)

    page = owner.get(PAGE, DAYS).content.decode()

    drawing = re.search(r'<svg role="group" aria-labelledby="remakes-.*?</svg>', page, re.DOTALL)[0]
    assert "Odile Fennimore: 5 of 15 (33 %, likely 15–58 %)." in drawing
    assert re.findall(r"\s(?:style|class|on\w+)=", drawing) == []


def test_names_with_markup_are_shown_as_text(owner):
    delivered("2025-02-10", cutter=UserFactory(first_name="<script>", last_name="x"))

    page = owner.get(PAGE, DAYS).content.decode()

    assert page.count("<script>") == 0
    assert page.count("&lt;script&gt; x") >= 3


# -- bad input -------------------------------------------------------------------------------------


def test_empty_house_says_there_is_nothing(owner):
    page = owner.get(PAGE)

    assert page.status_code == 200
    assert not page.context["tables"]
    assert text_of(page).count("Nothing to count") == 1


def test_month_without_deliveries_says_there_is_nothing(owner):
    busy_year()

    page = owner.get(PAGE, {"since": "2025-09-01", "until": "2025-09-30"})

    assert text_of(page).count("Nothing to count") == 1


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("since", "yesterday", "Give the day as year-month-day, such as 2026-03-31."),
        ("since", "", "Give a day."),
        ("since", "0001-01-01", "Give a day of 1900 or later."),
        ("since", "2025-02-30", "Give the day as year-month-day, such as 2026-03-31."),
        ("since", "9" * 10_000, "Give the day as year-month-day, such as 2026-03-31."),
        ("until", "9999-12-31", "Give a day of 2199 or earlier."),
        ("until", "2024-12-31", "This day is before the first. Give one on or after it."),
        ("by", "moon", "There are no rows by “moon”: choose one of the list."),
        ("cutter", "nobody", "“nobody” has cut nothing here: choose one of the list."),
        ("cutter", "\0", "Null characters are not allowed."),
        ("cut", "77", "There is no cut “77”: choose one of the list."),
        ("cut", "9" * 400, f"There is no cut “{'9' * 400}”: choose one of the list."),
        ("cut", "<b>x", "There is no cut “<b>x”: choose one of the list."),
        ("kind", "hat", "The house makes no “hat”: choose one of the list."),
    ],
)
def test_nonsense_in_address_is_answered_beside_field(owner, field, value, message):
    busy_year()

    page = owner.get(PAGE, {**DAYS, field: value})

    assert page.status_code == 200
    assert page.context["form"].errors == {field: [message]}
    shown = re.search(rf'id="id_{field}_error">(.*?)</p>', page.content.decode(), re.DOTALL)[1]
    assert shown.count(escape(message)) == 1
    assert page.context["tables"] == []


def test_what_was_typed_stays_in_the_form(owner):
    page = owner.get(PAGE, {"since": "31.3.26", "until": "2026-01-01", "kind": "coat"})

    html = page.content.decode()
    assert html.count('value="31.3.26"') == 1
    assert html.count('<option value="coat" selected>') == 1


def test_only_who_has_cut_is_offered_as_cutter(owner):
    busy_year()
    UserFactory(first_name="Never", last_name="Cut")

    names = [
        str(label) for _, label in owner.get(PAGE, DAYS).context["form"].fields["cutter"].choices
    ]

    assert names[:2] == ["Every cutter", "Odile Fennimore"]
    assert "Never Cut" not in names


# -- files -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("measure", [measure.key for measure in MEASURES])
def test_file_holds_the_numbers_of_the_page(owner, measure):
    busy_year(times=5)

    page = owner.get(PAGE, DAYS)
    file = owner.get(f"/review/{measure}.csv", DAYS)

    rows = list(csv.reader(io.StringIO(file.content.decode("utf-8-sig"), newline="")))[1:]
    assert [row[:3] for row in rows] == [line[:3] for line in lines_of(page, measure)]
    assert [shown(row[3], measure) for row in rows] == [line[3] for line in lines_of(page, measure)]


MEANS = ("fittings", "carried-faults")


def shown(number, measure):
    return f"{float(number):.1f}" if measure in MEANS else f"{float(number) * 100:.0f} %"


def test_file_says_what_it_is(owner):
    file = owner.get("/review/cures.csv", {**DAYS, "by": "month"})

    assert file["Content-Type"] == "text/csv; charset=utf-8"
    assert file["Content-Disposition"] == (
        'attachment; filename="cures-by-month-2025-01-01-to-2025-12-31.csv"'
    )


def test_links_to_files_keep_the_filters(owner):
    busy_year()

    page = owner.get(PAGE, {**DAYS, "by": "cut", "kind": "coat"}).content.decode()

    link = "/review/remakes.csv?since=2025-01-01&amp;until=2025-12-31&amp;by=cut&amp;kind=coat"
    assert page.count(f'href="{link}"') == 1


def test_file_of_no_such_table_is_not_found(owner):
    assert owner.get("/review/wages.csv").status_code == 404


def test_file_of_nonsense_goes_to_page_that_explains(owner):
    answer = owner.get("/review/cures.csv", {"since": "soon", "by": "cut"})

    assert answer.status_code == 302
    assert answer["Location"] == "/review/?since=soon&by=cut"


# -- who, how, and what it costs -------------------------------------------------------------------


@pytest.mark.parametrize("role", ["front of house", "fitter", "workroom"])
@pytest.mark.parametrize("address", [PAGE, "/review/remakes.csv"])
def test_review_is_for_owners_alone(client, role, address):
    client.force_login(UserFactory(role=role))

    assert client.get(address).status_code == 403


@pytest.mark.parametrize("address", [PAGE, "/review/remakes.csv"])
def test_review_takes_no_posts(owner, address):
    assert owner.post(address).status_code == 405


@pytest.mark.parametrize(
    ("by", "queries"),
    [
        ("cutter", 13),
        ("fitter", 13),
        ("maker", 12),
        ("cut", 13),
        ("kind", 12),
        ("month", 12),
        ("fault", 16),
    ],
)
@pytest.mark.parametrize("times", [1, 3, 10])
def test_queries_stay_the_same_whatever_the_data(
    owner, django_assert_num_queries, by, queries, times
):
    busy_year(times=times)
    owner.get(PAGE)
    forget()

    with django_assert_num_queries(queries):
        owner.get(PAGE, {**DAYS, "by": by})
