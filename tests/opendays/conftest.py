"""A house with an owner, a fitter, and a customer booked."""

import uuid

import pytest

from tests.diary.conftest import moment, soon
from tests.factories import BookingFactory, CustomerFactory, GarmentFactory, UserFactory


@pytest.fixture
def owner(db):
    return UserFactory(role="owner", first_name="Hester", last_name="Loam")


@pytest.fixture
def ansel(db):
    return UserFactory(role="fitter", first_name="Ansel", last_name="Wren")


@pytest.fixture
def at_owner(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def booked(ansel):
    """Tobiah's fitting with Ansel in ten days, at ten."""
    customer = CustomerFactory(given_name="Tobiah", family_name="Marrowby", title="")
    return BookingFactory(
        customer=customer,
        garments=[GarmentFactory(customer=customer, stage="basted")],
        fitter=ansel,
        starts_at=moment(soon(10)),
    )


def tap(**values):
    return {"entry_id": str(uuid.uuid4()), **values}
