"""The deploy page of DEVELOPERS.md holds: its unit's commands and its nginx are run as they stand.

A client here sits at 127.0.0.2, so that its address is not the proxy's.
"""

import http.client
import socket
import ssl
import uuid
from contextlib import closing
from http.cookies import SimpleCookie
from urllib.parse import urlencode

import pytest
from django.conf import global_settings
from django.test import override_settings
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart
from django.utils import timezone

from fittings import catalogue
from fittings.feeds.services import renew_feed
from fittings.models import Observation, Photograph
from fittings.session.photographs import MOST_BYTES
from tests.atwork.browser import URLENCODED
from tests.databases import default_database, sqlite_url
from tests.deployed import NAME, deployed
from tests.factories import ConsentFactory, FittingFactory, UserFactory
from tests.hostile.working_house import picture
from tests.session.conftest import garment_of

pytestmark = pytest.mark.long

CLIENT, PASSWORD = "127.0.0.2", "chalk-and-thread-7"
SIGN_IN, TOKEN = "/people/sign-in/", "__Host-ledger-csrf"
MEGABYTE = 1024 * 1024
SIGNS = [
    f"{fault.key}:{'L' if fault.sided else ''}"
    for fault in catalogue.load().faults_of("coat", stage="baste")
][:10]


class Client:
    """A browser at the proxy: its cookies, its token, one connection kept open."""

    def __init__(self, proxy):
        """Connect by the name on the certificate, whatever port the test has for it."""
        self.cookies = SimpleCookie()
        plain = socket.create_connection(
            ("127.0.0.1", proxy.https), timeout=60, source_address=(CLIENT, 0)
        )
        context = ssl.create_default_context(cafile=proxy.certificate)
        self.connection = http.client.HTTPConnection(NAME)
        self.connection.sock = context.wrap_socket(plain, server_hostname=NAME)

    def ask(self, method, address, body=None, **headers):
        kept = {name: cookie.value for name, cookie in self.cookies.items()}
        usual = {"Cookie": "; ".join(f"{name}={value}" for name, value in kept.items())}
        usual |= {"Origin": f"https://{NAME}", "X-CSRFToken": kept.get(TOKEN, "")}
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        self.connection.request(method, address, body, usual | named)
        answer = self.connection.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            self.cookies.load(cookie)
        return answer, answer.read()

    def post(self, address, fields, **headers):
        return self.ask("POST", address, urlencode(fields), Content_Type=URLENCODED, **headers)

    def upload(self, address, fields):
        body = encode_multipart(BOUNDARY, fields)
        return self.ask("POST", address, body, Content_Type=MULTIPART_CONTENT, HX_Request="true")

    def sign_in(self, user, password=PASSWORD, **headers):
        self.ask("GET", SIGN_IN)
        return self.post(SIGN_IN, {"username": user, "password": password}, **headers)


@pytest.fixture(scope="module")
def place(tmp_path_factory, django_db_blocker):
    """A new house, deployed; its database is the tests' own."""
    data, folder = tmp_path_factory.mktemp("house"), tmp_path_factory.mktemp("nginx")
    hashers = override_settings(PASSWORD_HASHERS=global_settings.PASSWORD_HASHERS)
    database = default_database(sqlite_url(data / "ledger.sqlite3"))
    with deployed(data, folder) as servers, django_db_blocker.unblock(), database, hashers:
        yield servers


@pytest.fixture
def client(place):
    client = Client(place[1])
    with closing(client.connection):
        yield client


@pytest.fixture
def fitting(place):
    fitter = UserFactory(role="fitter")
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    fitting.garments.add(garment_of(fitting.customer, fitter))
    ConsentFactory(customer=fitting.customer, by=fitter)
    return fitting


def by_http(proxy, address):
    """The answer's status and where it leads to."""
    with closing(http.client.HTTPConnection("127.0.0.1", proxy.http)) as plain:
        plain.request("GET", address, headers={"Host": NAME})
        answer = plain.getresponse()
        return answer.status, answer.headers["Location"]


def inside(fitting, page):
    return f"/fitting/{fitting.pk}/{fitting.garments.get().number}/{page}/"


def test_sign_in_goes_with_token_and_secure_cookies(place, client):
    user = UserFactory(role="fitter")

    answer, _ = client.sign_in(user)
    page, _ = client.ask("GET", "/")

    assert (answer.status, answer.headers["Location"], page.status) == (302, "/", 200)
    kept = {n: (c["secure"], c["path"], c["domain"]) for n, c in client.cookies.items()}
    assert kept == {
        "__Host-ledger-session": (True, "/", ""),
        TOKEN: (True, "/", ""),
    }


@pytest.mark.parametrize(
    "spoilt", [{"X_CSRFToken": "t" * 64}, {"Origin": "https://elsewhere.example"}]
)
def test_sign_in_without_token_or_from_elsewhere_is_refused(client, spoilt):
    answer, _ = client.sign_in(UserFactory(role="fitter"), **spoilt)

    assert answer.status == 403


def test_sender_in_the_log_cannot_be_made_up(place, client):
    user = UserFactory(role="fitter")
    made_up = {"X_Forwarded_For": "203.0.113.9", "X_Real_IP": "203.0.113.9"}

    client.sign_in(user, "wrong", **made_up)
    client.sign_in(user, **made_up, Forwarded="for=203.0.113.9")

    said = place[0].log.read_text().splitlines()
    assert [line for line in said if f"user={user.pk} " in line or "refused" in line] == [
        f"sign-in refused from {CLIENT}",
        f"signed in user={user.pk} from {CLIENT}",
    ]
    assert "203.0.113.9" not in "".join(said)


def test_plain_http_is_led_to_https(place):
    answer = by_http(place[1], "/customers/?q=Ash")

    assert answer == (301, f"https://{NAME}/customers/?q=Ash")


def test_https_is_told_to_stay_whatever_scheme_a_client_names(client):
    answer, body = client.ask("GET", "/health/", X_Forwarded_Proto="http")

    assert (answer.status, body[:2]) == (200, b"ok")
    lasts = "max-age=31536000; includeSubDomains; preload"
    assert answer.headers["Strict-Transport-Security"] == lasts


def test_photograph_of_twenty_megabytes_passes(client, fitting):
    client.sign_in(fitting.fitter)
    camera = picture()
    camera.seek(0, 2)
    camera.write(bytes(MOST_BYTES - camera.tell()))
    camera.seek(0)

    answer, _ = client.upload(
        inside(fitting, "photographs"), {"entry_id": uuid.uuid4(), "photograph": camera}
    )

    assert (answer.status, Photograph.objects.filter(fitting=fitting).count()) == (200, 1)


@pytest.mark.parametrize("over", [1, 10 * MEGABYTE])
def test_more_than_fifty_megabytes_are_refused_in_words(client, fitting, over):
    client.sign_in(fitting.fitter)
    body = bytes(50 * MEGABYTE + over)

    answer, said = client.ask(
        "POST", inside(fitting, "photographs"), body, Content_Type=MULTIPART_CONTENT
    )

    assert (answer.status, answer.headers["Content-Type"]) == (413, "text/plain")
    assert said == b"Nothing was kept: the ledger takes at most 50 MB at once."


def test_photographs_of_who_is_signed_out_are_answered(place, fitting):
    """Refused before they are read: the answer arrives all the same, each time."""
    answers = []
    for _ in range(20):
        client = Client(place[1])
        with closing(client.connection):
            fields = {"Content_Type": MULTIPART_CONTENT, "Kept_By": str(fitting.fitter.pk)}
            body = bytes(5 * MEGABYTE)
            answers.append(client.ask("POST", inside(fitting, "photographs"), body, **fields)[0])

    assert [answer.status for answer in answers] == [401] * 20


def test_entries_by_htmx_are_kept_in_their_order(client, fitting):
    client.sign_in(fitting.fitter)
    author = {"HX_Request": "true", "Kept_By": str(fitting.fitter.pk)}

    statuses = [
        client.post(
            inside(fitting, "seen"),
            {"entry_id": uuid.uuid4(), "seen": sign, "amount": "3/8 in"},
            **author,
        )[0].status
        for sign in SIGNS
    ]

    kept = Observation.objects.filter(fitting=fitting).order_by("at")
    assert statuses == [200] * 10
    assert [f"{row.fault}:{row.side}" for row in kept] == SIGNS


def test_address_of_a_calendar_is_in_no_log_of_the_proxy(place, client):
    """Answered, asked for by plain http, and asked for while the ledger is down."""
    service, proxy = place
    fitter = UserFactory(role="fitter")
    _, token = renew_feed(entry_id=uuid.uuid4(), whose=fitter, by=fitter)
    address = f"/calendar/{token}.ics"

    statuses = [by_http(proxy, address)[0], client.ask("GET", address)[0].status]
    service.down()
    statuses += [client.ask("GET", page)[0].status for page in (address, "/customers/")]
    service.up()

    assert statuses == [301, 200, 502, 502]
    assert (token in proxy.logs, "GET /customers/ HTTP/1.1" in proxy.logs) == (False, True)
    assert token not in service.log.read_text()
