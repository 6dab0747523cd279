"""The review over ten years of a busy house: against a bare page, and against a tenth of it.

Budgets (design): four bare pages, and ten times the data at most three times the time. No figure
of these pages is under four bare pages: the tables and pictures of a page alone, with nothing to
count, are (`BUDGET` says what was measured, with a margin for a busy machine). Growth holds but
for why (3.4) and for a page over all ten years (3.7).
"""

import shutil
import sys

import pytest
from django.test import Client, override_settings
from django.utils import timezone

from fittings.config.access import OWNER
from tests.bench import bare
from tests.bench.busy_house import GARMENTS, BusyHouse
from tests.bench.conftest import seconds
from tests.databases import default_database, sqlite_url
from tests.factories import UserFactory

BUDGET = {
    "/review/": 14,
    "/review/?since=2016-01-01": 60,
    "/review/?by=fault": 90,
    "/review/returns/": 30,
    "/review/cures/": 20,
    "/review/first-fault/": 20,
    "/review/returns/garments/": 14,
    "/review/why/": 90,
    "/review/letter/": 25,
}
GROWTH = 3
OVER_GROWTH = {"/review/why/": 4, "/review/?since=2016-01-01": 4.5}
TURNS = 7


def clients():
    owner = UserFactory(role=OWNER)
    ours, yardstick = Client(), Client()
    for client in (ours, yardstick):
        client.force_login(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware
    return ours, yardstick


def ratios(garments, compare):
    """Address -> how many bare pages it takes, in a house of so many garments."""
    BusyHouse(timezone.now(), garments).load()
    ours, yardstick = clients()
    counted = seconds(lambda: ours.get("/review/"))
    sys.stdout.write(f"\n{garments} garments counted for the first time: {counted:.1f} s\n")

    def ratio(address):
        assert ours.get(address).status_code == 200
        name = f"{garments} {address}"
        return compare(name, lambda: ours.get(address), lambda: yardstick.get("/bare/"), TURNS)

    return {address: ratio(address) for address in BUDGET}


@pytest.mark.urls("tests.bench.bare")
def test_review_over_ten_years_stays_within_its_bare_pages(
    sqlite_template, tmp_path, django_db_blocker, compare
):
    found = []
    for garments in (GARMENTS // 10, GARMENTS):
        url = sqlite_url(shutil.copy(sqlite_template, tmp_path / f"{garments}.sqlite3"))
        with django_db_blocker.unblock(), default_database(url):
            found.append(ratios(garments, compare))

    few, many = found
    over = {at: ratio for at, ratio in many.items() if ratio > BUDGET[at]}
    grown = {
        at: many[at] / few[at] for at in BUDGET if many[at] / few[at] > OVER_GROWTH.get(at, GROWTH)
    }
    assert (over, grown) == ({}, {})
