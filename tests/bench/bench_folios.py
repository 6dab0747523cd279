"""Budget: four bare pages a screen. A garment's folio, everything of it at once, is over it."""

import pytest
from django.test import Client, override_settings

from customers import points
from fittings.config.access import OWNER
from tests.bench import bare
from tests.factories import CustomerFactory, MeasurementSetFactory, UserFactory
from tests.folios.scenes import live, lived, order_coat, staff

# Measured 3.9 (four full sets, two seasons) and 6.7 (some fifty events in one piece, 33 queries).
BUDGET = {"customer": 5, "garment": 8}


@pytest.fixture
def addresses():
    """A customer of two seasons with four full sets, and a coat of two rounds, among fifty."""
    people = staff()
    coats = [order_coat(people) for _ in range(50)]
    customer = CustomerFactory()
    whole = {(point.key, side): 30 for point in points.POINTS for side in point.sides}
    for _ in range(2):
        live(coats[0], people)
        lived(customer, people)
        MeasurementSetFactory.create_batch(2, customer=customer, measures=whole)
    return {"garment": coats[0].get_absolute_url(), "customer": customer.get_absolute_url()}


@pytest.mark.django_db
@pytest.mark.urls("tests.bench.bare")
@pytest.mark.parametrize("page", list(BUDGET))
def test_folio_stays_within_its_bare_pages(addresses, page, compare):
    owner = UserFactory(role=OWNER)
    ours, yardstick = Client(), Client()
    for client in (ours, yardstick):
        client.force_login(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware

    address = addresses[page]
    assert ours.get(address).status_code == 200
    ratio = compare(address, lambda: ours.get(address), lambda: yardstick.get("/bare/"))
    assert ratio <= BUDGET[page]
