"""The garments' room and the folios under a finger, in Chromium."""

import datetime
import uuid

import pytest
from django.utils import timezone

from customers.lengths import parse
from garments import cutting
from garments.models import Garment
from garments.queries import inlays_of
from garments.services import cut_garment, record_remake
from tests.e2e.browser import let_in
from tests.factories import (
    BookingFactory,
    ConsentFactory,
    CutVersionFactory,
    FittingFactory,
    GarmentFactory,
    MeasurementSetFactory,
    UserFactory,
)
from tests.garments.ready import measured, ordered


@pytest.fixture
def house(live_house):
    """A customer with measures, a coat that is cut and one replaced by a remake."""
    owner = UserFactory(role="owner")
    for _ in range(2):
        CutVersionFactory(cut__kind="coat")
    version = CutVersionFactory(
        cut__kind="trousers", data=cutting.data_of(cutting.house_cut("drape", "trousers"))
    )
    measures = measured(measured(days=400).customer, measures={("chest", ""): 38.5})
    ConsentFactory(customer=measures.customer)
    coats = [
        ordered(measures.customer, "trousers", by=owner, cut_version=version) for _ in range(2)
    ]
    for coat in coats:
        cut_garment(entry_id=uuid.uuid4(), garment=coat, measurement_set=measures, by=owner)
    record_remake(entry_id=uuid.uuid4(), replaces=coats[1], piece="", reason="Short", by=owner)
    tomorrow = timezone.now() + datetime.timedelta(days=1)
    BookingFactory(
        customer=measures.customer, garments=[coats[0]], fitter=owner, starts_at=tomorrow
    )
    return {"owner": owner, "customer": measures.customer, "garment": coats[0]}


def test_order_page_shows_the_cuts_of_the_kind(page, house):
    let_in(page, house["owner"])
    page.goto(f"/garments/order/{house['customer'].number}/")
    cuts = page.get_by_role("radio", name="version 1")

    shown = []
    for kind in ("Coat", "Trousers", "Waistcoat"):
        page.get_by_label(kind, exact=True).check()
        shown.append((cuts.count(), page.locator(".no-cut:visible").count()))

    assert shown == [(2, 0), (1, 0), (0, 1)]


def test_order_is_taken_in_four_taps_and_a_cloth(page, house):
    let_in(page, house["owner"])
    page.goto(f"/garments/order/{house['customer'].number}/")

    page.get_by_label("Coat", exact=True).tap()
    page.get_by_role("radio", name="version 1").first.tap()
    page.get_by_label("Cloth", exact=True).fill("Navy serge, 13 oz")
    page.get_by_label("Stripe", exact=True).tap()
    page.get_by_role("button", name="Order it").tap()
    page.get_by_role("heading", name="Coat G").wait_for()

    coat = Garment.objects.get(kind="coat")
    assert (coat.cloth, coat.cloth_pattern, coat.cutter) == (
        "Navy serge, 13 oz",
        "stripe",
        house["owner"],
    )


def test_inlay_is_counted_by_the_pad(page, house):
    let_in(page, house["owner"])
    page.goto(f"/garments/{house['garment'].number}/inlays/")

    page.get_by_label("Side seam, left").tap()
    page.get_by_role("button", name="seven eighths").tap()
    page.get_by_role("button", name="Keep what I counted").tap()
    page.get_by_role("heading", name="Inlays now").wait_for()

    assert inlays_of(house["garment"])[("side-seam", "L")] == parse("7/8")


def test_stage_is_entered_by_one_tap_and_taken_back(page, house):
    let_in(page, house["owner"])
    page.goto(f"/folio/garments/{house['garment'].number}/")

    page.get_by_role("button", name="basted for fitting").tap()
    page.get_by_role("heading", name="Basted for fitting").wait_for()
    page.get_by_text("Entered by mistake?").tap()
    page.get_by_role("button", name="Take it back").tap()
    page.get_by_role("heading", name="Cut", exact=True).wait_for()

    assert Garment.objects.get(pk=house["garment"].pk).stage == "cut"


def test_pages_work_without_javascript(open_page, house):
    page = open_page(java_script_enabled=False)
    let_in(page, house["owner"])
    page.goto(f"/garments/{house['garment'].number}/inlays/")

    page.get_by_label("Side seam, left").fill("7/8")
    page.get_by_role("button", name="Keep what I counted").click()

    assert inlays_of(house["garment"])[("side-seam", "L")] == parse("7/8")


def test_coat_is_measured_by_pad_from_its_fitting(open_page, live_house):
    fitter = UserFactory(role="fitter")
    data = cutting.data_of(cutting.house_cut("drape", "coat"))
    coat = GarmentFactory(stage="first-fitting", cut_version__data=data)
    fitting = FittingFactory(
        customer=coat.customer, fitter=fitter, garments=[coat], started_at=timezone.now()
    )
    MeasurementSetFactory(
        customer=coat.customer,
        measures={("sleeve-to-cuff", "L"): 33, ("half-back", "L"): 7.75},  # aimed at 24 3/4 in
    )
    page = open_page()
    let_in(page, fitter)
    page.goto(f"/fitting/{fitting.pk}/")

    page.get_by_role("link", name="Measure the coat").tap()
    page.get_by_text("On the customer", exact=True).tap()
    page.get_by_label("Sleeve, left").tap()
    for key in ("2", "5", "1/8"):
        page.locator(f'[data-pad] [data-key="{key}"]').tap()
    page.get_by_role("button", name="Keep the measures").tap()

    page.wait_for_url(f"**/fitting/{fitting.pk}/**")
    page.locator("#to-sleeve").tap()
    assert page.locator("#zone-sleeve .measured").inner_text() == (
        "Sleeve, left: 25 1/8 in, 3/8 in over"
    )
