"""A line called out in a browser: typed with slips, heard, put right, kept."""

import pytest
from django.utils import timezone

from fittings.models import Observation, Remark
from tests.e2e.browser import LANDSCAPE, let_in
from tests.factories import FittingFactory, UserFactory
from tests.session.conftest import garment_of

LINE = "Coler off three eights and sleave too long 3/8 seat claen likes it roomy"


@pytest.fixture
def screen(open_page, live_house):
    def shown(**options):
        fitter = UserFactory(role="fitter")
        fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
        fitting.garments.add(garment_of(fitting.customer, fitter))
        page = open_page(LANDSCAPE, **options)
        let_in(page, fitter)
        page.goto(f"/fitting/{fitting.pk}/")
        return page

    return shown


def hear(page):
    page.get_by_label("What the fitter says").fill(LINE)
    page.get_by_role("button", name="Hear it").tap()
    page.locator(".chip").nth(2).wait_for()


def kept():
    rows = Observation.objects.standing().order_by("zone")
    return [(row.zone, row.fault, row.side, str(row.amount or "")) for row in rows]


def test_line_with_slips_is_heard_put_right_and_kept(screen, axe, problems):
    page = screen()
    hear(page)
    assert page.locator(".unread mark").all_inner_texts() == ["likes it roomy"]
    page.get_by_role("button", name="Keep these").tap()
    page.locator(".chip .error", has_text="Say which it is.").wait_for()
    problems.clear()  # the browser names the refusal on its console
    assert axe(page) == []

    page.get_by_label("Sleeve: Sleeve too long, left, ⅜ in").check()
    page.get_by_role("checkbox", name="Seat: clean").uncheck()
    page.get_by_role("button", name="Keep these").tap()
    page.locator("#last-word", has_text="Kept: 2 entries and a note.").wait_for()

    assert kept() == [
        ("collar", "collar-stands-off", "", "3/8"),
        ("sleeve", "sleeve-too-long", "L", "3/8"),
    ]
    assert page.locator(".remarks p").first.inner_text().startswith("likes it roomy")
    assert page.locator(".seen-line b").all_inner_texts()[:1] == ["Sleeve"]
    marked = page.locator(".views [data-zone=collar][data-state=fault]")
    assert (marked.count() > 0, page.get_by_label("What the fitter says").input_value()) == (
        True,
        "",
    )


def test_line_is_kept_without_javascript(screen):
    page = screen(java_script_enabled=False)
    hear(page)

    page.get_by_label("Sleeve: Sleeve too long, both sides, ⅜ in").check()
    page.get_by_role("button", name="Keep these").tap()
    page.locator("#seen .seen-line").nth(1).wait_for()

    assert [row[0] for row in kept()] == ["collar", "seat", "sleeve"]
    assert Remark.objects.get().text == "likes it roomy"
