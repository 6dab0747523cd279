import pytest
from django.conf import settings

from tests.hostile.working_house import House


@pytest.fixture
def house(db):
    return House()


@pytest.fixture
def browser(client, house):
    """The owner's: to an owner every page opens."""
    client.force_login(house.owner)
    client.raise_request_exception = False
    client.ticket = client.cookies[settings.SESSION_COOKIE_NAME].value
    return client
