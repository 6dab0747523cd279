"""Every form and address of the house under a hostile or careless hand.

Whatever is sent: no failure inside, nothing kept of what is refused, no script that runs. What each
room says beside which field is tried in the room's own tests.
"""

import uuid
from itertools import cycle
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.test import Client
from django.urls import resolve, reverse

from fittings.config.access import PAGES, PUBLIC
from tests.hostile.filled_forms import filled_forms, standing_addresses
from tests.hostile.hand import HALF, URLENCODED, close, rows, send, told, undone

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
SCRIPT = "<script>alert(1)</script>"
LARGEST = 1_900_000  # of a whole body, just below what Django takes
HOSTILE = {
    "empty": "",
    "script": SCRIPT,
    "wrong type": "x",
    "NUL": "a\0b",
    "half a character": HALF,
    "control characters": "a\x01\x0b\x85\u2028\u202e\r\nb",
    "emoji": "🧵👩🏽‍🦽",
    "400 nines": "9" * 400,
    "5000 nines": "9" * 5000,
    "beyond 64 bits": str(2**64),
    "below nothing": "-1",
    "not a number": "nan",
    "day zero": "0000-00-00",
    "first day": "0001-01-01",
    "last day": "9999-12-31",
    "short day": "1-1-1",
    "array": "[1, 2]",
    "unknown id": str(uuid.UUID(int=7)),
    "code": "' OR 1=1; -- ../../etc/passwd {{ 7|add:7 }}{% debug %}{0.__class__}%s",
}
# What no form of the house minded yet, or minds as it does its like: left to the long tests.
SELDOM = {"half a character", "5000 nines", "emoji", "array", "unknown id"}
# The rest of it is sent in one field at a time, below.
IN_EVERY_FIELD = """empty,script,wrong type,NUL,half a character,emoji,400 nines,5000 nines,array,
last day,unknown id""".replace("\n", "").split(",")
# What addresses ask for after the question mark, in all rooms.
ASKED = """answers booking by customer cut cutter date day fitter for garment garments kind next one
other page purpose q room since state take time unit until"""
UNKNOWN = {
    "pk": [uuid.UUID(int=7), 10**30, 0],
    "entry": [uuid.UUID(int=7)],
    "number": ["C9999-9", "G1-0", "T1-0"],
    "revision": [0, 10**30],
    "table": ["none"],
    "key": ["nought", "a\0b", "9" * 500],
    "kind": ["cape"],
    "token": ["nought", "A" * 43, "a\0b"],
    "sheet": ["none"],
    "stage": ["none", "cloth "],
}


def what_went_wrong(browser, address, values, **options):
    """Why an answer is not as it should be; empty when it is."""
    with undone():
        before = rows()
        answer = send(browser, address, values, **options)
        kept = rows() != before
    if answer.status_code >= 500:
        return f"{answer.status_code}"
    if answer.status_code >= 400 and kept:
        return f"{answer.status_code}, and yet something was kept"
    return "a script that runs" if b"<script>alert" in answer.content else ""


def content_of(answer):
    """All of an answer, its file closed."""
    body = answer.getvalue()
    close(answer)
    return body


def test_every_filled_form_is_kept(browser, house):
    kept = []
    for name, where, values in filled_forms(house):
        with undone():
            kept.append((name, send(browser, reverse(name, kwargs=where), values).status_code))

    assert [entry for entry in kept if entry[1] != 302] == []


def test_every_address_that_takes_a_form_is_tried(browser, house):
    tried = {name for name, _, _ in filled_forms(house)}
    taking = set()
    for name, address in standing_addresses(house).items():
        with undone():
            if send(browser, address, {}).status_code != 405:
                taking.add(name)

    assert tried == taking


@pytest.mark.parametrize(
    "hostile",
    [
        pytest.param(name, marks=[pytest.mark.long] if name in SELDOM else [])
        for name in IN_EVERY_FIELD
    ],
)
def test_form_full_of_it_is_refused_or_kept_whole(browser, house, hostile):
    found = []
    for number, (name, where, values) in enumerate(filled_forms(house)):
        headers = HTMX if number % 2 else {}
        full = dict.fromkeys(values, HOSTILE[hostile])
        wrong = what_went_wrong(browser, reverse(name, kwargs=where), full, headers=headers)
        found.append((name, wrong))

    assert told(found) == []


@pytest.mark.long
@pytest.mark.parametrize("shift", [0, 7])
def test_one_field_of_it_among_good_ones_is_no_failure(browser, house, shift):
    hostile, found = cycle(HOSTILE.values()), []
    for _ in range(shift):
        next(hostile)
    for name, where, values in filled_forms(house):
        address = reverse(name, kwargs=where)
        for field, value in values.items():
            worse = next(hostile)
            # Sent twice, the last one counts, unless the field takes many.
            spoilt = values | {field: [value, worse] if isinstance(value, str) else worse}
            found.append((name, field, worse, what_went_wrong(browser, address, spoilt)))

    assert told(found) == []


def test_form_with_nothing_or_with_json_keeps_nothing(browser, house):
    found = []
    for name, where, _ in filled_forms(house):
        for body, kind in (("", URLENCODED), ('{"entry_id": [1]}', "application/json")):
            with undone():
                before = rows()
                browser.cookies[settings.SESSION_COOKIE_NAME] = browser.ticket
                answer = browser.post(reverse(name, kwargs=where), body, content_type=kind)
                found.append((name, answer.status_code >= 500 or rows() != before))

    assert told(found) == []


def test_form_of_two_megabytes_is_refused(browser, house):
    found = []
    for name, where, values in filled_forms(house):
        each = "x" * (LARGEST // max(len(values), 1))
        long = dict.fromkeys(values, each)
        found.append((name, what_went_wrong(browser, reverse(name, kwargs=where), long)))

    assert told(found) == []


@pytest.mark.parametrize(
    "hostile",
    [
        "script",
        "last day",
        pytest.param("half a character", marks=pytest.mark.long),
        pytest.param("5000 nines", marks=pytest.mark.long),
    ],
)
def test_address_that_asks_for_it_is_answered(browser, house, hostile):
    asked = urlencode(dict.fromkeys(ASKED.split(), HOSTILE[hostile]), errors="surrogatepass")
    found = []
    for name, address in standing_addresses(house).items():
        answer = browser.get(f"{address}?{asked}", headers=HTMX)
        body = content_of(answer)
        found.append((name, answer.status_code >= 500 or b"<script>alert" in body))

    assert told(found) == []


def test_words_once_kept_are_words_on_every_page(browser, house):
    free = {"note", "notes", "reason", "why", "cloth", "caption", "wording", "address"}
    kept, seen, shown = [], [], []
    for name, where, values in filled_forms(house):
        spoken = {field: SCRIPT for field in values if field in free}
        if (
            spoken
            and send(browser, reverse(name, kwargs=where), values | spoken).status_code == 302
        ):
            kept.append(name)
    for name, address in standing_addresses(house).items():
        body = content_of(browser.get(address))
        seen += [name] if b"<script>alert" in body else []
        shown += [name] if b"&lt;script&gt;alert(1)" in body else []

    assert (seen, len(kept) > 12, len(shown) > 6) == ([], True, True)


def test_unknown_names_in_addresses_are_not_found(browser, house):
    found = []
    known = standing_addresses(house)
    for name in PAGES:
        where = resolve(known[name]).kwargs
        for part in where:
            for other in UNKNOWN[part]:
                if isinstance(other, uuid.UUID) is isinstance(where[part], uuid.UUID):
                    address = reverse(name, kwargs=where | {part: other})
                    codes = {browser.get(address).status_code, browser.post(address).status_code}
                    found.append((name, part, other, codes - {404, 405}))

    assert told(found) == []


def test_other_methods_than_its_own_are_refused(browser, house):
    found = []
    for name, address in standing_addresses(house).items():
        hand = Client() if PAGES[name] == PUBLIC else browser
        codes = {
            hand.generic(method, address).status_code for method in ("DELETE", "PATCH", "TRACE")
        }
        found.append((name, codes - {405}))

    assert told(found) == []


def test_form_without_its_token_keeps_nothing(house):
    stranger = Client(enforce_csrf_checks=True)
    stranger.force_login(house.owner)
    before, found = rows(), []
    for name, where, values in filled_forms(house):
        for headers in ({}, HTMX):
            answer = stranger.post(reverse(name, kwargs=where), values, headers=headers)
            found.append((name, answer.status_code != 403))

    assert (told(found), rows()) == ([], before)
