"""What is asked of a garment's pattern, and what was carried, on the garment's page."""

import uuid

import pytest

from garments.carrying.services import answer_carry
from garments.models import Garment
from tests.factories import AlterationFactory, GarmentFactory, JudgementFactory, UserFactory
from tests.folios.test_garment_folio import page_of, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def tam():
    return UserFactory(role="fitter", first_name="Tam", last_name="Reed")


@pytest.fixture
def known(tam):
    """A coat ordered, not cut, of a customer whose coat before was let out."""
    before = GarmentFactory(stage="delivered")
    JudgementFactory(alteration=AlterationFactory(garment=before, by=tam), by=tam)
    return GarmentFactory(customer=before.customer, stage="ordered")


def test_garment_page_shows_what_is_asked_of_its_pattern(client, sign_in, known):
    sign_in("fitter")

    page = text_of(page_of(client, known))

    assert "Carry into the pattern Answer Let out, side seam: 3/8 in each side to be" in page


@pytest.mark.parametrize(("role", "doors"), [("workroom", 0), ("fitter", 1)])
def test_door_to_the_answers_is_for_who_cuts(client, sign_in, known, role, doors):
    sign_in(role)

    page = page_of(client, known).content.decode()

    assert page.count(f"/garments/{known.number}/carry/") == doors


def test_cut_garment_shows_and_tells_what_was_carried(client, sign_in, tam, known):
    values = {"entry_id": uuid.uuid4(), "operation": "let-out", "seam": "side-seam"}
    answer_carry(garment=known, side="both", accepted=True, by=tam, **values)
    Garment.objects.filter(pk=known.pk).update(stage="basted")
    sign_in("owner")

    page = text_of(page_of(client, known))

    assert "Let out, side seam: 3/8 in each side carried" in page
    assert "Pattern Carried: let out, side seam, 3/8 in each side – Tam Reed" in page


@pytest.mark.parametrize("garments", [1, 10])
def test_page_of_an_ordered_garment_asks_the_same_queries(
    client, sign_in, known, django_assert_num_queries, garments
):
    sign_in("owner")
    page_of(client, known)
    for _ in range(garments):
        before = GarmentFactory(customer=known.customer, stage="delivered", serial=serial_below())
        JudgementFactory(alteration=AlterationFactory(garment=before))

    # as a garment that is cut, without its measures since, and three for what past garments needed
    with django_assert_num_queries(34):
        page_of(client, known)


def serial_below():
    """Ordered before every other."""
    return Garment.objects.order_by("serial").values_list("serial", flat=True)[0] - 3
