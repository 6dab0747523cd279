"""A house whose mail server is set, and a customer with a fitting ahead who agreed to messages."""

import datetime
import uuid

import pytest
from django.utils import timezone

from customers.models import House
from fittings.post.letters import letter_about
from fittings.post.services import write_message
from tests.factories import (
    BookingFactory,
    ConsentFactory,
    CustomerFactory,
    GarmentFactory,
    UserFactory,
)

DAY = datetime.timedelta(days=1)


def by_clock(day, text):
    """``14:30`` of that day by the house's clock."""
    at = datetime.datetime.combine(day, datetime.time.fromisoformat(text))
    return timezone.make_aware(at)


def in_days(days, text="10:00"):
    return by_clock(timezone.localdate() + days * DAY, text)


def noon():
    """A moment at which the house sends, no earlier than now: what waits has come due."""
    return in_days(1, "12:00")


def write(about, kind="confirmation", way="mail", by=None, **values):
    letter = letter_about(kind, about, House.get())
    usual = {"entry_id": uuid.uuid4(), "shown": letter.digest, "way": way, "by": by}
    return write_message(kind=kind, about=about, **usual | values)


def a_booking(days=5, **values):
    """A first fitting in so many days of a customer who agreed to messages."""
    customer = values.pop("customer", None) or CustomerFactory(
        title="Mr", given_name="Tobiah", family_name="Marrowby", email="tobiah@post.example"
    )
    ConsentFactory(customer=customer, kind="messages")
    coat = GarmentFactory(customer=customer, stage="basted")
    fitter = UserFactory(role="fitter", first_name="Ansel", last_name="Wren")
    usual = {"garments": [coat], "fitter": fitter, "starts_at": in_days(days)}
    return BookingFactory(customer=customer, **usual | values)


@pytest.fixture(autouse=True)
def mail_server(settings):
    settings.MAIL_FROM = "post@house.example"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"


@pytest.fixture
def booking(db):
    return a_booking()


@pytest.fixture
def desk(db):
    return UserFactory(role="front of house", first_name="Petra", last_name="Loam")


@pytest.fixture
def owner(db):
    return UserFactory(role="owner")


@pytest.fixture
def at_desk(client, desk):
    client.force_login(desk)
    return client
