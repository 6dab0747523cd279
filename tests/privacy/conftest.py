"""The owner, and one customer with something in every table."""

import pytest

from tests.factories import UserFactory
from tests.privacy.person import erase_now, furnish


@pytest.fixture
def data(tmp_path, settings):
    """A data folder of the test's own, with its photographs."""
    settings.DATA_DIR = tmp_path / "data"
    settings.MEDIA_ROOT = tmp_path / "data" / "photographs"
    settings.DATA_DIR.mkdir()
    return settings.DATA_DIR


@pytest.fixture
def owner(db):
    return UserFactory(role="owner")


@pytest.fixture
def person(db, data, owner):
    return furnish(owner)


@pytest.fixture
def erase(owner):
    return lambda customer, **values: erase_now(customer, owner, **values)
