"""Budget: any screen takes at most four times what a bare Django page takes."""

from contextlib import suppress

import pytest
from django.test import Client, override_settings
from django.urls import NoReverseMatch, reverse

from fittings.config.access import OWNER, PAGES
from tests.bench import bare
from tests.factories import CustomerFactory, UserFactory

BUDGET = 4
# One answers with a redirect, the other is paper: neither is a screen.
MOVES_ON = {"accounts:password_changed", "review:letter_pdf"}


def pages():
    """The owner's pages that name no row; a row's own page is measured with its room's scenes."""
    for name, roles in PAGES.items():
        with suppress(NoReverseMatch):
            if OWNER in roles and name not in MOVES_ON:
                yield pytest.param(reverse(name), id=name)


def client_of(person):
    client = Client()
    client.force_login(person)
    return client


@pytest.mark.django_db
@pytest.mark.urls("tests.bench.bare")
@pytest.mark.parametrize("address", list(pages()))
def test_page_takes_at_most_four_bare_pages(address, compare):
    CustomerFactory.create_batch(60)
    owner = UserFactory(role=OWNER)
    ours, yardstick = client_of(owner), client_of(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware

    assert ours.get(address).status_code == 200
    assert compare(address, lambda: ours.get(address), lambda: yardstick.get("/bare/")) <= BUDGET
