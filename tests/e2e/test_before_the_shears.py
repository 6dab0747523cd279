"""From the tape to the cutter's sheet in a browser: measured, told, ordered, stopped, put right."""

import io
from fractions import Fraction

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from customers.models import ReadingConfirmed
from garments import cutting
from garments.models import Garment
from tests.e2e import body
from tests.e2e.browser import let_in
from tests.factories import CustomerFactory, CutVersionFactory, UserFactory
from tests.garments.ready import BODY

NOT_TAKEN = "half-back-R"
# By hand from what is measured below and the drape cut: the sleeve is 32 to the cuff less 7 1/2
# half back (VS 60), less 1/2 shoulder ease and 1/2 linen, and 1/2; the coat half of 60 and 1/2.
SHEET = [
    "Sleeve 24 in each side 23 3/4 to 24 1/4 in",
    "Back length 30 1/2 in, in all 30 1/8 to 30 7/8 in",
    "Cuff 11 1/4 in each side 11 to 11 1/2 in",
]


@pytest.fixture
def page(open_page, live_house):
    """The fitter's tablet; one customer nobody measured, one cut."""
    fitter = UserFactory(role="fitter", first_name="Ida", last_name="Fenwright")
    figures = cutting.data_of(cutting.house_cut("drape", "coat"))
    CutVersionFactory(cut__name="Plover", cut__kind="coat", data=figures)
    shown = open_page()
    let_in(shown, fitter)
    return shown


def enter(page, name, inches):
    page.locator(f"#id_{name}").tap()
    for key in body.keys(Fraction(inches)):
        page.locator(f'[data-key="{key}"]').tap()


def measure(page, customer):
    """By the pad: one side not taken, and a waist of 41 under a chest of 38 said to be so."""
    page.goto(f"/customers/{customer.number}/measures/new/?for=coat")
    names = page.locator("input.length-input:not([data-again]):visible").evaluate_all(
        "fields => fields.map(field => field.name)"
    )
    values = {f"{point}-{side}".rstrip("-"): value for (point, side), value in BODY.items()}
    values |= {"waist": 41}
    for name in names:
        if name in values and name != NOT_TAKEN:
            enter(page, name, values[name])
    page.get_by_role("button", name="Keep the set").tap()
    page.locator("label:has(input[name=right])").tap()
    page.get_by_role("button", name="Keep the set").tap()


def order(page, customer):
    page.goto(f"/garments/order/{customer.number}/")
    page.get_by_role("radio", name="Plover, version 1").tap()
    page.get_by_label("Cloth", exact=True).fill("Navy worsted, 11 oz")
    page.get_by_role("button", name="Order it").tap()
    page.get_by_role("link", name="Before the shears").tap()


def test_coat_is_stopped_put_right_cut_and_its_sheet_printed(page, problems):
    customer = CustomerFactory(family_name="Tollivane")
    measure(page, customer)
    expect(page.locator(".figure-words")).to_contain_text("The waist is 3 in over the chest")
    order(page, customer)
    still_open = page.locator(".before-line.open > p:first-child > b")
    expect(still_open).to_have_text(["Points for this garment", "Cloth"])

    page.get_by_role("link", name="Put the set right").first.tap()
    enter(page, NOT_TAKEN, "7.5")
    page.get_by_role("button", name="Keep the set").tap()
    page.locator("label:has(input[name=right])").tap()
    page.get_by_role("button", name="Keep the set").tap()
    page.get_by_role("link", name="Enter the cloth").tap()
    page.get_by_label("Length of the piece").fill("3 1/2 yd")
    page.get_by_role("button", name="Keep the change").tap()
    expect(page.get_by_role("heading", name="All clean: it may be cut")).to_be_visible()
    # Each time the sheet asks about the waist, with an answer that something is to be put right.
    assert len(problems) == 2
    problems.clear()

    page.get_by_role("button", name="It is cut from these").tap()
    page.get_by_role("heading", name="Cut", exact=True).wait_for()
    check_sheet(page)


def check_sheet(page):
    """The paper says what it is cut by, on which side, and what was said to be right."""
    coat, kept = Garment.objects.get(), ReadingConfirmed.objects.latest("at")
    answer = page.request.get(page.get_by_role("link", name="sheet").get_attribute("href"))
    sheets = PdfReader(io.BytesIO(answer.body())).pages
    lines = [" ".join(line.split()) for line in sheets[0].extract_text().splitlines()]

    assert len(sheets) == 1
    assert f"{coat.number} coat, cut" in lines
    assert [row for row in SHEET if not any(line.startswith(row) for line in lines)] == []
    assert sum("As the tape said: Ida Fenwright." in line for line in lines) == 1
    assert (coat.measurement_set, kept.in_set) == (kept.in_set, coat.measurement_set)
