"""Every page in the demo house: open to all hands and eyes, at home on a tablet.

Which pages there are is asked of the house's own table, so that a new page cannot be forgotten:
either the tour knows where to look at it, or it is a write, or a file, and shown to be one.
With LEDGER_SHOTS=<folder> a picture of each page is kept there at both tablet sizes.
"""

import os
import re
import shutil
from pathlib import Path

import pytest
from django.test import override_settings

from fittings.config.access import FITTER, FRONT, OWNER, PAGES, PUBLIC, WORKROOM
from fittings.demo.house import PASSWORD, STAFF
from tests.config.test_access import address_of
from tests.databases import default_database, sqlite_url
from tests.e2e import tour
from tests.e2e.browser import LANDSCAPE, PHONE, UPRIGHT, sign_in, tablet_of
from tests.factories import UserFactory
from tests.live_house import serve

SHOTS = os.environ.get("LEDGER_SHOTS")
NOBODY = "nobody"
ROLES = (OWNER, FITTER, FRONT, WORKROOM)
FILES = {
    "privacy:customer_export",
    "promising:earliest",
    "bringing:template_csv",
    "bringing:upload_progress",
    "accounts:here",
    "manifest",
    "session:day_pages",
    "session:fitting_news",
    "worker",
    "customers:measure_history_pdf",
    "feeds:feed",
    "garments:cutter_sheet",
    "health",
    "review:review_csv",
    "review:sheet_csv",
    "review:why_csv",
    "review:letter_csv",
    "review:letter_pdf",
    "session:photograph",
    "session:thumbnail",
    "travelling:packing_pdf",
    "workroom:label_pdf",
    "workroom:ticket_pdf",
    "workroom:tickets_pdf",
}
WRITES = {
    "privacy:photographs_drop",
    "promising:overtime_strike",
    "promising:stage_strike",
    "bringing:import_take_back",
    "bringing:upload_check",
    "bringing:upload_choose",
    "bringing:upload_discard",
    "bringing:upload_write",
    "accounts:sign_out",
    "accounts:tablet_end",
    "accounts:factor_remove",
    "contrast",
    "diary:booking_mark",
    "diary:room_retire",
    "diary:call_again",
    "diary:called",
    "waiting:waiting_give",
    "waiting:waiting_withdraw",
    "feeds:feed_renew",
    "feeds:feed_revoke",
    "garments:cut_retire",
    "garments:stage_strike",
    "customers:reading_confirm",
    "garments:line_pass",
    "garments:line_strike",
    "garments:wish_strike",
    "post:message_mark",
    "opendays:absence_end",
    "opendays:closure_end",
    "opendays:holiday_work",
    "lessons:case_omit",
    "lessons:figure_omit",
    "lessons:lessons_renew",
    "lessons:omission_strike",
    "housebook:row_restore",
    "housebook:row_retire",
    "review:letter_send",
    "session:alteration_create",
    "session:alteration_strike",
    "session:callout_create",
    "session:cause_create",
    "session:cause_strike",
    "session:decision_create",
    "session:decision_strike",
    "session:fitting_start",
    "session:judgement_create",
    "session:observation_create",
    "session:observation_strike",
    "session:photograph_create",
    "session:photograph_strike",
    "session:pin_strike",
    "session:remark_strike",
    "session:spot_answer_create",
    "session:spot_answer_strike",
    "workroom:answer_create",
    "workroom:ticket_reply",
}
AXE_ROOM, AXE_ELSE, AXE_SEEN = (LANDSCAPE, UPRIGHT), (LANDSCAPE,), ()  # sizes axe-core looks at
HELD_UPRIGHT = ("session:", "customers:set_", "garments:finished")  # with the customer at hand
# What is used sitting at a desk: walked by the long tests.
AT_THE_DESK = tuple(
    f"{room}:"
    for room in [
        "accounts",
        "bringing",
        "feeds",
        "housebook",
        "lessons",
        "opendays",
        "post",
        "privacy",
        "promising",
        "review",
        "travelling",
        "waiting",
    ]
)
# Pages in the midst of signing in: asked for by themselves they lead on, and the walk sees only
# where to. The first is looked at in test_hands.
LEAD_ON = {"accounts:hand_change", "accounts:second_step", "accounts:password_changed"}
WALKED = sorted(set(PAGES) - FILES - WRITES)

# WCAG 2.2, 2.5.8 asks for 24 px; the house for 44, and 56 of what numbers and faults are entered
# by. As there: a link inside a sentence is as high as its line, a drawn zone has its twin in the
# list beside it, and a box is as large as the label that is touched for it.
SMALL = """() => [...document.querySelectorAll(
    'a[href], button, summary, select, textarea, label:has(input), input:not([type=hidden])'
  )].filter(part => part.matches('label') || !part.closest('label:has(input)'))
    .filter(part => !part.closest('svg') && !part.matches('.skip, .visually-hidden'))
    .filter(part => part.checkVisibility({visibilityProperty: true}) && !isInSentence(part))
    .map(part => [part, part.getBoundingClientRect(), part.matches('.key') ? 56 : 44])
    .filter(([, box, least]) => box.width > 1 && Math.min(box.width, box.height) < least - 0.01)
    .map(([part, box]) => `${part.outerHTML.slice(0, 90)} ${box.width}x${box.height}`);
  function isInSentence(part) {
    if (!part.matches('a') || getComputedStyle(part).display !== 'inline') return false;
    const line = part.parentElement.cloneNode(true);
    line.querySelectorAll('a').forEach(link => link.remove());
    return /\\w/.test(line.textContent);
  }"""
OVER = """() => document.documentElement.scrollWidth > innerWidth
  ? [...document.querySelectorAll('main *')]
    .filter(part => part.getBoundingClientRect().right > innerWidth + 1)
    .map(part => part.outerHTML.slice(0, 90)).slice(0, 3) : []"""


@pytest.fixture(scope="module")
def house(demo_template, tmp_path_factory):
    """The demo house, to look at and for the tour to write in."""
    data = shutil.copytree(demo_template, tmp_path_factory.mktemp("walked") / "house")
    with serve(data) as walked:
        yield walked


@pytest.fixture(scope="module")
def addresses(house, django_db_blocker):
    """Where to look at each page, by its name."""
    database = default_database(sqlite_url(house.data / "ledger.sqlite3"))
    # Who is signed in is read with the house's own key: a session that cannot be read is ended.
    key = (house.data / "secret-key").read_text(encoding="ascii").strip()
    with django_db_blocker.unblock(), database, override_settings(SECRET_KEY=key):
        return tour.addresses()


@pytest.fixture(scope="module")
def tablets(chromium, house):
    """A tablet of each role, and what the browsers complained of on any of them.

    Opening one takes longer than most pages do, and to look at a page leaves nothing behind.
    """
    opened, complaints = {}, []
    for role in (NOBODY, *ROLES):
        opened[role] = tablet_of(chromium, house, complaints).new_page()
    for role in ROLES:
        name = next(hand.username for hand in STAFF if hand.role == role)
        sign_in(opened[role], name, PASSWORD)
    yield opened, complaints
    for page in opened.values():
        page.context.close()


@pytest.fixture
def tablet(tablets, problems):
    """The tablet of a role, held across, as if just taken up; complaints are this test's own."""
    opened, complaints = tablets
    complaints.clear()

    def taken_up(role):
        opened[role].set_viewport_size({"width": LANDSCAPE[0], "height": LANDSCAPE[1]})
        return opened[role]

    yield taken_up
    problems += complaints
    assert problems == []


def roles_of(name):
    """Who sees most of a page and who sees least; who else opens it is walked in test_access."""
    if PAGES[name] == PUBLIC:
        return [NOBODY]
    open_to = [role for role in ROLES if role in PAGES[name]]
    return list(dict.fromkeys((open_to[0], open_to[-1])))


def test_tour_knows_every_page_of_the_table(addresses):
    assert sorted(addresses) == WALKED


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(WRITES))
def test_what_is_left_out_as_write_shows_no_page(client, name):
    client.force_login(UserFactory(role=OWNER))

    assert client.get(address_of(name)).status_code == 405


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=[pytest.mark.long] if name.startswith(AT_THE_DESK) else [])
        for name in WALKED
    ],
)
def test_page_is_fit_for_every_hand(tablet, addresses, axe, name):
    """Nothing serious by axe-core, nothing wider than the screen, no control under a finger's.

    Whoever opens most sees every face of the page, what is used with the customer at hand by
    axe-core at both tablet sizes. The others, who see the same parts or fewer, see the first.
    """
    faults, known = [], set()
    first = AXE_ROOM if name.startswith(HELD_UPRIGHT) else AXE_ELSE
    later = AXE_ELSE if name == "diary:today" else AXE_SEEN  # which shows each hand its own
    for role in roles_of(name):
        page = tablet(role)
        faces, sizes = (addresses[name][:1], later) if known else (addresses[name], first)
        for number, address in enumerate(faces, start=1):
            answer = page.goto(address)
            shown = (answer.status, answer.request.redirected_from is not None)
            assert shown == (200, name in LEAD_ON), (role, address, page.url)
            take_pictures(page, f"{name.replace(':', '-')}-{number}-{role.replace(' ', '-')}")
            if (face := face_of(page)) not in known:
                faults += [f"{role} {address} {fault}" for fault in faults_of(page, axe, sizes)]
            known.add(face)
            sizes = sizes and AXE_ELSE  # a second face is laid out by the rules of the first

    assert not faults, "\n".join(faults)


def face_of(page):
    """What the page shows, without what differs at each asking: tokens and new entries' ids."""
    return re.sub(r'value="[\w-]{36,64}"', "", page.locator("main").inner_html())


def faults_of(page, axe, sizes):
    page.evaluate("document.querySelectorAll('main details').forEach(more => more.open = true)")
    for size in (LANDSCAPE, UPRIGHT, PHONE):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        found = [f"too wide: {part}" for part in page.evaluate(OVER)]
        found += [f"too small: {part}" for part in page.evaluate(SMALL)]
        found += axe(page) if size in sizes else []
        yield from (f"{size[0]}: {fault}" for fault in found)


def take_pictures(page, name):
    if SHOTS is None:
        return
    for size in (LANDSCAPE, UPRIGHT):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.screenshot(path=Path(SHOTS) / f"{name}-{size[0]}.png", full_page=True)
