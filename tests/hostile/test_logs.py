"""What the house's log says: who did what to which number, never what was typed."""

import logging

import pytest
from django.urls import reverse

from tests.hostile.filled_forms import NEW_PASSWORD, PASSWORD, filled_forms
from tests.hostile.hand import send, undone

pytestmark = pytest.mark.django_db

TYPED = ["Holloway", "960 777", "ignace@example.org", "Left shoulder low", "Odile", "Mind the"]
SECRET = [PASSWORD, NEW_PASSWORD]


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
