import pytest

from tests.factories import UserFactory
from tests.folios.scenes import live, lived, order_coat, staff


@pytest.fixture
def sign_in(client):
    """Sign the test's client in as somebody of that role; returns the person."""

    def as_role(role):
        person = UserFactory(role=role)
        client.force_login(person)
        return person

    return as_role


@pytest.fixture
def people():
    return staff()


@pytest.fixture
def ordered(people):
    return order_coat(people)


@pytest.fixture
def live_once(people):
    return lambda coat: live(coat, people)


@pytest.fixture
def live_a_season(people):
    return lambda customer: lived(customer, people)
