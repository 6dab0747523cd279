"""Every row and every mark of a picture leads to the garments it is made of."""

import re
from html import unescape

import pytest
from django.core.paginator import Paginator

from fittings.models import CauseTaken
from fittings.review.asking import Asked, By
from fittings.review.behind import Behind
from fittings.review.closer import look_closer
from fittings.review.measures import RETURNS
from fittings.review.why import explain
from garments.models import Kind
from tests.factories import AlterationFactory, UserFactory
from tests.review.scenes import (
    DAYS,
    HALF,
    NOW,
    altered,
    cut_again,
    delivered,
    noon,
    reach,
    tried_on,
)

pytestmark = pytest.mark.django_db
NOTHING = Behind("", Paginator([], 1).get_page(1), [], 0, 0)


def lived():
    fitter = UserFactory()
    for number in range(9):
        both = [("collar", "collar-stands-off"), ("back", "back-balance-short")]
        coat, look = tried_on(*(both if number < 4 else [("waist", "waist-tight")]))
        words = {"words": "The pad slipped."} if number < 2 else {"cause": "erect"}
        CauseTaken.objects.create(fitting=look, garment=coat, by=fitter, **words)
    for verdict in ("cured", "cured", "same", "cured", "worse", "better"):
        altered(verdict)
        coat = delivered("2026-02-10", back="2026-03-01", fittings=["2026-01-10", "2026-01-20"])
        reach(coat, "cut", "2026-01-04")
    for day in ("2026-01-12", "2026-03-02", "2026-03-04"):  # the first before it came back
        AlterationFactory(garment=coat, at=noon(day))
    cut_again()


def told():
    """Each linked line of the pages: (table, line, address)."""
    sheets = [*explain(HALF, NOW).sheets.values()]
    sheets += [look_closer(RETURNS, Asked(HALF.since, HALF.until, By.KIND), NOW).curve]
    return [
        (sheet.key, line, link)
        for sheet in sheets
        for line, link in zip(sheet.lines, sheet.links, strict=True)
    ]


# What the garments behind a line come to, and where the line itself says so.
SUMS = {
    "faults": lambda line, behind: (line[1], line[2]) == (behind.whole, behind.all),
    "causes": lambda line, behind: line[1] == behind.whole,
    "zones": lambda line, behind: line[1] == behind.whole,
    "together": lambda line, behind: line[2] == behind.whole,
    "cures": lambda line, behind: line[1] == behind.whole,
    "looks": lambda line, behind: line[1] == behind.all,
    "weeks": lambda line, behind: line[2].value * line[1] == pytest.approx(behind.whole),
    "costs": lambda line, behind: line[1] == behind.whole,
    "curve": lambda line, behind: line[2] == behind.all,
}


@pytest.mark.parametrize("sheet", SUMS)
def test_garments_behind_a_line_add_up_to_it(owner, sheet):
    lived()

    found = [(line, owner.get(link)) for key, line, link in told() if key == sheet]

    ours = [(line, page.context["behind"]) for line, page in found]
    shown = [(line, behind) for line, behind in ours if hasattr(behind, "whole")]
    assert len(shown) == len(found)
    assert [line for line, behind in shown if not SUMS[sheet](line, behind)] == []


def test_every_mark_of_why_is_a_link_that_opens(owner):
    lived()
    page = owner.get("/review/why/", DAYS).content.decode()

    drawings = [find for find in re.findall(r"<svg.*?</svg>", page, re.DOTALL) if "-desc" in find]
    marks = [re.findall(r'<a href="([^"]*)"', drawing) for drawing in drawings]
    linked = [unescape(link) for links in marks for link in links]
    # Three faults, two causes, three zones over three views, one stage.
    assert sorted(len(links) for links in marks) == [0, 1, 1, 2, 2, 3]
    assert {owner.get(link).context["behind"] is not None for link in linked} == {True}


def test_every_mark_of_the_curve_opens_the_garments_back_by_then(owner):
    lived()
    for back in ["2026-03-30", *[None] * 9]:
        delivered("2026-01-05", back=back)
    closer = look_closer(RETURNS, Asked(HALF.since, HALF.until, By.KIND), NOW)

    shown = [
        (mark, owner.get(mark.link).context["behind"]) for mark in closer.pictures["curve"].marks
    ]

    lines = closer.curve.lines
    days = [int(re.search(r"day (\d+)", mark.says)[1]) for mark, _ in shown]
    assert [behind.all for _, behind in shown] == [
        sum(line[2] for line in lines if line[0] <= day) for day in days
    ]
    assert len(days) > 1
    assert shown[-1][1].title == f"Came back by day {days[-1]} after delivery"


@pytest.mark.parametrize("by", [By.CUTTER, By.MONTH, By.QUARTER, By.FAULT])
def test_every_row_of_the_review_opens_its_garments(owner, by):
    lived()
    page = owner.get("/review/", {**DAYS, "by": by})

    for table, chart in page.context["tables"][:5]:
        for row, bar in zip(table.rows, chart.bars, strict=True):
            behind = owner.get(bar.link).context["behind"] if bar.link else NOTHING
            assert (behind.hits, behind.all) == (row.figure.k, row.figure.n)


@pytest.mark.parametrize(
    ("sheet", "row"),
    [
        ("faults", "no-such-fault"),
        ("faults", ""),
        ("zones", "é\x00"),
        ("looks", "three"),
        ("looks", "99999999999999999999"),
        ("curve", "-1"),
        ("weeks", "collar"),
        ("cures", "let-out' OR 1=1"),
    ],
)
def test_row_that_is_not_there_is_told_kindly(owner, sheet, row):
    lived()

    page = owner.get(f"/review/behind/{sheet}/", {**DAYS, "row": row})

    assert (page.status_code, page.context["behind"]) == (200, None)
    assert "No such row" in page.content.decode()


def test_rows_of_no_such_table_are_not_found(owner):
    assert owner.get("/review/behind/wages/").status_code == 404


def test_rows_of_nonsense_days_ask_again(owner):
    page = owner.get("/review/behind/faults/", {"since": "2026-06-30", "until": "2026-01-01"})

    assert list(page.context["form"].errors) == ["until"]


@pytest.mark.parametrize("times", [1, 3])
def test_row_takes_the_same_queries_whatever_the_data(owner, django_assert_num_queries, times):
    for _ in range(times):
        tried_on(("collar", "collar-stands-off"))
    asked = {**DAYS, "row": "collar-stands-off", "kind": Kind.COAT}
    owner.get("/review/behind/faults/", asked)

    with django_assert_num_queries(7):
        owner.get("/review/behind/faults/", asked)
