import pytest

from tests.factories import UserFactory


@pytest.fixture
def owner(client):
    client.force_login(UserFactory(role="owner"))
    return client
