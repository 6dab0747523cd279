import time

import pytest
from django.conf import settings
from django.test import Client

from fittings.accounts import hands, onetime, second
from fittings.models import SecondFactor
from tests.factories import UserFactory

PASSWORD = "chalk-and-thread-7"  # the one that UserFactory gives
PIN = "274915"


@pytest.fixture
def hester(db):
    return UserFactory(role="owner", username="hester", first_name="Hester", last_name="Bray")


@pytest.fixture
def otto(db):
    person = UserFactory(role="fitter", username="otto", first_name="Otto", last_name="Ahlers")
    hands.set_pin(person=person, pin=PIN)
    return person


@pytest.fixture
def tablet(hester):
    """A shared tablet: what its browser is, and its row."""
    row, said = hands.share_tablet(name="Fitting room", by=hester)
    browser = Client()
    browser.row = row
    give(browser, said)
    return browser


def give(browser, said):
    """The cookie that the house gives to a shared tablet."""
    from django.http import HttpResponse

    response = HttpResponse()
    hands.give_cookie(response, said)
    browser.cookies.update(response.cookies)


def sign_in(browser, name="hester", **more):
    said = {"username": name, "password": PASSWORD, **more}
    return browser.post("/people/sign-in/", said)


def by_pin(browser, person, pin=PIN, **more):
    return browser.post("/people/hand/", {"hand-person": person.pk, "hand-pin": pin, **more})


def signed_in(browser):
    return browser.get("/people/here/").json()["user"]


def code_of(person, *, later=0):
    factor = SecondFactor.objects.get(person=person)
    return onetime.code_at(second.seed_of(factor), int(time.time()) + later)


def with_factor(person):
    """Codes for the paper of somebody whose second factor is asked for from now on."""
    second.begin_factor(person=person)
    told = second.confirm_factor(person=person, code=code_of(person))
    SecondFactor.objects.update(last_step=0)  # as if confirmed some time ago
    return told


def session_cookie(browser):
    return browser.cookies[settings.SESSION_COOKIE_NAME].value
