"""Budget: any screen takes at most four times what a bare Django page takes.

Those that put more together than that are named with what they take at most: they keep no budget,
but do not get slower unseen.
"""

from contextlib import suppress

import pytest
from django.test import Client, override_settings
from django.urls import NoReverseMatch, reverse

from fittings.config.access import OWNER, PAGES
from tests.bench import bare
from tests.e2e.test_every_page import WALKED
from tests.factories import CustomerFactory, UserFactory

BUDGET = 4
OVER = {
    "workroom:ticket_list": 9,
    "workroom:wall": 8,
    "diary:today": 8,
    "diary:day": 8,
    "diary:week": 7,
    "promising:promise_list": 7,
    "housebook:book_page": 6,
    "post:post_list": 6,
    "opendays:calendar_page": 5,
}
# Two answer with a redirect, the other asks for a figure by its name: none is a screen.
NO_SCREEN = {"accounts:password_changed", "lessons:figure_detail", "waiting:waiting_create"}


def pages():
    """The owner's screens that name no row; a row's own page is measured with its room's scenes."""
    for name in WALKED:
        with suppress(NoReverseMatch):
            if OWNER in PAGES[name] and name not in NO_SCREEN:
                yield pytest.param(reverse(name), OVER.get(name, BUDGET), id=name)


def client_of(person):
    client = Client()
    client.force_login(person)
    return client


@pytest.mark.django_db
@pytest.mark.urls("tests.bench.bare")
@pytest.mark.parametrize(("address", "most"), list(pages()))
def test_page_takes_at_most_its_bare_pages(address, most, compare):
    CustomerFactory.create_batch(60)
    owner = UserFactory(role=OWNER)
    ours, yardstick = client_of(owner), client_of(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware

    assert ours.get(address).status_code == 200
    assert compare(address, lambda: ours.get(address), lambda: yardstick.get("/bare/")) <= most
