"""The parts all screens are made of: sizes for a finger, no loss, honest about the network."""

import pytest

from tests.e2e import sample
from tests.e2e.browser import LANDSCAPE, PHONE, UPRIGHT

SIZES = pytest.mark.parametrize("size", [LANDSCAPE, UPRIGHT, PHONE], ids=str)


@pytest.fixture
def parts(open_page):
    def shown(size=LANDSCAPE, form=None, answer=None, **context):
        page = open_page(size, sample.HOUSE)
        form = form or sample.CustomerForm()
        return sample.show(page, sample.PARTS, answer=answer, form=form, **context)

    return shown


@SIZES
def test_every_control_is_a_finger_wide(parts, size):
    page = parts(size)
    page.locator("details.account:not(.outbox) summary").tap()

    small = page.evaluate("""() => [...document.querySelectorAll(
        'a, button, summary, select, textarea, label:has(input), input:not([type=hidden])'
      )].filter(part => !part.closest('label:has(input)') || part.matches('label'))
        .filter(part => !part.matches('.skip'))
        .map(part => [part.outerHTML.slice(0, 60), part.getBoundingClientRect()])
        .filter(([, box]) => box.width && Math.min(box.width, box.height) < 44)
        .map(([html, box]) => `${html} ${box.width}x${box.height}`)""")

    assert small == []


@SIZES
def test_page_never_scrolls_sideways(parts, size):
    page = parts(size)

    assert page.evaluate("document.documentElement.scrollWidth") == size[0]


@SIZES
def test_what_destroys_stands_clear(parts, size):
    page = parts(size)
    strike = page.locator(".destroys").bounding_box()
    others = [part.bounding_box() for part in page.locator(".button:not(.destroys):visible").all()]

    assert min(distance(strike, other) for other in others) >= 24


def distance(one, other):
    across = max(other["x"] - one["x"] - one["width"], one["x"] - other["x"] - other["width"], 0)
    down = max(other["y"] - one["y"] - one["height"], one["y"] - other["y"] - other["height"], 0)
    return (across**2 + down**2) ** 0.5


@pytest.mark.parametrize("contrast", ["usual", "high"])
def test_axe_finds_nothing_serious_in_the_parts(parts, axe, contrast):
    page = parts(form=sample.CustomerForm({"name": ""}), contrast=contrast)

    assert axe(page) == []


@pytest.mark.parametrize(
    ("contrast", "wish", "ground"),
    [
        ("", "no-preference", "rgb(247, 241, 228)"),
        ("", "more", "rgb(255, 255, 255)"),
        ("high", "no-preference", "rgb(255, 255, 255)"),
        ("usual", "more", "rgb(247, 241, 228)"),
    ],
)
def test_choice_of_contrast_outweighs_the_device(parts, contrast, wish, ground):
    page = parts(contrast=contrast)

    page.emulate_media(contrast=wish)

    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == ground


def test_house_type_is_loaded_and_used(parts):
    page = parts()

    assert page.evaluate("document.fonts.check('18px Literata', 'Chest 38 ⅞')") is True
    assert page.evaluate("[...document.fonts].map(face => face.status)") == ["loaded", "loaded"]


def test_summary_of_errors_takes_the_focus(parts):
    page = parts(form=sample.CustomerForm({"name": ""}))

    assert page.evaluate("document.activeElement.matches('[data-errors]')") is True
    assert page.title() == "Error: Parts"


@pytest.mark.parametrize(("line", "focused"), [("Name:", "id_name"), ("Unit:", "id_unit_0")])
def test_line_of_the_summary_leads_to_its_field(parts, line, focused):
    page = parts(form=sample.CustomerForm({"name": ""}))

    page.locator("[data-errors] a", has_text=line).tap()

    assert page.evaluate("document.activeElement.id") == focused


def test_second_tap_on_the_way_is_dropped(parts):
    page = parts()

    left = page.evaluate("""() => {
      let left = 0;
      document.addEventListener('submit', event => {
        if (!event.defaultPrevented) left += 1;
        event.preventDefault();  // counted, not sent: the answer would take the page away
      });
      const keep = document.querySelector('.button.main');
      keep.click(); keep.click();
      return left;
    }""")

    assert left == 1


@pytest.mark.parametrize(("typed", "requests"), [("t", 0), ("th", 1), ("thr", 1)])
def test_finding_begins_with_the_second_letter(parts, typed, requests):
    sent = []

    def answer(route):
        sent.append(route.request.url)
        route.fulfill(body="<p>found</p>", content_type="text/html")

    page = parts(answer=answer)
    page.locator("#find-q").fill(typed)
    if requests:
        page.get_by_text("found", exact=True).wait_for()
    page.wait_for_timeout(400)

    assert len(sent) == requests
    assert page.locator("#found").inner_text() == ("found" if requests else "")


def test_lost_network_is_told_and_typing_kept(parts, problems):
    page = parts(answer=lambda route: route.abort())

    page.locator("#find-q").fill("threadgold")
    page.locator("#status .error").wait_for()

    assert page.locator("#status").inner_text().startswith("No connection.")
    assert page.locator("#find-q").input_value() == "threadgold"
    problems.clear()


def test_refused_answer_is_swapped_with_its_message(parts, problems):
    def answer(route):
        route.fulfill(status=422, body="<p>too long</p>", content_type="text/html")

    page = parts(answer=answer)
    page.locator("#find-q").fill("threadgold")
    page.locator("#found p").wait_for()

    assert page.locator("#found").inner_text() == "too long"
    problems.clear()
