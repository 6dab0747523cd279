"""What may be behind it, live in a browser: named as faults are touched, taken with one touch."""

import pytest
from django.utils import timezone

from fittings.models import CauseTaken, SpotAnswer
from garments.models import Alteration
from tests.e2e.browser import UPRIGHT, let_in
from tests.factories import FittingFactory, UserFactory
from tests.session.conftest import garment_of


@pytest.fixture
def page(open_page, live_house):
    fitter = UserFactory(role="fitter")
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    fitting.garments.add(garment_of(fitting.customer, fitter))
    shown = open_page(UPRIGHT)
    let_in(shown, fitter)
    shown.goto(f"/fitting/{fitting.pk}/")
    return shown


def touch(page, zone, value, much):
    page.locator(f"#to-{zone}").tap()
    page.locator(f"#zone-{zone} label:has(input[value='{value}'])").tap()
    page.locator(f".amounts .eighths [value='{much}']").tap()


def place_of(page, what):
    # Against the page, not the window: the touch itself may scroll.
    return page.locator(what).evaluate(
        "it => { const box = it.getBoundingClientRect(); return [box.x, box.y + scrollY]; }"
    )


def test_cause_is_live_taken_and_altered_for_in_two_touches(page):
    touch(page, "collar", "collar-stands-off:", "3/8 in")
    page.locator("#cause-back-balance-short").wait_for()
    page.locator("#why-back-balance-short summary").tap()
    key = place_of(page, ".amounts [value='1/4 in']")

    touch(page, "waist", "waist-swings-off:", "1/4 in")
    page.locator("#why-back-balance-short", has_text="Waist: swings off").wait_for()
    assert page.locator("#why-back-balance-short").get_attribute("open") == ""  # as it was
    assert place_of(page, ".amounts [value='1/4 in']") == key

    cause = place_of(page, "#cause-back-balance-short")
    page.locator("#cause-back-balance-short").tap()
    page.locator(".taken-cause .offer", has_text="Pass back up").tap()
    page.locator("#taken", has_text="Pass back up, side seam, ⅜ in each side").wait_for()

    assert place_of(page, "#cause-back-balance-short") == cause
    kept, altered = CauseTaken.objects.get(), Alteration.objects.get()
    assert (kept.rank, altered.cause) == (1, "back-balance-short")


def test_own_words_are_kept_under_a_fast_finger(page):
    touch(page, "collar", "collar-stands-off:", "3/8 in")
    page.locator("#another-cause summary").tap()
    page.get_by_label("Other, in your words").fill("The wallet in his pocket")
    touch(page, "waist", "waist-swings-off:", "1/4 in")  # its answer draws the form anew
    page.locator("#why-back-balance-short", has_text="Waist: swings off").wait_for(state="attached")
    page.get_by_role("button", name="Take what is written").tap()
    page.locator(".taken-cause", has_text="The wallet in his pocket").wait_for()

    assert page.get_by_label("Other, in your words").input_value() == ""
    assert list(CauseTaken.objects.values_list("cause", "words")) == [
        ("", "The wallet in his pocket")
    ]


def test_test_on_the_spot_is_answered_with_one_touch(page):
    touch(page, "shoulder", "shoulder-diagonals:both", "1/4 in")
    page.locator("#spot-yes").wait_for()
    page.locator("#spot-yes").tap()
    page.locator("#last-word", has_text="Kept: ").wait_for()
    page.get_by_role("list", name="What tests answered").wait_for()

    assert SpotAnswer.objects.get().yes
