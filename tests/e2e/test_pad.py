"""The length pad under a finger: three taps a measure, nothing moves, nothing is needed of it."""

import pytest

from customers.lengths import parse
from tests.e2e import sample
from tests.e2e.browser import LANDSCAPE, PHONE, UPRIGHT

SIZES = pytest.mark.parametrize("size", [LANDSCAPE, UPRIGHT, PHONE], ids=str)


@pytest.fixture
def measures(open_page):
    def shown(size=LANDSCAPE, form=None, unit="in", **options):
        page = open_page(size, sample.HOUSE, **options)
        return sample.show(page, sample.MEASURES, form=form or sample.MeasuresForm(), unit=unit)

    return shown


def tap(page, keys):
    for key in keys.split():
        page.locator(f'[data-key="{key}"]').tap()


def boxes(page):
    return page.locator(".pad .key:visible").evaluate_all(
        "keys => keys.map(k => (({x, y, width, height}) => [x, y, width, height])"
        "(k.getBoundingClientRect()))"
    )


def test_three_taps_enter_a_measure_and_move_on(measures):
    page = measures()
    page.locator("#id_chest").tap()

    tap(page, "3 4 3/8")

    assert page.locator("#id_chest").input_value() == "34 3/8"
    assert page.evaluate("document.activeElement.id") == "id_waist"


def test_measures_follow_one_another_without_touching_fields(measures):
    page = measures()
    page.locator("#id_chest").tap()

    tap(page, "3 8 1/2 3 4 next 4 0 7/8")

    entered = [page.locator(f"#id_{name}").input_value() for name in ("chest", "waist", "seat")]
    assert entered == ["38 1/2", "34", "40 7/8"]


@pytest.mark.parametrize(
    ("begun", "keys", "left"),
    [
        ("", "3 4 rub", "3"),
        ("34 3/8", "rub", "34"),
        ("34 3/8", "1/2", "34 1/2"),
        ("34 3/8", "3 6", "36"),
        ("34 3/8", "next", "34"),
        ("", "7/8", "7/8"),
        ("7/8", "1/4", "1/4"),
        ("", "1 2 3 4", "123"),
        ("", "1 5 11/16", "15 11/16"),
    ],
)
def test_keys_leave_the_expected_text(measures, begun, keys, left):
    page = measures()
    page.locator("#id_chest").fill(begun)
    page.locator("#id_waist").tap()
    page.locator("#id_chest").tap()

    tap(page, keys)

    assert page.locator("#id_chest").input_value() == left


def test_sign_key_turns_a_signed_length(measures):
    page = measures()
    page.locator("#id_change").tap()

    tap(page, "sign 3/8")

    assert page.locator("#id_change").input_value() == "-3/8"


def test_sign_key_is_absent_for_a_measure(measures):
    page = measures()
    page.locator("#id_chest").tap()

    assert not page.locator("[data-key=sign]").is_visible()


def test_centimetres_take_a_point(measures):
    page = measures(form=sample.CentimetreForm(), unit="cm")
    page.locator("#id_chest").tap()

    tap(page, "9 7 . 8 5 next 8 6")

    assert page.locator("#id_chest").input_value() == "97.8"
    assert page.locator("#id_waist").input_value() == "86"


@pytest.mark.parametrize("typed", ["34 3/8", "15 11/16", "7/8", "38.5"])
def test_echo_agrees_with_the_lengths_engine(measures, typed):
    page = measures()

    page.locator("#id_chest").fill(typed)

    centimetres = page.locator("output[for=id_chest]").inner_text().split(" · ")[1]
    assert centimetres == f"{round(float(parse(typed).mm) / 10, 1):.1f} cm"


@pytest.mark.parametrize("typed", ["34 3/0", "wide", "3/"])
def test_echo_is_silent_about_what_it_cannot_read(measures, typed):
    page = measures()

    page.locator("#id_chest").fill(typed)

    assert page.locator("output[for=id_chest]").inner_text() == ""


@SIZES
def test_nothing_moves_while_keys_are_used(measures, size):
    page = measures(size)
    page.locator("#id_chest").tap()
    before = boxes(page)

    tap(page, "3 4 rub")

    assert boxes(page) == before


@SIZES
def test_keys_are_large_and_apart(measures, size):
    keys = boxes(measures(size))

    assert min(min(width, height) for _, _, width, height in keys) >= 56
    assert min(gap(one, other) for i, one in enumerate(keys) for other in keys[:i]) >= 8


def gap(one, other):
    across = max(other[0] - one[0] - one[2], one[0] - other[0] - other[2])
    down = max(other[1] - one[1] - one[3], one[1] - other[1] - other[3])
    return round(max(across, down), 2)


@SIZES
def test_rub_out_is_clear_of_the_keys(measures, size):
    page = measures(size)
    page.locator("#id_change").tap()
    *keys, rub = boxes(page)

    assert min(gap(rub, key) for key in keys) >= 24


@pytest.mark.parametrize("size", [UPRIGHT, PHONE], ids=str)
def test_pad_never_covers_the_field_in_use(measures, size):
    # WCAG 2.2, 2.4.11 Focus Not Obscured.
    page = measures(size)
    page.locator("#id_chest").tap()

    tap(page, "3 4 1/8 3 4 1/8 3 4 1/8 3 4 1/8")

    field = page.locator("#id_sleeve_right").bounding_box()
    assert page.evaluate("document.activeElement.id") == "id_sleeve_right"
    assert field["y"] >= 0
    assert field["y"] + field["height"] <= page.locator(".pad").bounding_box()["y"]


def test_measures_are_typed_without_javascript(measures):
    page = measures(java_script_enabled=False)

    page.locator("#id_chest").fill("34 3/8")

    assert not page.locator(".pad").is_visible()
    assert page.locator("#id_chest").input_value() == "34 3/8"
