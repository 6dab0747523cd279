import pytest

from tests.factories import UserFactory


@pytest.fixture
def sign_in(client):
    """Sign the test's client in as somebody of that role; returns the person."""

    def as_role(role):
        person = UserFactory(role=role)
        client.force_login(person)
        return person

    return as_role


@pytest.fixture
def errors_of():
    """The messages beside each field of the form a page shows."""

    def read(response):
        return {name: list(errors) for name, errors in response.context["form"].errors.items()}

    return read
