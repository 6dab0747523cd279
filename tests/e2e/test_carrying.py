"""Carry into the pattern under a finger, with JavaScript and without, in Chromium."""

import pytest

from garments.carrying.queries import accepted_changes, carry_lines
from garments.models import CarryAnswer, Garment
from tests.e2e.browser import LANDSCAPE, let_in
from tests.factories import AlterationFactory, GarmentFactory, JudgementFactory, UserFactory

CHANGES = (("let-out", "side-seam"), ("shorten-cuff", "cuff"))


@pytest.fixture
def coat(live_house):
    """Ordered, not cut; the coat before was let out and its sleeves shortened: both cured it."""
    before = GarmentFactory(stage="delivered")
    for operation, seam in CHANGES:
        altered = AlterationFactory(garment=before, operation=operation, seam=seam)
        JudgementFactory(alteration=altered)
    return GarmentFactory(customer=before.customer, stage="ordered")


def test_each_line_is_answered_by_one_tap_and_changed_by_another(page, coat):
    let_in(page, UserFactory(role="fitter"))
    page.goto(f"/garments/{coat.number}/carry/")

    page.get_by_role("region", name="Let out, side seam").get_by_label("Amount").tap()
    page.get_by_role("button", name="one half").tap()
    page.get_by_role("button", name="Carry: Let out, side seam").tap()
    page.get_by_text("1 to be answered").wait_for()
    cuff = page.get_by_role("region", name="Shorten sleeve at cuff")
    cuff.get_by_role("button", name="Carry").tap()
    page.get_by_text("All are answered").wait_for()
    cuff.get_by_role("button", name="Another cut this time").tap()
    cuff.get_by_text("Left out: Another cut this time.").wait_for()

    (line,) = accepted_changes(Garment.objects.for_lists().get(pk=coat.pk))
    assert (line.words, line.amount_words) == ("Let out, side seam", "1/2 in each side")


def test_lines_are_answered_without_javascript(open_page, coat):
    page = open_page(LANDSCAPE, java_script_enabled=False)
    let_in(page, UserFactory(role="owner"))
    page.goto(f"/garments/{coat.number}/carry/")

    page.get_by_role("button", name="Carry: Let out, side seam").tap()
    cuff = page.get_by_role("region", name="Shorten sleeve at cuff")
    cuff.get_by_text("Leave it out for another reason").tap()
    cuff.get_by_label("The reason").fill("Sleeves are worn longer now")
    # The key for "enter" sends the answer it stands beside.
    cuff.get_by_label("The reason").press("Enter")
    page.get_by_text("All are answered").wait_for()

    lines = carry_lines(Garment.objects.for_lists().get(pk=coat.pk))
    assert [line.answered for line in lines] == ["accepted", "refused"]
    assert CarryAnswer.objects.get(accepted=False).reason == "Sleeves are worn longer now"
