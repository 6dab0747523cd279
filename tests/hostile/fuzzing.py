"""Requests drawn by a seed: over all addresses, by every role and by nobody, of every kind.

Most are nearly right: a real address, a real form with one or two of its values spoilt. What is all
nonsense never gets far; the rest of it is here all the same.
"""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote, urlencode

from django.conf import settings
from django.http import HttpResponse
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart
from django.urls import NoReverseMatch, resolve, reverse

from fittings.config.access import EVERYONE, PAGES, ROLES
from tests.factories import UserFactory
from tests.hostile.filled_forms import filled_forms, standing_addresses
from tests.hostile.hand import HALF, URLENCODED, close, rows, undone
from tests.hostile.test_nonsense import ASKED, HOSTILE, UNKNOWN

NOBODY = "nobody"
HANDS = (*ROLES, NOBODY)
METHODS = ("GET",) * 9 + ("POST",) * 9 + ("HEAD", "OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "X")
LETTERS = "aZ09 .,-/\\'\"<>&%;:=+?#½⅜″é🧵\u202e\u0301\ufeff\uffff\t\n\r\0\x1b"
GOOD = (
    "",
    "1",
    "2",
    "0",
    "2026-02-03",
    "2026-02",
    "10:30",
    "coat",
    "trousers",
    "owner",
    "all",
    "L",
)
HEADERS: dict[str, tuple[str, ...]] = {
    "HX-Request": ("true", "false", "x"),
    "HX-Target": ("main", "found", "<b>", "x" * 3000),
    "HX-Current-URL": ("/", "http://[", "%ff"),
    "HX-Boosted": ("true",),
    "Kept-By": ("1", "0", "-1", "9" * 40, "x", "½"),
    "Accept": ("application/json", "*/*;q=x", ""),
    "Accept-Language": ("tlh", "en;q=9", "x" * 600, "*-*"),
    "Accept-Encoding": ("gzip", "br;q=a", "identity;q=0"),
    "Accept-Charset": ("utf-7",),
    "Content-Encoding": ("gzip", "x"),
    "Content-Length": ("-1", "x", "99999999999", "0"),
    "Cookie": ("x", "=;=;", "csrftoken=" + "x" * 5000, "contrast=<b>", "messages=x:y:z"),
    "Host": ("testserver", "elsewhere.example", "[", "testserver:x", ""),
    "If-Modified-Since": ("yesterday", "Sun, 06 Nov 1994 08:49:37 GMT", "x, 99 Foo 0000"),
    "If-None-Match": ('"x"', "*", '"', 'W/"'),
    "If-Match": ("*", "x"),
    "Origin": ("null", "https://elsewhere.example", "x"),
    "Range": ("bytes=0-0", "bytes=9-1", "bytes=-x", "rows=1-2"),
    "Referer": ("http://[", "//", "x", "http://testserver/\u00e9"),
    "User-Agent": ("", "x" * 2000, "\u00ff"),
    "X-Forwarded-For": ("x", "1.2.3.4, 5", "::"),
    "X-Forwarded-Host": ("elsewhere.example",),
    "X-Forwarded-Proto": ("https", "x"),
    "X-HTTP-Method-Override": ("DELETE",),
    "X-Requested-With": ("XMLHttpRequest",),
    "Transfer-Encoding": ("chunked",),
}
KINDS = (
    URLENCODED,
    MULTIPART_CONTENT,
    "multipart/form-data",
    "multipart/form-data; boundary=" + "x" * 300,
    "application/json",
    "text/plain",
    "application/octet-stream",
    f"{URLENCODED}; charset=utf-16",
    f"{URLENCODED}; charset=x",
    f"{MULTIPART_CONTENT}; charset=utf-7",
    "x",
    "",
)


@dataclass
class Asked:
    """One request, as it goes out."""

    who: str
    method: str
    page: str
    path: str
    query: str = ""
    body: bytes = b""
    kind: str = URLENCODED
    headers: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        size = f"{len(self.body)} bytes as {self.kind[:60]}" if self.body else "nothing"
        return (
            f"{self.who}: {self.method} {self.path[:120]!r} ?{self.query[:160]!r}, {size}"
            f" {self.body[:300]!r}, {self.headers}"
        )


class Fuzz:
    """Draws requests for a house and sends them; each leaves the house as it was."""

    def __init__(self, house: Any) -> None:
        self.here, self.there = standing_addresses(house), standing_addresses(house, house.there)
        self.forms: dict[str, list[dict]] = {}
        for visitor in (house.here, house.there):
            for name, _, values in filled_forms(house, visitor):
                self.forms.setdefault(name, []).append(values)
        self.last = 0  # what the last request was answered with
        self.browsers = {NOBODY: Client(raise_request_exception=False)}
        self.tickets = {NOBODY: ""}
        for role in ROLES:
            browser = Client(raise_request_exception=False)
            browser.force_login(UserFactory(role=role))
            self.browsers[role] = browser
            self.tickets[role] = browser.cookies[settings.SESSION_COOKIE_NAME].value

    def draw(self, seed: int, count: int) -> Iterator[Asked]:
        dice = random.Random(seed)
        for _ in range(count):
            page = dice.choice(list(PAGES))
            # What is refused for who asks, or for a header, never gets to the page.
            hand = dice.choice(sorted(PAGES[page] & EVERYONE) or HANDS)
            hand = hand if dice.random() < 0.7 else dice.choice(HANDS)
            asked = Asked(hand, dice.choice(METHODS), page, self._path(dice, page))
            if dice.random() < 0.5:
                asked.query = _query(dice)
            if asked.method not in {"GET", "HEAD"} or dice.random() < 0.05:
                asked.body, asked.kind = self._body(dice, page)
            names = dice.sample(list(HEADERS), dice.choice((0, 0, 0, 0, 1, 3)))
            asked.headers = {name: dice.choice(HEADERS[name]) for name in names}
            yield asked

    def _path(self, dice: random.Random, page: str) -> str:
        path = dice.choice((self.here, self.here, self.there))[page]
        where, kind = resolve(path).kwargs, dice.random()
        if where and kind < 0.25:
            part = dice.choice(list(where))
            other = dice.choice([*UNKNOWN[part], resolve(self.there[page]).kwargs[part]])
            try:
                path = reverse(page, kwargs=where | {part: other})
            except NoReverseMatch:
                path = path.replace(str(where[part]), quote(str(other)), 1)
        elif kind < 0.35:
            parts = path.split("/")
            parts[dice.randrange(len(parts))] = quote(_text(dice), safe="%/")
            path = "/".join(parts)
        elif kind < 0.4:
            path += dice.choice(("/", "%00", "..", "%2e%2e/", "?", "%ff", ".csv", "x" * 3000))
        return path if path.startswith("/") else f"/{path}"

    def _body(self, dice: random.Random, page: str) -> tuple[bytes, str]:
        known = self.forms.get(page)
        values = dict(dice.choice(known)) if known else {}
        for _ in range(dice.choice((0, 1, 1, 2, 4))):
            name = dice.choice([*values, *ASKED.split()]) if dice.random() < 0.9 else _text(dice)
            values[name] = _value(dice, values.get(name))
            if dice.random() < 0.15:
                del values[name]
        if any(hasattr(value, "seek") for value in values.values()) and dice.random() < 0.7:
            return _multipart(values), MULTIPART_CONTENT
        shape = dice.random()
        if shape < 0.6:
            plain = {name: value for name, value in values.items() if not hasattr(value, "seek")}
            return urlencode(plain, doseq=True, errors="surrogatepass").encode(), URLENCODED
        if shape < 0.8:
            return _multipart(values), MULTIPART_CONTENT
        if shape < 0.85:
            return json.dumps({name: str(value) for name, value in values.items()}).encode(), "json"
        noise = dice.randbytes(dice.choice((1, 40, 3000)))
        boundary = f"--{BOUNDARY}\r\n".encode()
        return dice.choice((noise, boundary + noise, _multipart(values)[:-30])), dice.choice(KINDS)

    def send(self, asked: Asked) -> str:
        """What went wrong, empty when nothing did."""
        browser = self.browsers[asked.who]
        browser.cookies[settings.SESSION_COOKIE_NAME] = self.tickets[asked.who]
        with undone():
            before = rows()
            answer = browser.generic(
                asked.method,
                asked.path,
                asked.body,
                content_type=asked.kind,
                headers=asked.headers,
                QUERY_STRING=asked.query,
            )
            body = answer.getvalue()
            close(answer)
            kept = rows() != before
        self.last = answer.status_code
        return _wrong(asked, answer, body, kept=kept)


def _wrong(asked: Asked, answer: HttpResponse, body: bytes, *, kept: bool) -> str:
    if answer.status_code >= 500:
        error = (getattr(answer, "exc_info", None) or (None, None))[1]
        return f"{answer.status_code} {asked.page} {error!r:.300}"
    if kept and (answer.status_code >= 400 or asked.who == NOBODY):
        return f"{answer.status_code} {asked.page}, and yet something was kept"
    return f"{asked.page}: a script that runs" if b"<script>alert" in body else ""


def _text(dice: random.Random) -> str:
    return "".join(dice.choices(LETTERS, k=dice.choice((1, 3, 12, 60))))


def _value(dice: random.Random, before: Any) -> Any:
    kind = dice.random()
    if kind < 0.4:
        return dice.choice(list(HOSTILE.values()))
    if kind < 0.6:
        return _text(dice)
    if kind < 0.8:
        return dice.choice(GOOD)
    if kind < 0.9:
        return [before if isinstance(before, str) else "1", *dice.choices(GOOD, k=3)]
    return str(dice.randint(-(2**70), 2**70))


def _query(dice: random.Random) -> str:
    if dice.random() < 0.1:
        return dice.choice(("%", "%ff=%fe", "&&&=", "a[]=1;b", "=".join("abc"), "%00", "x" * 5000))
    names = dice.choices(ASKED.split(), k=dice.choice((1, 2, 3, 6)))
    pairs = [(name, _value(dice, None)) for name in names]
    return urlencode(pairs, doseq=True, errors="surrogatepass")


def _multipart(values: dict[str, Any]) -> bytes:
    for value in values.values():
        if hasattr(value, "seek"):
            value.seek(0)
    # A test client cannot write half a character; as a form it is tried above.
    plain = {
        name.replace(HALF, "?"): value if hasattr(value, "seek") else _whole(value)
        for name, value in values.items()
        if value is not None
    }
    return encode_multipart(BOUNDARY, plain)


def _whole(value: Any) -> Any:
    if isinstance(value, list):
        return [_whole(one) for one in value]
    return str(value).encode("utf-8", "replace").decode()
