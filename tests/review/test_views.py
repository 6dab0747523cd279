"""The page and its files: what they show, what they answer to nonsense, and what they cost."""

import re

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from tests.factories import CutVersionFactory, UserFactory
from tests.review.scenes import altered, cut_again, delivered

pytestmark = pytest.mark.django_db

PAGE = "/review/"
DAYS = {"since": "2025-01-01", "until": "2025-12-31"}


@pytest.fixture
def owner(client):
    client.force_login(UserFactory(role="owner"))
    return client


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


# -- what it shows ---------------------------------------------------------------------------------


def test_page_shows_every_rate_with_range_and_count(owner):
    busy_year(times=5)

    page = owner.get(PAGE, DAYS)

    name = "Odile Fennimore"
    assert lines_of(page, "remakes")[0] == [name, "5", "15", "33 %", "15–58 %"]
    assert lines_of(page, "returns")[0] == [name, "5", "10", "50 %", "24–76 %"]
    assert lines_of(page, "cures")[0] == [name, "5", "10", "50 %", "24–76 %"]
    assert lines_of(page, "fittings")[0] == [name, "15", "10", "1.5", "1.1–1.9"]
