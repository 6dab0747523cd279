"""Two app servers before one PostgreSQL and one folder of photographs, as several branches have.

Nothing may live in one process alone: who is signed in, who is shut out, what was sent twice, a
photograph, and the state of the catalogue.
"""

import json
import shutil
import socket
import threading
import uuid
from contextlib import ExitStack

import pytest
from django.contrib.auth.models import User
from django.test import override_settings
from django.utils import timezone

from fittings.models import Observation, Photograph
from tests.atwork.browser import Browser
from tests.factories import ConsentFactory, FittingFactory, UserFactory
from tests.hostile.working_house import picture
from tests.live_house import Server, begun
from tests.session.conftest import garment_of


@pytest.fixture
def servers(house_template, tmp_path, postgres_database):
    """The addresses of two servers with data folders of their own but for key and photographs."""
    shared = tmp_path / "shared"
    shutil.copytree(house_template, shared)
    common = {
        "DATABASE_URL": postgres_database,
        "LEDGER_SECRET_KEY_FILE": str(shared / "secret-key"),
        "LEDGER_PHOTOGRAPHS": str(shared / "photographs"),
    }
    with ExitStack() as stack:
        here = {"SECRET_KEY": (shared / "secret-key").read_text().strip()}
        stack.enter_context(override_settings(MEDIA_ROOT=shared / "photographs", **here))
        urls = []
        for name in ("one", "two"):
            data = shutil.copytree(house_template, tmp_path / name)
            listener = stack.enter_context(socket.create_server(("127.0.0.1", 0)))
            server = stack.enter_context(begun(Server(listener, data, common)))
            urls.append(server.url)
        yield urls


def test_servers_share_everything_that_is_known(servers):
    fitter = UserFactory(role="fitter")
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    coat = garment_of(fitting.customer, fitter)
    fitting.garments.add(coat)
    ConsentFactory(customer=fitting.customer, by=fitter)
    one, two = (Browser(fitter, url) for url in servers)
    place = f"/fitting/{fitting.pk}/{coat.number}/"

    taken = one.post(
        f"{place}photographs/", {"entry_id": uuid.uuid4(), "photograph": picture()}, files=True
    )
    shown = two.get(f"/fitting/photographs/{Photograph.objects.get().pk}/")
    twice = {"entry_id": uuid.uuid4(), "seen": "collar-stands-off:", "amount": "3/8 in"}
    said = at_once([one, two], f"{place}seen/", twice)

    assert (taken[0], shown[0], shown[1][:2]) == (200, 200, b"\xff\xd8")
    assert (said, Observation.objects.count()) == ([200, 200], 1)
    assert shut_out(servers) == [200, 200, 200, 200, 200, 429, 429, 429]
    assert json.loads(two.get("/people/here/")[1])["user"] == str(fitter.pk)


def at_once(browsers, address, fields):
    """The statuses of the same form sent by all at the same moment."""
    together, said = threading.Barrier(len(browsers)), []

    def send(browser):
        together.wait(timeout=30)
        said.append(browser.post(address, fields)[0])

    threads = [threading.Thread(target=send, args=[browser]) for browser in browsers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return said


def shut_out(servers):
    """Wrong passwords for one name, at one server and the other in turn: what each says."""
    stranger = UserFactory(role="fitter", username="odile")
    browsers = [Browser(stranger, url) for url in servers]
    for browser in browsers:
        browser.headers["Cookie"] = f"csrftoken={'t' * 32}"
    wrong = {"username": User.objects.get(pk=stranger.pk).username, "password": "not-it"}
    return [browsers[turn % 2].post("/people/sign-in/", wrong)[0] for turn in range(8)]
