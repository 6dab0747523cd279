"""What speaks against the alterations of a session is told before their ticket is issued."""

import pytest

from customers.lengths import parse
from tests.factories import AlterationFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def take(coat, fitting, fitter):
    """Decide an alteration of the coat in this session."""

    def decided(operation, seam="side-seam"):
        return AlterationFactory(
            garment=coat,
            operation=operation,
            seam=seam,
            side="both",
            amount=parse("1/8"),
            by=fitter,
            at=fitting.started_at,
        )

    return decided


def test_two_against_each_other_are_told_with_the_button(client, fitting, take):
    for operation in ("take-in", "let-out-seat"):
        take(operation)

    page = client.get(fitting.get_absolute_url())

    (told,) = (conflict.words for conflict in page.context["conflicts"])
    assert told.endswith("work against each other at one seam: keep one of them.")
    body = page.content.decode()
    assert body.index("Settle before the ticket") < body.index("Issue the ticket: 2 lines")


def test_what_one_moves_of_another_is_told_with_its_source(client, fitting, take):
    take("let-out", "side-seam")
    take("take-in", "vent")

    body = client.get(fitting.get_absolute_url()).content.decode()

    assert "Altering the seat changes how the vents hang" in body
    assert "TM 10-227, Fitting of Army Uniforms and Footwear, page image 25" in body


def test_line_alone_is_told_nothing(client, fitting, take):
    take("take-in")

    assert client.get(fitting.get_absolute_url()).context["conflicts"] == ()
