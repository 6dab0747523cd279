"""The cutter's sheet: what it says, on which side, and what it forbids."""

import io

import pytest
from pypdf import PdfReader

from customers.lengths import Length
from garments import cutting
from garments.models import Garment
from garments.shears.sheet import print_sheet, sheet_of
from tests.factories import CustomerFactory
from tests.garments.ready import BODY, measured, ordered

ADDRESS = "http://127.0.0.1:8000/folio/garments/G1001-Q/"
SIDES = {"each side", "left side only", "right side only", "in all", "each side of the seam"}


def sheet(garment, measures):
    return sheet_of(Garment.objects.for_lists().get(pk=garment.pk), measures, ADDRESS)


def text_of(garment, measures):
    pdf = print_sheet(Garment.objects.for_lists().get(pk=garment.pk), measures, ADDRESS)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    return [" ".join(page.split()) for page in pages]


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["coat", "overcoat", "waistcoat", "trousers"])
def test_every_amount_says_on_which_side(kind):
    measures = measured(measures={("sleeve-to-cuff", "R"): "32.5", ("side-length", "L"): "42.5"})
    found = sheet(ordered(measures.customer, kind), measures)

    amounts = [*found.taken, *found.aimed, *found.inlays]
    assert {each.meant for each in amounts} <= SIDES
    assert len(found.aimed) >= 4


@pytest.mark.django_db
def test_sides_that_differ_stand_apart():
    measures = measured(measures={("sleeve-to-cuff", "R"): "32.5"})
    found = sheet(ordered(measures.customer), measures)

    # 32 and 32 1/2 to the cuff, less 7 1/2 half back, 1/2 shoulder ease, 1/2 linen, and 1/2.
    sleeves = [(line.text, line.meant) for line in found.aimed if line.name == "Sleeve"]
    assert sleeves == [("24 in", "left side only"), ("24 1/2 in", "right side only")]


@pytest.mark.django_db
def test_what_is_round_one_leg_is_never_in_all():
    measures = measured()
    found = sheet(ordered(measures.customer, "trousers"), measures)

    legs = {line.name: line.meant for line in found.aimed}
    assert {legs[name] for name in ("Thigh", "Knee", "Bottom")} == {"each side"}
    assert {legs[name] for name in ("Waist", "Seat")} == {"in all"}


@pytest.mark.django_db
def test_sheet_of_an_open_line_forbids_to_cut():
    measures = measured()
    coat = ordered(measures.customer, cloth_length=Length.inches(60))
    (page,) = text_of(coat, measures)

    assert page.count("NOT TO BE CUT BY: not clean before the shears.") == 1
    assert page.count("Cloth: It takes") == 1


@pytest.mark.django_db
def test_sheet_before_the_first_measures_says_so():
    (page,) = text_of(ordered(CustomerFactory()), None)

    assert page.count("NOT TO BE CUT BY") == 1
    assert page.count("No measures yet: nothing can be aimed at.") == 1


def test_seat_cover_without_a_rise_is_told_and_bars_nothing():
    rise = {"sitting-rise", "side-length", "leg-length"}
    measures = {place: Length.inches(v) for place, v in BODY.items() if place[0] not in rise}

    (found,) = cutting.aim(measures, cutting.house_cut("drape", "coat")).findings

    assert (found.text().split(":")[0], found.bars) == (
        "Whether the coat covers the seat is not told",
        False,
    )
