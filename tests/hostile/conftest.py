import pytest
from django.conf import settings
from django.http import HttpResponse

from fittings.accounts.hands import give_cookie
from tests.hostile.working_house import House


@pytest.fixture
def house(db):
    return House()


@pytest.fixture
def browser(client, house):
    """The owner's: to an owner every page opens."""
    client.force_login(house.owner)
    client.raise_request_exception = False
    shared = HttpResponse()
    give_cookie(shared, house.tablet_says)
    client.cookies.update(shared.cookies)
    client.ticket = client.cookies[settings.SESSION_COOKIE_NAME].value
    return client
