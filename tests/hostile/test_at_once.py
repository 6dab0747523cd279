"""One form sent four times at the same moment, on SQLite and on PostgreSQL: kept once."""

import threading
from concurrent.futures import ThreadPoolExecutor

from django.conf import settings
from django.db import connection
from django.test import Client
from django.urls import reverse

from tests.hostile.filled_forms import filled_forms
from tests.hostile.hand import rows, send
from tests.hostile.working_house import House, picture

CLIENTS = 4
# Each leaves the others' things alone; how many rows and versions one sending of it makes.
MADE = {
    "accounts:person_create": 2,
    "customers:customer_create": 3,
    "customers:consent_create": 1,
    "garments:garment_update": 2,
    "garments:cut_create": 3,
    "garments:inlay_update": 2,
    "garments:carry_page": 1,
    "garments:line_pass": 1,
    "garments:line_strike": 1,
    "customers:reading_confirm": 1,
    "garments:wish_create": 1,
    "garments:finished_create": 2,
    "garments:plan_page": 1,
    "diary:booking_create": 3,
    "opendays:closure_create": 1,
    "opendays:absence_create": 1,
    "opendays:week_update": 7,
    "post:booking_write": 2,
    "post:wording_update": 1,
    "feeds:feed_renew": 1,
    "session:photograph_create": 1,
    "session:photograph_strike": 1,
    "session:alteration_strike": 1,
    "session:cause_strike": 1,
    "session:spot_answer_strike": 1,
    "session:remark_strike": 1,
    "session:judgement_create": 1,
    "garments:cut_version_create": 3,
    "workroom:answer_create": 1,
    "housebook:row_create": 2,
    "housebook:row_restore": 1,
    # A list's own rows and version go as the ledger's come; all but the void entry go back.
    "bringing:upload_write": 2,
    "bringing:import_take_back": -3,
}


def browser_of(person):
    browser = Client(raise_request_exception=False)
    browser.force_login(person)
    browser.ticket = browser.cookies[settings.SESSION_COOKIE_NAME].value
    return browser


def send_at_once(browsers, address, values):
    """The status each browser was answered with."""
    together = threading.Barrier(CLIENTS)

    def client(browser):
        fresh = {"photograph": picture()} if "photograph" in values else {}
        try:
            connection.ensure_connection()
            together.wait(timeout=30)
            return send(browser, address, values | fresh).status_code
        finally:
            connection.close()

    with ThreadPoolExecutor(CLIENTS) as pool:
        return list(pool.map(client, browsers))


def test_form_sent_four_times_at_once_is_kept_once(either_database):
    house, found = House(), {}
    browsers = [browser_of(house.owner) for _ in range(CLIENTS)]
    for name, where, values in filled_forms(house):
        if name in MADE:
            before = rows()
            codes = send_at_once(browsers, reverse(name, kwargs=where), values)
            made = sum(now - then for now, then in zip(rows(), before, strict=True))
            found[name] = (made, {302} <= set(codes) <= {302, 422})

    assert found == {name: (made, True) for name, made in MADE.items()}
