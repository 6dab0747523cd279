"""The page "Carry into the pattern": one tap a line, and what it refuses."""

import re
import uuid

import pytest
from django.utils.html import strip_tags

from garments.carrying.services import CUT_ALREADY, NO_REASON, NOT_PROPOSED
from garments.models import CarryAnswer, Garment
from tests.factories import (
    CarryAnswerFactory,
    CutVersionFactory,
    MeasurementSetFactory,
    UserFactory,
)
from tests.garments.carrying.scenes import told

pytestmark = pytest.mark.django_db

KEY = "let-out.side-seam.both"


@pytest.fixture
def page(client, coat, sign_in):
    """The page of the coat, opened or answered by a fitter."""
    sign_in("fitter")
    address = f"/garments/{coat.number}/carry/"

    def ask(answer="", **values):
        if not answer:
            return client.get(address)
        sent = {"entry_id": str(uuid.uuid4()), "change": KEY, "answer": answer} | values
        return client.post(address, sent)

    return ask


def text_of(response):
    return re.sub(r"\s+", " ", strip_tags(response.content.decode())).strip()


def test_page_tells_each_line_with_how_sure_it_is(made, page):
    made({}, {"operation": "redress-collar", "seam": "collar-seam", "side": "", "amount": ""})

    text = text_of(page())

    assert "Let out, side seam: 1/4 in each side to be answered" in text
    assert "Not sure: one garment alone needed 1/4 in." in text
    assert "the collar is made so, not cut." in text


def test_page_without_anything_to_carry_says_so(page):
    assert "Nothing to carry" in text_of(page())


def test_one_tap_carries_the_line(made, page, coat):
    made({})

    response = page("carry", amount="1/4 in")

    assert response["Location"] == f"/garments/{coat.number}/carry/#{KEY}"
    assert told(coat) == [("Let out, side seam", "1/4 in each side", "accepted")]


def test_amount_can_be_changed_when_carried(made, page, coat):
    made({})

    page("carry", amount="10 mm")

    assert CarryAnswer.objects.get().amount.mm == 10


@pytest.mark.parametrize(
    ("answer", "reason"),
    [
        ("cut", "Another cut this time."),
        ("figure", "The figure has changed."),
        ("few", "Too few garments to go by."),
        ("words", "He has lost weight."),
    ],
)
def test_one_tap_leaves_the_line_out_with_its_reason(made, page, answer, reason):
    made({})

    page(answer, reason="He has lost weight.")

    kept = CarryAnswer.objects.get()
    assert (kept.accepted, kept.reason) == (False, reason)


def test_answer_is_changed_by_another_tap(made, page, coat):
    made({})
    page("carry", amount="1/4")

    page("few")

    assert told(coat) == [("Let out, side seam", "1/4 in each side", "refused")]
    assert "Left out: Too few garments to go by. " in text_of(page())


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({"answer": "carry", "amount": ""}, "Amount: Write how much is carried."),
        ({"answer": "carry", "amount": "9 9/8"}, "is not less than one"),
        ({"answer": "carry", "amount": "0"}, "Amount: Say how much."),
        ({"answer": "carry", "amount": "50"}, "Amount: At most 6 in"),
        ({"answer": "words", "reason": ""}, f"The reason: {NO_REASON}"),
        ({"answer": "nonsense", "amount": "1/4"}, "Say whether it is carried or left out."),
        ({"answer": "carry", "amount": "1/4", "change": "x"}, NOT_PROPOSED),
        ({"answer": "carry", "amount": "1/4", "entry_id": "x"}, "There is a problem"),
    ],
)
def test_what_cannot_be_is_told_beside_the_line(made, page, values, error):
    made({})

    response = page(**values)

    assert (response.status_code, CarryAnswer.objects.count()) == (422, 0)
    assert error in text_of(response)


def test_what_was_typed_is_kept_when_refused(made, page):
    made({})

    response = page("carry", amount="11 1/2")

    assert 'value="11 1/2"' in response.content.decode()


def test_page_of_a_cut_garment_shows_and_changes_nothing(made, page, coat):
    made({})
    CarryAnswerFactory(garment=coat)
    Garment.objects.filter(pk=coat.pk).update(stage="basted")

    seen, sent = page(), page("few")

    assert "It is cut already" in text_of(seen)
    assert (sent.status_code, CarryAnswer.objects.count()) == (422, 1)
    assert CUT_ALREADY in text_of(sent)
    assert 'name="answer"' not in seen.content.decode()


@pytest.mark.parametrize("role", ["front of house", "workroom"])
def test_page_opens_for_who_cuts_alone(client, sign_in, coat, role):
    sign_in(role)

    assert client.get(f"/garments/{coat.number}/carry/").status_code == 403


def test_page_of_an_unknown_garment_is_not_found(client, sign_in):
    sign_in("fitter")

    assert client.get("/garments/G9999-9/carry/").status_code == 404


@pytest.mark.parametrize("garments", [1, 3, 30])
def test_page_asks_the_same_queries(made, page, coat, garments, django_assert_num_queries):
    for _ in range(garments):
        measures = MeasurementSetFactory(customer=coat.customer)
        made({}, {"operation": "shorten-cuff", "seam": "cuff"}, measurement_set=measures)

    # session, user, roles, garment, house (the unit), garments before, their measures, the newest,
    # alterations, changes carried, answers
    with django_assert_num_queries(11):
        page()


@pytest.fixture
def order(client, customer):
    """Send an order of a coat for the customer, and tell where that leads."""

    def send():
        values = {
            "entry_id": str(uuid.uuid4()),
            "kind": "coat",
            "cut_version": CutVersionFactory().pk,
            "cloth": "Navy worsted",
            "cloth_pattern": "plain",
            "cutter": UserFactory(role="fitter").pk,
        }
        return client.post(f"/garments/order/{customer.number}/", values)["Location"]

    return send


@pytest.mark.parametrize("role", ["fitter", "owner"])
def test_order_leads_who_cuts_to_the_page(made, sign_in, order, role):
    made({})
    sign_in(role)

    assert order() == f"/garments/{Garment.objects.latest('serial').number}/carry/"


@pytest.mark.parametrize(("role", "altered"), [("front of house", [{}]), ("fitter", [])])
def test_order_leads_to_the_garment_otherwise(made, sign_in, order, role, altered):
    made(*altered)
    sign_in(role)

    assert order() == Garment.objects.latest("serial").get_absolute_url()
