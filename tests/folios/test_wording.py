import datetime

import pytest

from customers.lengths import parse
from fittings.folios import wording
from fittings.models import Observation
from garments.models import Alteration, InlayMovement


@pytest.mark.parametrize(
    ("operation", "seam", "side", "amount", "said"),
    [
        ("let-out", "side-seam", "both", "3/8", "Let out side seam: 3/8 in each side"),
        ("let-out", "side-seam", "L", "3/8", "Let out side seam: 3/8 in left side only"),
        ("take-in", "centre-back", "", "1", "Take in centre back seam: 1 in each side of the seam"),
        ("lost-art", "side-seam", "L", "1/4", "lost-art side-seam L 1/4"),
        ("let-out", "lost-seam", "", None, "let-out lost-seam"),
    ],
)
def test_alteration_in_words(operation, seam, *, side, amount, said):
    length = parse(amount) if amount else None
    alteration = Alteration(operation=operation, seam=seam, side=side, amount=length)

    assert wording.alteration_text(alteration, "coat", "in") == said


@pytest.mark.parametrize(
    ("zone", "fault", "side", "amount", "said"),
    [
        ("vents", "", "", None, "Vents: clean"),
        ("collar", "collar-stands-off", "", "3/8", "Collar: Stands off the neck, 3/8 in"),
        ("lost-zone", "lost-fault", "L", None, "lost-zone: lost-fault, left"),
    ],
)
def test_observation_in_words(zone, fault, *, side, amount, said):
    length = parse(amount) if amount else None
    seen = Observation(zone=zone, fault=fault, side=side, amount=length)

    assert wording.observation_text(seen, "coat", "in") == said


@pytest.mark.parametrize(
    ("reason", "amount", "said"),
    [
        ("used", "-3/8", "Side seam left: 3/8 in let out"),
        ("freed", "1/4", "Side seam left: 1/4 in taken in"),
        ("counted", "1/8", "Side seam left: counted, 1/8 in more than entered before"),
        ("counted", "-1/8", "Side seam left: counted, 1/8 in less than entered before"),
        ("counted", "0", "Side seam left: counted, as entered before"),
    ],
)
def test_inlay_in_words(reason, amount, said):
    movement = InlayMovement(
        seam="side-seam", side="L", amount=parse(amount, signed=True), reason=reason
    )

    assert wording.inlay_text(movement, "coat", "in") == said


def test_moment_is_told_by_the_houses_clock():
    # British Summer Time: an hour ahead from 29 March 2026, 01:00 UTC (tz database, Europe/London)
    at = datetime.datetime(2026, 3, 29, 23, 30, tzinfo=datetime.UTC)

    assert wording.moment(at) == "30 Mar 2026, 00:30"
    assert wording.house_time(at).date() == datetime.date(2026, 3, 30)
