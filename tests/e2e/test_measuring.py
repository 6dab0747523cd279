"""Finding a customer and taking measures under a finger, and the same without JavaScript."""

import pytest

from customers.models import MeasurementSet
from tests.e2e.browser import LANDSCAPE, PHONE, UPRIGHT, let_in
from tests.factories import CustomerFactory, MeasurementSetFactory, UserFactory

SIZES = pytest.mark.parametrize("size", [LANDSCAPE, UPRIGHT, PHONE], ids=str)
# Twenty measures of a coat in the order of the sheet, as the keys of the pad.
TWENTY = """
70 next, 15 1/2, 6 1/4, 6 3/8, 9 1/4, 12 3/4, 17 1/2, 17 5/8, 7 1/4, 7 3/8,
8 1/4, 38 1/2, 33 next, 39 1/2, 17 next, 30 1/2, 59 next, 20 1/2, 20 5/8, 32 next
"""


@pytest.fixture
def ozge(live_house):
    return CustomerFactory(given_name="Özge", family_name="Winter")


@pytest.fixture
def tablet(open_page, live_house):
    def opened(address, size=LANDSCAPE, **options):
        page = open_page(size, **options)
        let_in(page, UserFactory(role="owner"))
        page.goto(address)
        return page

    return opened


def sheet_of(customer):
    return f"/customers/{customer.number}/measures/new/"


@SIZES
def test_twenty_measures_take_three_taps_each(tablet, ozge, size):
    page, taps = tablet(sheet_of(ozge), size), 1
    page.locator("#id_height").tap()

    for measure in TWENTY.split(","):
        figures, part = measure.split()
        for key in (*figures, part):
            page.locator(f'[data-key="{key}"]').tap()
            taps += 1

    assert taps == 55  # three a measure would be 60
    assert page.locator("[data-count]").inner_text() == "20 of 27 taken"
    assert page.locator("#id_sleeve-to-cuff-L").input_value() == "32"


def test_sheet_kept_by_finger_is_the_set(tablet, ozge):
    page = tablet(sheet_of(ozge))
    page.locator("#id_chest").tap()
    for key in ["3", "8", "1/2", "3", "3", "next"]:
        page.locator(f'[data-key="{key}"]').tap()

    page.get_by_role("button", name="Keep the set").tap()
    page.wait_for_url("**/measures/*-*/")

    kept = MeasurementSet.objects.get().lengths()
    assert {key: str(length) for key, length in kept.items()} == {
        ("chest", ""): "38 1/2",
        ("waist", ""): "33",
    }


def test_last_value_is_repeated_by_one_tap(tablet, ozge):
    MeasurementSetFactory(customer=ozge, measures={("chest", ""): 38.5})
    page = tablet(sheet_of(ozge))

    page.get_by_role("button", name="Chest: 38 1/2 as last time").tap()

    assert page.locator("#id_chest").input_value() == "38 1/2"
    assert page.locator("output[for=id_chest]").inner_text() == "38 ½ in · 97.8 cm"
    assert page.evaluate("document.activeElement.id") == "id_waist"


def test_chosen_garments_show_their_points_and_count(tablet, ozge):
    page = tablet(sheet_of(ozge) + "?for=trousers")
    before = page.locator("[data-count]").inner_text()
    page.locator("#id_thigh-L").fill("22")

    page.get_by_text("waistcoat", exact=True).tap()
    page.get_by_text("trousers", exact=True).tap()

    shown = [page.locator(f"#id_{name}").is_visible() for name in ("thigh-L", "knee", "chest")]
    assert (before, shown) == ("0 of 13 taken", [True, False, True])
    assert page.locator("[data-count]").inner_text() == "1 of 18 taken"


def test_enter_on_a_keyboard_moves_on(tablet, ozge):
    page = tablet(sheet_of(ozge))

    page.locator("#id_chest").fill("38 1/2")
    page.locator("#id_chest").press("Enter")

    assert page.evaluate("document.activeElement.id") == "id_waist"
    assert "Not taken yet: Height" in page.locator("[data-empty]").inner_text()


def test_doubt_is_answered_by_a_tick_without_javascript(tablet, ozge, problems):
    page = tablet(sheet_of(ozge), java_script_enabled=False)
    page.locator("#id_chest").fill("14")

    page.get_by_role("button", name="Keep the set").tap()
    page.locator("[data-errors]").wait_for()
    asked = page.locator("#id_chest_error, #id_without_error").all_inner_texts()
    page.locator("label[for=right-chest]").tap()
    page.locator("label[for=id_without]").tap()
    page.get_by_role("button", name="Keep the set").tap()
    page.wait_for_url("**/measures/*-*/")

    assert [" ".join(text.split())[:30] for text in asked] == [
        "Error: Chest 14 in is less tha",
        "Not taken: Height, Neck, Shoul",
    ]
    assert str(MeasurementSet.objects.get().lengths()["chest", ""]) == "14"
    problems.clear()


def test_customer_is_found_as_one_types(tablet, ozge):
    CustomerFactory(given_name="Hazel", family_name="Quillby")
    page = tablet("/customers/")

    page.locator("#find-q").press_sequentially("oz")
    page.get_by_text("1 found").wait_for()

    assert page.locator("#found .name").all_inner_texts() == ["Özge Winter"]
    assert page.url.endswith("/customers/?q=oz")
