"""A house with two fitters, two rooms, and a customer whose coat is basted."""

import datetime
from zoneinfo import ZoneInfo

import pytest

from tests.factories import CustomerFactory, GarmentFactory, RoomFactory, UserFactory

LONDON = ZoneInfo("Europe/London")


def at(text):
    """``2030-02-04 10:00`` by the house's clock."""
    return datetime.datetime.fromisoformat(text).replace(tzinfo=LONDON)


@pytest.fixture
def ansel(db):
    return UserFactory(role="fitter", first_name="Ansel", last_name="Wren")


@pytest.fixture
def odile(db):
    return UserFactory(role="fitter", first_name="Odile", last_name="Fennimore")


@pytest.fixture
def desk(db):
    return UserFactory(role="front of house", first_name="Petra", last_name="Loam")


@pytest.fixture
def front_room(db):
    return RoomFactory(name="Front room")


@pytest.fixture
def back_room(db):
    return RoomFactory(name="Back room")


@pytest.fixture
def customer(db):
    return CustomerFactory(given_name="Tobiah", family_name="Marrowby")


@pytest.fixture
def coat(customer):
    return GarmentFactory(customer=customer, stage="basted")


@pytest.fixture
def at_desk(client, desk):
    client.force_login(desk)
    return client
