"""Photographs taken without a network: on the tablet's disk until they are sent, no longer."""

import io
import os
import signal
import uuid
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from customers.services import record_consent
from fittings.models import Observation, Photograph
from tests.e2e.browser import LANDSCAPE
from tests.e2e.conftest import CHROMIUM, CHROMIUM_OPTIONS
from tests.e2e.test_kept import SIGNS, fitting, laid_down, open_session, touch, waits
from tests.factories import ConsentFactory, UserFactory

__all__ = ["fitting"]  # the session both files work in

FULL = """(() => { const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (row) {
    if (row.files?.length && !window.room) throw new DOMException('full', 'QuotaExceededError');
    return put.apply(this, arguments); }; })()"""
PICTURES_LAID_DOWN = """() => new Promise((done) => {
  indexedDB.open("ledger", 1).onsuccess = ({ target: { result } }) => {
    result.transaction("waiting").objectStore("waiting").getAll().onsuccess = (event) =>
      done(event.target.result.map((row) => row.files.map(([, file]) => file.size > 0))); }; })"""


@pytest.fixture
def agreed(fitting):
    return ConsentFactory(customer=fitting.customer, by=fitting.fitter)


def photograph(name):
    camera = io.BytesIO()
    Image.effect_noise((300, 200), 60).save(camera, "JPEG")
    return {"name": f"{name}.jpg", "mimeType": "image/jpeg", "buffer": camera.getvalue()}


def take(page, *names, caption=""):
    page.locator("#photograph-form [name=chosen]").set_input_files([photograph(n) for n in names])
    page.locator("#photograph-form label", has_text="back").tap()
    page.locator("#photograph-form [name=caption]").fill(caption)
    page.get_by_role("button", name="Keep what was taken").tap()


def tablet_with_disk(chromium, house, folder):
    """A tablet whose disk outlives its browser."""
    width, height = LANDSCAPE
    return chromium.browser_type.launch_persistent_context(
        folder,
        executable_path=CHROMIUM,
        args=CHROMIUM_OPTIONS,
        base_url=house.url,
        viewport={"width": width, "height": height},
        has_touch=True,
        service_workers="block",
    )


def battery_dies(folder):
    """Kill -9 whatever of the browser runs on this disk."""
    for process in Path("/proc").glob("[0-9]*"):
        try:
            of_it = f"--user-data-dir={folder}".encode() in (process / "cmdline").read_bytes()
        except OSError:
            continue
        if of_it:
            os.kill(int(process.name), signal.SIGKILL)


def test_photographs_outlive_a_flat_battery(chromium, live_house, fitting, agreed, tmp_path):
    tablet = tablet_with_disk(chromium, live_house, tmp_path)
    page = open_session(tablet.new_page(), fitting, fitting.fitter)
    tablet.set_offline(True)
    take(page, "one", "two", caption="Arms down")
    touch(page, SIGNS[:1])
    waits(page, 3)
    expect(page.locator("#on-their-way progress")).to_have_count(2)
    battery_dies(tmp_path)

    tablet = tablet_with_disk(chromium, live_house, tmp_path)
    tablet.clear_cookies()
    page = open_session(tablet.new_page(), fitting, fitting.fitter)
    waits(page, 0)

    rows = [*Photograph.objects.all(), *Observation.objects.all()]
    assert [row.by for row in sorted(rows, key=lambda row: row.at)] == [fitting.fitter] * 3
    said = Photograph.objects.values_list("caption", "view")
    assert [list(said), laid_down(page)] == [[("Arms down", "back")] * 2, 0]
    assert Observation.objects.get().at > Photograph.objects.latest("at").at
    tablet.close()


def test_tablet_without_room_says_so_of_the_photograph(open_page, fitting, agreed, problems):
    page = open_page()
    page.add_init_script(FULL)
    open_session(page, fitting, fitting.fitter)
    page.context.set_offline(True)

    take(page, "one")
    touch(page, SIGNS[:1])
    waits(page, 2)

    expect(page.locator("#on-their-way")).to_contain_text("Held by this page alone: leave it open.")
    expect(page.locator("#last-word")).to_contain_text("Leave this page open. ")
    expect(page.locator("#last-word")).to_contain_text("(it is full)")
    assert laid_down(page) == 1
    page.context.set_offline(False)
    waits(page, 0)
    assert (Photograph.objects.count(), Observation.objects.count()) == (1, 1)
    problems.clear()


def test_no_photograph_stays_of_who_no_longer_agrees(open_page, fitting, agreed, problems):
    page = open_page()
    open_session(page, fitting, fitting.fitter)
    page.context.set_offline(True)
    take(page, "one")
    waits(page, 1)
    laid = page.evaluate(PICTURES_LAID_DOWN)
    about = {"kind": agreed.kind, "given_on": agreed.given_on, "wording": "No more"}
    by = UserFactory(role="front of house")
    record_consent(entry_id=uuid.uuid4(), customer=fitting.customer, given=False, by=by, **about)

    page.context.set_offline(False)
    expect(page.locator("#last-word")).to_contain_text("has not agreed to photographs")

    assert (laid, page.evaluate(PICTURES_LAID_DOWN)) == ([[True]], [[]])
    assert Photograph.objects.count() == 0
    problems.clear()
