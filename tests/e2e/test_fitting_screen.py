"""The fitting screen under a fast finger, on a bad line, without JavaScript, by keyboard."""

import io
import time
import uuid
from dataclasses import dataclass

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from PIL import Image

from customers.lengths import Length
from fittings.models import Fitting, Observation
from garments.models import Alteration
from tests.e2e.browser import LANDSCAPE, PHONE, UPRIGHT, let_in
from tests.factories import ConsentFactory, FittingFactory, UserFactory
from tests.session.conftest import garment_of

SIZES = pytest.mark.parametrize("size", [LANDSCAPE, UPRIGHT, PHONE], ids=str)
SLOW = 0.4  # seconds an answer takes on a bad line
FAULTS = [
    ("collar", "collar-stands-off:", "3/8 in"),
    ("shoulder", "shoulder-one-low:L", "1/4 in"),
    ("collar", "collar-low-all-round:", "1/8 in"),
]


@dataclass(frozen=True)
class Scene:
    fitter: User
    fitting: Fitting

    @property
    def address(self):
        return f"/fitting/{self.fitting.pk}/"


@pytest.fixture
def scene(live_house):
    fitter = UserFactory(role="fitter")
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    fitting.garments.add(garment_of(fitting.customer, fitter))
    return Scene(fitter, fitting)


@pytest.fixture
def screen(open_page, scene):
    def shown(size=LANDSCAPE, **options):
        page = open_page(size, **options)
        let_in(page, scene.fitter)
        page.goto(scene.address)
        return page

    return shown


def zone(page, key):
    page.locator(f"#to-{key}").tap()


def tile(page, key, value):
    page.locator(f"#zone-{key} label:has(input[value='{value}'])").tap()


def amount(page, value):
    page.locator(f".amounts .eighths [value='{value}']").tap()


def touch(page, key, value, much):
    zone(page, key)
    tile(page, key, value)
    amount(page, much)


def kept():
    rows = Observation.objects.standing().order_by("at")
    return [
        (row.zone, f"{row.fault}:{row.side}", f"{row.amount} in" if row.amount else "none")
        for row in rows
    ]


def settle(page, word):
    page.locator("#last-word", has_text=word).wait_for()


def boxes(page, selector):
    return page.locator(f"{selector}:visible").evaluate_all(
        "parts => parts.map(p => { const b = p.getBoundingClientRect();"
        " return [b.x, b.y, b.right, b.bottom]; })"
    )


@SIZES
def test_fault_is_three_touches_and_one_request(screen, size):
    page = screen(size)
    sent = []
    page.on("request", lambda request: request.method == "POST" and sent.append(request.url))

    page.locator(".views a[href='#zone-collar']").first.tap()
    tile(page, "collar", "collar-stands-off:")
    amount(page, "3/8 in")

    settle(page, "Collar: Stands off the neck, ⅜ in")
    assert (kept(), len(sent)) == ([FAULTS[0]], 1)


def test_touch_over_plain_http_is_kept_with_an_id_of_its_own(screen):
    page = screen()
    # Browsers give it to secure pages only, and to 127.0.0.1, where these tests run.
    page.evaluate("delete Crypto.prototype.randomUUID")

    touch(page, *FAULTS[0])

    settle(page, "Stands off the neck")
    entry = Observation.objects.get()
    assert (kept(), entry.pk.version, entry.pk.variant) == ([FAULTS[0]], 4, uuid.RFC_4122)


def test_fast_touches_on_a_slow_line_are_all_kept(screen):
    page = screen()

    def later(route):
        time.sleep(SLOW)
        route.continue_()

    page.route("**/seen/", later)
    for fault in FAULTS:
        touch(page, *fault)

    settle(page, "Low all round")
    assert kept() == FAULTS


def test_touch_without_network_is_sent_when_it_is_back(screen, problems):
    page = screen()
    page.context.set_offline(True)
    touch(page, *FAULTS[0])
    settle(page, "No connection: 1 entry kept on this tablet")
    before = kept()

    page.context.set_offline(False)

    settle(page, "Stands off the neck")
    assert (before, kept()) == ([], [FAULTS[0]])
    problems.clear()


def test_answer_lost_on_the_way_is_kept_once(screen, problems):
    page = screen()
    lost = []

    def lose_first(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)
        return route.abort()

    page.route("**/seen/", lose_first)
    touch(page, *FAULTS[0])

    settle(page, "Stands off the neck")
    assert (lost, Observation.objects.count()) == ([200], 1)
    problems.clear()


def test_tile_is_ready_again_after_it_was_logged(screen):
    page = screen()

    touch(page, *FAULTS[0])

    settle(page, "Stands off the neck")
    assert page.locator("#zone-collar input:checked").count() == 0
    assert page.locator("#to-collar").get_attribute("aria-current") == "true"


def test_mark_is_drawn_where_the_fault_was_seen(screen):
    page = screen()

    touch(page, *FAULTS[1])

    settle(page, "shoulder low")
    marked = page.locator(".views .mark[data-state=fault]").evaluate_all(
        "marks => [...new Set(marks.map(m => m.closest('a').dataset.side))]"
    )
    assert marked == ["L"]


def test_refused_touch_says_so_beside_the_keys(screen, problems):
    page = screen()
    zone(page, "collar")
    before = boxes(page, ".panels .key")

    amount(page, "3/8 in")

    page.locator("#seen-error", has_text="Touch what you see first").wait_for()
    assert (boxes(page, ".panels .key"), kept()) == (before, [])
    problems.clear()


def test_nothing_moves_when_an_alteration_is_taken(screen):
    page = screen()
    touch(page, *FAULTS[0])
    settle(page, "Stands off the neck")
    page.locator("#seen").scroll_into_view_if_needed()
    before = boxes(page, "#seen .offer")

    page.locator("#seen .offer").nth(1).tap()

    settle(page, "Taken")
    assert boxes(page, "#seen .offer") == before
    assert Alteration.objects.count() == 1


@SIZES
def test_keys_are_large_apart_and_clear_of_striking(screen, size):
    page = screen(size)
    touch(page, *FAULTS[0])
    settle(page, "Stands off the neck")
    zone(page, "sleeve")

    # The amounts stay at the lower edge and tiles scroll under them: each group by itself.
    for group in ("#zone-sleeve .faults .key", ".eighths .key", ".zone-link"):
        keys = boxes(page, group)
        assert min(min(right - left, foot - top) for left, top, right, foot in keys) >= 56
        assert min(gap(one, other) for one in keys for other in keys if one != other) >= 8
    strikes, enters = boxes(page, "#seen .destroys"), boxes(page, ".offer") + boxes(page, ".key")
    assert min(gap(strike, key) for strike in strikes for key in enters) >= 24


def gap(one, other):
    """How far two boxes stand apart, along the axis in which they stand apart most."""
    across = max(one[0] - other[2], other[0] - one[2])
    down = max(one[1] - other[3], other[1] - one[3])
    return max(across, down)


@pytest.mark.parametrize("size", [LANDSCAPE, UPRIGHT], ids=str)
def test_zone_fits_beside_the_drawing_on_a_tablet(screen, size):
    page = screen(size)

    zone(page, "collar")

    _, height = size
    (panel,) = boxes(page, ".panels")
    (keys,) = boxes(page, ".panels .eighths")
    (bar,) = boxes(page, ".session-bar")
    assert panel[1] >= bar[3]
    assert keys[3] <= height


def test_everything_is_done_without_javascript(screen):
    page = screen(java_script_enabled=False)

    touch(page, *FAULTS[0])
    page.locator("#seen .offer").first.tap()
    page.locator("#next-step [value=alter]").tap()

    page.locator("#next-step .lead", has_text="Alter and look again").wait_for()
    assert (kept(), Alteration.objects.get().amount) == ([FAULTS[0]], Length.inches("3/8"))


def test_zone_is_worked_by_keyboard_alone(screen):
    page = screen()
    page.locator("#to-collar").focus()

    page.keyboard.press("Enter")
    page.locator("#zone-collar input[name=seen]").first.focus()
    page.keyboard.press("Space")
    page.locator(".panels .eighths .key").nth(2).focus()
    page.keyboard.press("Enter")

    settle(page, "Stands off the neck, ⅜ in")
    assert kept() == [FAULTS[0]]


def test_return_in_the_amount_field_logs_what_is_written(screen):
    page = screen()
    zone(page, "collar")
    tile(page, "collar", "collar-stands-off:")
    page.locator(".typed summary").tap()

    page.locator("#other-amount").fill("7/16")
    page.keyboard.press("Enter")

    settle(page, "7/16 in")
    assert Observation.objects.get().amount == Length.inches("0.4375")


def test_photograph_taken_is_shown_small(screen, scene):
    ConsentFactory(customer=scene.fitting.customer, by=scene.fitter)
    page = screen()
    camera = io.BytesIO()
    Image.new("RGB", (900, 600), "tan").save(camera, "JPEG")
    taken = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": camera.getvalue()}

    page.locator("#photograph-form [name=photograph]").set_input_files(taken)
    page.locator("#photograph-form .button").tap()

    settle(page, "The photograph is kept")
    shown = page.locator("#photographs img")
    shown.scroll_into_view_if_needed()
    page.wait_for_function("i => i.naturalWidth > 0", arg=shown.element_handle())
    assert shown.evaluate("i => [i.naturalWidth, i.naturalHeight]") == [320, 213]


def test_none_of_these_fills_the_form_for_its_fault(screen):
    page = screen()
    touch(page, *FAULTS[0])
    settle(page, "Stands off the neck")

    page.locator("#seen .another").tap()

    seen = Observation.objects.get()
    assert page.locator("#other [name=observation]").input_value() == str(seen.pk)
    assert page.locator("#other-for").inner_text() == "Collar: stands off the neck"
