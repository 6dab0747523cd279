"""The pages: what is shown before anything goes, what is refused, and how much they ask."""

import uuid

import pytest
from django.urls import reverse

from customers.models import Customer
from fittings.models import Erasure, RetentionRule
from tests.factories import BookingFactory, CustomerFactory, GarmentFactory, RemarkFactory
from tests.privacy.person import NAME

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client, owner):
    client.force_login(owner)
    return client


def erase_page(customer):
    return reverse("privacy:customer_erase", args=[customer.number])


def filled(customer, **values):
    usual = {"entry_id": str(uuid.uuid4()), "reason": "asked", "close_open": "on"}
    return usual | {"typed": customer.number} | values


def test_page_says_what_goes_before_it_goes(client, person):
    page = client.get(erase_page(person)).content.decode()

    assert "What goes, for good" in page
    assert "What stays, under the number alone" in page
    assert Erasure.objects.count() == 0


def test_house_that_a_restore_set_aside_is_told_of(client, person, data, erase):
    (data / "before-2026-11-25T18-00-00Z").mkdir()
    told = "until somebody deletes it: before-2026-11-25T18-00-00Z."

    before = client.get(erase_page(person)).content.decode()
    erase(person)
    after = client.get(f"/privacy/of/{person.number}/").content.decode()

    assert [told in page for page in (before, after)] == [True, True]


def test_form_erases_and_shows_that_it_did(client, person):
    answer = client.post(erase_page(person), filled(person), follow=True)

    assert answer.redirect_chain == [(f"/privacy/of/{person.number}/", 302)]
    assert (NAME in answer.content.decode(), "Erased on" in answer.content.decode()) == (
        False,
        True,
    )


@pytest.mark.parametrize(
    ("spoilt", "field"),
    [({"typed": "C1-0"}, "typed"), ({"reason": ""}, "reason"), ({"close_open": ""}, "close_open")],
)
def test_wrong_form_is_said_beside_its_field(client, person, spoilt, field):
    answer = client.post(erase_page(person), filled(person, **spoilt))

    assert (answer.status_code, list(answer.context["form"].errors)) == (422, [field])
    assert Customer.objects.get(pk=person.pk).family_name == NAME


def test_work_in_hand_shows_no_form(client, data):
    customer = GarmentFactory(stage="basted").customer

    page = client.get(erase_page(customer)).content.decode()

    assert "This stands in the way" in page
    assert "for good</button>" not in page


def test_erased_customers_page_offers_nothing_new(client, person, erase):
    erase(person)

    page = client.get(reverse("folios:customer_folio", args=[person.number])).content.decode()

    assert "Only the number is left" in page
    assert [
        door for door in ("Book a fitting", ">Measure</a>", ">Change</a>") if door in page
    ] == []


@pytest.mark.parametrize(
    ("page", "values"),
    [
        ("customers:customer_update", {}),
        ("customers:consent_create", {"kind": "messages", "given": "yes", "wording": "?"}),
    ],
)
def test_nothing_new_is_kept_of_the_erased(client, person, erase, page, values):
    erase(person)
    sent = {"entry_id": str(uuid.uuid4()), "given_on": "2026-01-05", "family_name": NAME}

    client.post(reverse(page, args=[person.number]), sent | {"version": 2} | values)

    assert Customer.objects.get(pk=person.pk).family_name == "(erased)"
    assert person.consents.filter(wording="?").count() == 0


def test_erased_are_not_among_the_registered_last(client, person, erase):
    erase(person)

    assert client.get("/customers/").context["page_obj"].object_list.count() == 0


def test_rule_is_kept_and_leads_to_what_is_due(client, owner):
    sent = {"entry_id": str(uuid.uuid4()), "years": "7", "photograph_months": "24"}

    answer = client.post("/privacy/rule/", sent)

    held = RetentionRule.objects.get()
    assert (answer.url, held.years, held.photograph_months, held.alone, held.by) == (
        "/privacy/due/",
        7,
        24,
        False,
        owner,
    )


@pytest.mark.parametrize("years", ["0", "101", "seven"])
def test_rule_that_cannot_be_is_said_beside_its_field(client, years):
    answer = client.post("/privacy/rule/", {"entry_id": str(uuid.uuid4()), "years": years})

    assert (answer.status_code, list(answer.context["form"].errors)) == (422, ["years"])


ASKS = {
    "/privacy/": 5,
    "/privacy/due/": 4,
    "/privacy/rule/": 4,
    "/privacy/of/{}/": 42,
    "/privacy/of/{}/erase/": 48,
}


@pytest.mark.parametrize("page", ASKS)
def test_page_asks_as_much_for_one_as_for_many(client, person, page, django_assert_num_queries):
    address, by = page.format(person.number), person.consents.first().by
    for _ in range(2):
        with django_assert_num_queries(ASKS[page]):
            client.get(address)
        for _ in range(3):
            RemarkFactory(fitting=person.fittings.get(), garment=person.garments.get(), by=by)
            BookingFactory(customer=person, state="missed", note="Rain")
            CustomerFactory()


def test_unknown_customer_is_not_found(client):
    pages = ("customer_held", "customer_export", "customer_erase")

    answers = [client.get(reverse(f"privacy:{page}", args=["C1-0"])) for page in pages]
    assert [answer.status_code for answer in answers] == [404, 404, 404]
