"""The review over ten years of a busy house: against a bare page, and against a tenth of it.

Budgets (design): four bare pages, and ten times the data at most three times the time. A page asked
for again keeps to them. Asked for the first time after an entry (``ANEW``, the kept pages and
statistics thrown away before each turn) no page of figures is under four bare pages: the limits say
what was measured, with a margin for a busy machine.
"""

import shutil
import sys

import pytest
from django.core.cache import caches
from django.test import Client, override_settings
from django.utils import timezone

from fittings.config.access import OWNER
from fittings.rates.funnel import _pairs, _point
from fittings.rates.months import _chance_of_side, limits
from fittings.rates.shrinking import _fitted
from fittings.rates.standing_out import fisher, seen
from tests.bench import bare
from tests.bench.busy_house import GARMENTS, BusyHouse
from tests.bench.conftest import seconds
from tests.databases import default_database, sqlite_url
from tests.factories import UserFactory
from tests.review.scenes import MEMORY

BUDGET, GROWTH = 4, 3
ANEW = {
    "/review/": 9,
    "/review/?since=2016-01-01": 24,
    "/review/?by=fault": 60,
    "/review/returns/": 18,
    "/review/cures/": 12,
    "/review/first-fault/": 12,
    "/review/returns/garments/": 9,
    "/review/why/": 46,
    "/review/letter/": 22,
}
# The garments behind a figure hold customers' names: they are asked for each time.
NEVER_KEPT = "/review/returns/garments/"
MEMOISED = (fisher, seen, limits, _chance_of_side, _pairs, _point, _fitted)
TURNS = 7


def forget():
    """As after an entry and a start of the server: no page and no statistic is kept."""
    caches["template_fragments"].clear()
    for kept in MEMOISED:
        kept.cache_clear()


def clients():
    owner = UserFactory(role=OWNER)
    ours, yardstick = Client(), Client()
    for client in (ours, yardstick):
        client.force_login(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware
    return ours, yardstick


def ratios(garments, compare):
    """Address -> bare pages asked for again, and anew, in a house of so many garments."""
    BusyHouse(timezone.now(), garments).load()
    ours, yardstick = clients()
    counted = seconds(lambda: ours.get("/review/"))
    sys.stdout.write(f"\n{garments} garments counted for the first time: {counted:.1f} s\n")

    def ratio(address, how, before):
        def page():
            before()
            return ours.get(address)

        assert page().status_code == 200
        return compare(f"{garments} {how} {address}", page, lambda: yardstick.get("/bare/"), TURNS)

    return {
        address: (ratio(address, "again", lambda: None), ratio(address, "anew", forget))
        for address in ANEW
    }


@pytest.mark.urls("tests.bench.bare")
def test_review_over_ten_years_stays_within_its_bare_pages(
    sqlite_template, tmp_path, django_db_blocker, compare, settings
):
    settings.CACHES = {**settings.CACHES, "template_fragments": MEMORY}
    found = []
    for garments in (GARMENTS // 10, GARMENTS):
        url = sqlite_url(shutil.copy(sqlite_template, tmp_path / f"{garments}.sqlite3"))
        with django_db_blocker.unblock(), default_database(url):
            found.append(ratios(garments, compare))

    few, many = found
    over = {at: again for at, (again, _) in many.items() if again > BUDGET and at != NEVER_KEPT}
    over |= {f"{at} anew": anew for at, (_, anew) in many.items() if anew > ANEW[at]}
    grown = {at: many[at][1] / few[at][1] for at in ANEW if many[at][1] / few[at][1] > GROWTH}
    assert (over, grown) == ({}, {})
