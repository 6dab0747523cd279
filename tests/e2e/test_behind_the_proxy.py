"""A fitting in Chromium over HTTPS and HTTP/2, through nginx as DEVELOPERS.md has it."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from fittings.models import Photograph
from tests.config.test_deploy_page import fitting, place
from tests.deployed import NAME
from tests.e2e.test_kept import SIGNS, open_session, said, touch, waits
from tests.e2e.test_pictures_kept import take
from tests.live_house import LiveHouse

__all__ = ["fitting", "place"]  # the deployed house and a session in it

PROTOCOL = "performance.getEntriesByType('navigation')[0].nextHopProtocol"


@pytest.mark.long
def test_entries_and_photograph_go_through_the_proxy(place, open_page, fitting):
    house = LiveHouse(f"https://{NAME}:{place[1].https}", Path(place[0].environment["LEDGER_DATA"]))
    page = open_page(house=house, ignore_https_errors=True)

    open_session(page, fitting, fitting.fitter)
    touch(page, SIGNS[:3])
    take(page, "one", caption="Arms down")
    expect(page.locator("#photographs img")).to_have_count(1)
    waits(page, 0)

    assert said(fitting.fitter) == SIGNS[:3]
    assert Photograph.objects.get(fitting=fitting).caption == "Arms down"
    assert page.evaluate(PROTOCOL) == "h2"
    kept = {cookie["name"]: cookie["secure"] for cookie in page.context.cookies()}
    assert kept == {"__Host-ledger-session": True, "__Host-ledger-csrf": True}
