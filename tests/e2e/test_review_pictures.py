"""The review's pictures as a browser draws them."""

import pytest

from tests.e2e.browser import let_in
from tests.factories import UserFactory
from tests.review.scenes import delivered

HALF = "since=2026-01-01&until=2026-06-30"


@pytest.mark.parametrize("address", ["/review/", "/review/returns/"])
def test_words_stand_off_their_edge_in_the_system_s_own_colours(page, address):
    delivered("2026-02-10")
    let_in(page, UserFactory(role="owner"))
    page.emulate_media(forced_colors="active", color_scheme="dark")
    page.goto(f"{address}?{HALF}")

    drawn = page.locator("main svg[viewBox] text").evaluate_all(
        "all => all.map(one => getComputedStyle(one)).map(style => [style.fill, style.stroke])"
    )

    assert drawn
    assert {edge for _, edge in drawn} == {"rgb(0, 0, 0)"}
    assert all(ink != edge for ink, edge in drawn)
