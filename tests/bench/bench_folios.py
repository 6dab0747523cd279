"""Budget: the folios take at most four bare pages."""

import pytest
from django.test import Client, override_settings

from fittings.config.access import OWNER
from tests.bench import bare
from tests.factories import CustomerFactory, UserFactory
from tests.folios.scenes import live, lived, order_coat, staff

BUDGET = 4


@pytest.fixture
def addresses():
    """A customer of two seasons and a coat of two rounds among fifty others."""
    people = staff()
    coats = [order_coat(people) for _ in range(50)]
    customer = CustomerFactory()
    for _ in range(2):
        live(coats[0], people)
        lived(customer, people)
    return {"garment": coats[0].get_absolute_url(), "customer": customer.get_absolute_url()}


@pytest.mark.django_db
@pytest.mark.urls("tests.bench.bare")
@pytest.mark.parametrize("page", ["customer", "garment"])
def test_folio_takes_at_most_four_bare_pages(addresses, page, compare):
    owner = UserFactory(role=OWNER)
    ours, yardstick = Client(), Client()
    for client in (ours, yardstick):
        client.force_login(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware

    address = addresses[page]
    assert ours.get(address).status_code == 200
    assert compare(address, lambda: ours.get(address), lambda: yardstick.get("/bare/")) <= BUDGET
