"""What every answer carries, and which requests are refused before a page sees them.

After OWASP ASVS 5.0.0: 3.4.3 content security policy, 3.4.4 nosniff, 3.4.6 frame-ancestors, 14.3.2
no-store, 16.5.x errors without insides. How much a request may bring is the house's own rule.
"""

import io

import pytest
from django.db import OperationalError
from django.test import Client
from django.urls import reverse

from fittings.config.middleware import MOST_BYTES, PIECE
from fittings.models import Room
from tests.factories import UserFactory
from tests.hostile.filled_forms import standing_addresses
from tests.hostile.hand import close
from tests.hostile.working_house import House

pytestmark = pytest.mark.django_db

POLICY = {
    **dict.fromkeys(("script-src", "style-src", "img-src", "font-src"), "'self'"),
    **dict.fromkeys(("connect-src", "form-action", "manifest-src"), "'self'"),
    "worker-src": "'self'",
    **dict.fromkeys(("default-src", "base-uri", "object-src", "frame-ancestors"), "'none'"),
}
PLAIN = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
SANDBOX = {"sandbox": "", "default-src": "'none'"}
PICTURES = {"session:photograph", "session:thumbnail"}
ROOMS = "/diary/rooms/"


def policy_of(answer):
    parts = (part.strip().partition(" ") for part in answer["Content-Security-Policy"].split(";"))
    return {name: value for name, _, value in parts}


@pytest.fixture
def owner():
    return UserFactory(role="owner", username="hester")


@pytest.fixture
def browser(client, owner):
    """The owner's, answered even when something fails inside."""
    client.force_login(owner)
    client.raise_request_exception = False
    return client


def test_every_address_answers_with_policy_and_without_copies(client):
    house, wrong = House(), []
    client.force_login(house.owner)
    for name, address in standing_addresses(house).items():
        answer = client.get(address)
        wanted = SANDBOX if name in PICTURES else POLICY
        kept = "no-store" in answer["Cache-Control"] and "private" in answer["Cache-Control"]
        plain = tuple(answer[name] for name in PLAIN)
        if (policy_of(answer), kept, plain) != (wanted, True, tuple(PLAIN.values())):
            wrong.append((name, answer.status_code, dict(answer.headers)))
        close(answer)

    assert wrong == []


@pytest.mark.parametrize(
    ("method", "address", "options", "status"),
    [
        ("get", "/nowhere/", {}, 404),
        ("get", "/workroom/%00/", {}, 404),
        ("delete", "/", {}, 405),
        ("get", "/", {"headers": {"host": "elsewhere.example"}}, 400),
        ("post", ROOMS, {"data": "name=" + "x" * 3_000_000}, 400),
        ("post", ROOMS, {"data": "&".join(f"f{n}=1" for n in range(2001))}, 400),
        ("post", ROOMS, {"data": "x" * 9, "content_type": "multipart/form-data"}, 400),
        (
            "post",
            ROOMS,
            {"data": "name=x", "headers": {"content-length": f"{MOST_BYTES + 1}"}},
            413,
        ),
        ("post", ROOMS, {"data": "name=x", "headers": {"content-length": "-1"}}, 413),
    ],
)
def test_error_carries_the_policy_and_no_insides(browser, method, address, options, status):
    usual = {"content_type": "application/x-www-form-urlencoded"} if "data" in options else {}
    rooms = Room.objects.count()

    answer = getattr(browser, method)(address, **(usual | options))

    assert (answer.status_code, policy_of(answer)) == (status, POLICY)
    assert [word for word in (b"Traceback", b"site-packages") if word in answer.content] == []
    assert Room.objects.count() == rooms


def test_refused_body_is_read_to_its_end(browser):
    """Or the server hangs up on who still sends, and a proxy answers 502 in our place."""
    sent = io.BytesIO(bytes(3 * PIECE + 1))
    kind = "multipart/form-data; boundary=XX"
    length = {"wsgi.input": sent, "CONTENT_LENGTH": str(3 * PIECE + 1), "HTTP_KEPT_BY": "0"}

    answer = browser.generic("POST", ROOMS, b"", kind, **length, CONTENT_TYPE=kind)

    assert (answer.status_code, sent.tell()) == (412, 3 * PIECE + 1)


@pytest.mark.parametrize(
    "charset", ["utf-7", "unicode_escape", "rot13", "idna", "utf-16", "latin-1"]
)
def test_body_in_another_charset_is_refused_unread(browser, charset):
    # In UTF-7 and in unicode_escape these bytes are half a character, which no database keeps.
    body = b'--XX\r\nContent-Disposition: form-data; name="name"\r\n\r\na+2AA-\\ud800\r\n--XX--\r\n'
    kind = f"multipart/form-data; boundary=XX; charset={charset}"

    answer = browser.generic("POST", ROOMS, body, content_type=kind)

    assert (answer.status_code, policy_of(answer)) == (415, POLICY)
    assert answer.content == b"Nothing was kept: the ledger reads UTF-8 alone."


def test_half_a_character_is_kept_as_a_sign_for_none(browser):
    kind = "multipart/form-data; boundary=XX; charset=UTF-8"
    head = b'--XX\r\nContent-Disposition: form-data; name="name"\r\n\r\nLong '

    browser.generic("POST", ROOMS, head + b"\xed\xa0\x80 room\r\n--XX--\r\n", content_type=kind)

    assert Room.objects.filter(name="Long \ufffd\ufffd\ufffd room").count() == 1


def test_failure_is_told_though_the_database_is_gone(browser, monkeypatch):
    def gone(*_, **__):
        raise OperationalError("disk I/O error: ledger.sqlite3")

    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.load", gone)

    answer = browser.get("/")

    assert (answer.status_code, policy_of(answer)) == (500, POLICY)
    assert b"Something failed on our side" in answer.content
    assert b"sqlite" not in answer.content


def test_way_to_the_next_page_is_not_kept_by_any_cache(browser):
    answer = browser.post(ROOMS, {"name": "Long room"}, headers={"HX-Request": "true"})

    assert (answer["HX-Redirect"], policy_of(answer)) == (ROOMS, POLICY)
    assert "no-store" in answer["Cache-Control"]


@pytest.mark.parametrize("header", ["X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"])
def test_method_is_the_one_that_was_sent(browser, header):
    answer = browser.get(f"{ROOMS}?_method=POST&name=x", headers={header: "POST"})

    assert (answer.status_code, Room.objects.filter(name="x").count()) == (200, 0)


@pytest.mark.parametrize("name", ["accounts:sign_in", "accounts:sign_out", "contrast"])
@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://elsewhere.example/",
        "//elsewhere.example/",
        "/\\elsewhere.example/",
        "\\\\elsewhere.example",
        "https:elsewhere.example",
        "javascript:alert(1)",
        " //elsewhere.example",
        "\t//elsewhere.example",
        "http://testserver@elsewhere.example/",
    ],
)
def test_next_page_is_never_elsewhere(browser, name, elsewhere):
    signing_in = {"username": "hester", "password": "chalk-and-thread-7", "contrast": "high"}
    browser.logout()

    answer = browser.post(reverse(name), signing_in | {"next": elsewhere})

    at_home = {"/", reverse("accounts:sign_in")}
    assert (answer.status_code, answer.url in at_home) == (302, True)


def test_form_of_another_site_is_refused(owner):
    stranger = Client(enforce_csrf_checks=True)
    stranger.force_login(owner)

    answer = stranger.post(
        ROOMS, {"name": "Long room"}, headers={"origin": "https://elsewhere.example"}
    )

    assert (answer.status_code, policy_of(answer)) == (403, POLICY)
    assert Room.objects.filter(name="Long room").exists() is False
