"""A house with two fitters, two rooms, and a customer whose coat is basted."""

import datetime
import re
import uuid
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from django.utils.html import strip_tags

from fittings.diary.services import book_fitting
from fittings.travelling.services import plan_trip
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    RoomFactory,
    UserFactory,
)

LONDON = ZoneInfo("Europe/London")


def at(text):
    """``2030-02-04 10:00`` by the house's clock."""
    return datetime.datetime.fromisoformat(text).replace(tzinfo=LONDON)


def moment(day, time="10:00"):
    at = datetime.time.fromisoformat(time)
    return timezone.make_aware(datetime.datetime.combine(day, at))


def next_monday():
    today = timezone.localdate()
    return today + datetime.timedelta(days=7 - today.weekday())


def monday():
    """A Monday at least eight days from now."""
    return next_monday() + datetime.timedelta(days=7)


def shown(day):
    return f"{day:%A} {day.day} {day:%B}"


def soon(days=7):
    return timezone.localdate() + datetime.timedelta(days=days)


def local(at):
    return timezone.localtime(at).strftime("%Y-%m-%d %H:%M")


def words(html):
    return re.sub(r"\s+", " ", strip_tags(html)).strip()


def errors_of(answer):
    return {name: list(found) for name, found in answer.context["form"].errors.items()}


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


@pytest.fixture
def booked(customer, coat, ansel, front_room):
    """Tobiah's first fitting with Ansel in the front room, next Monday at ten."""
    return BookingFactory(
        customer=customer,
        garments=[coat],
        fitter=ansel,
        room=front_room,
        starts_at=moment(next_monday()),
    )


@pytest.fixture
def typed(customer, coat, ansel, front_room):
    """The booking form as it is sent when nothing is wrong with it."""
    return {
        "entry_id": str(uuid.uuid4()),
        "customer": customer.number,
        "purpose": "first-fitting",
        "garments": [coat.pk],
        "fitter": ansel.pk,
        "room": front_room.pk,
        "date": f"{soon()}",
        "time": "10:00",
        "length": "",
        "note": "",
    }


@pytest.fixture
def plan(ansel, desk):
    """Ansel goes to the Bell in Harwold for a day, an hour and a half away."""

    def make(**values):
        usual = {
            "entry_id": uuid.uuid4(),
            "town": "Harwold",
            "place": "The Bell",
            "address": "2 Quay Street",
            "fitters": [ansel],
            "first": monday(),
            "opens": datetime.time(10),
            "closes": datetime.time(17),
            "there": 90,
            "back": 90,
            "by": desk,
        }
        usual |= values
        return plan_trip(**{"last": usual["first"]} | usual)

    return make


@pytest.fixture
def trip(plan):
    return plan()


@pytest.fixture
def fit(customer, coat, ansel, desk):
    """Book half an hour of Tobiah's with Ansel."""

    def make(starts_at, room, **values):
        usual = {
            "booking_id": uuid.uuid4(),
            "customer": customer,
            "garments": [coat],
            "fitter": ansel,
            "room": room,
            "purpose": "first-fitting",
            "starts_at": starts_at,
            "ends_at": starts_at + datetime.timedelta(minutes=30),
            "by": desk,
        }
        return book_fitting(**usual | values)

    return make
