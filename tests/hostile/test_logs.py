"""What the house's log says: who did what to which number, never what was typed."""

import logging
import time

import pytest
from django.conf import settings
from django.urls import reverse

from fittings.accounts import onetime
from fittings.accounts.second import begin_factor, seed_of
from fittings.models import SecondFactor
from tests.hostile.filled_forms import NEW_PASSWORD, NEW_PIN, PASSWORD, PIN, filled_forms
from tests.hostile.hand import send, undone

pytestmark = pytest.mark.django_db

TYPED = ["Holloway", "960 777", "ignace@example.org", "Left shoulder low", "Odile", "Mind the"]
SECRET = [PASSWORD, NEW_PASSWORD, PIN, NEW_PIN]


def test_log_holds_nothing_that_was_typed(browser, house, caplog):
    caplog.set_level(logging.DEBUG)
    for name, where, values in filled_forms(house):
        for spoilt in ({}, {"entry_id": "x", "version": "x", "kind": "x", "next": "//x"}):
            with undone():
                send(browser, reverse(name, kwargs=where), values | spoilt)
    browser.get("/customers/", {"q": "Holloway" * 20})
    browser.get("/customers/", {"q": "Holloway"}, headers={"host": "elsewhere.example"})

    log = caplog.text
    known = [house.here.customer.family_name, house.here.customer.phone, house.owner.username]
    assert [word for word in (*TYPED, *SECRET, *known) if word in log] == []
    assert "registered by user" in log


def test_sign_in_is_logged_without_name_or_password(client, house, caplog):
    caplog.set_level(logging.INFO)
    client.post("/people/sign-in/", {"username": "hester", "password": "Hester's dog"})
    client.post("/people/sign-in/", {"username": PASSWORD, "password": "hester"})
    client.post("/people/sign-in/", {"username": "hester", "password": PASSWORD})
    client.post("/people/sign-out/")

    said = [row.getMessage() for row in caplog.records if row.name == "ledger.accounts"]
    assert said == [
        "sign-in refused from 127.0.0.1",
        "sign-in refused from 127.0.0.1",
        f"signed in user={house.owner.pk} from 127.0.0.1",
        f"signed out user={house.owner.pk} from 127.0.0.1",
    ]


def test_no_key_of_the_house_comes_into_the_log(browser, house, caplog):
    """Seeds, one-time codes, codes on paper, what a tablet's cookie says, the session's own key."""
    caplog.set_level(logging.DEBUG)
    begin_factor(person=house.owner)
    factor = SecondFactor.objects.get(person=house.owner)
    code = onetime.code_at(seed_of(factor), int(time.time()))
    page = "/people/keys/second-factor/"
    for said in (code, "000000", code):
        browser.post(page, {"do": "confirm", "code": said})
    paper = browser.get(page).context["paper"]
    browser.post("/people/sign-out/")
    browser.post("/people/sign-in/", {"username": "hester", "password": PASSWORD})
    for said in (paper[0], "A" * 24, "000000", code):
        browser.post("/people/second-step/", {"code": said})
    browser.get("/people/second-step/", {"next": "/"}, headers={"host": "elsewhere.example"})

    log = caplog.text
    keys = [code, *paper, *(each.replace(" ", "") for each in paper), factor.salt, browser.ticket]
    keys += [house.tablet_says, house.tablet_says.partition(":")[2], settings.SECRET_KEY]
    assert [key for key in keys if key in log] == []
    assert f"paper code used user={house.owner.pk}" in log
