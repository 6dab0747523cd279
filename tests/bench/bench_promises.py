"""What the pages that plan the work take while 400 garments are in it, in bare Django pages."""

import datetime
from random import Random

import pytest
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from fittings.config.access import OWNER
from fittings.promise import CRAFTS
from tests.bench import bare
from tests.bench.bench_pages import client_of
from tests.factories import CustomerFactory, GarmentFactory, MakerFactory, UserFactory

IN_WORK, MAKERS = 400, 8


@pytest.fixture
def house(db):
    """Eight makers of each craft, 400 garments of all kinds and stages due within five months."""
    rng = Random(1)
    for craft in CRAFTS:
        MakerFactory.create_batch(MAKERS, craft=craft)
    today = timezone.localdate()
    customers = CustomerFactory.create_batch(60)
    return [
        GarmentFactory(
            customer=rng.choice(customers),
            kind=rng.choice(("coat", "coat", "trousers", "waistcoat", "overcoat")),
            ordered_on=today - datetime.timedelta(days=rng.randrange(60)),
            promised_on=today + datetime.timedelta(days=rng.randrange(30, 150)),
        )
        for _ in range(IN_WORK)
    ]


@pytest.mark.urls("tests.bench.bare")
def test_pages_that_plan_the_work_are_told_in_bare_pages(house, compare):
    ours, yardstick = (client_of(UserFactory(role=OWNER)) for _ in range(2))
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")
    garment = house[7]
    pages = {
        "list": reverse("promising:promise_list"),
        "one garment": reverse("promising:promise_detail", args=[garment.number]),
        "order": reverse("promising:earliest") + "?kind=coat",
        "letter": reverse("review:letter_page"),
        "booking": reverse("diary:booking_create") + f"?customer={garment.customer.number}",
        "today": reverse("diary:today"),
    }
    for name, address in pages.items():
        assert ours.get(address).status_code == 200
        compare(name, lambda at=address: ours.get(at), lambda: yardstick.get("/bare/"), turns=5)
