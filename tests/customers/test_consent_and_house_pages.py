"""What customers agree to and the house's own settings: the pages, also given nonsense."""

import datetime
import uuid
from http import HTTPStatus

import pytest
from django.urls import reverse
from django.utils import timezone

from customers.models import Consent, House
from customers.people import name_of
from tests.factories import ConsentFactory, UserFactory

HOUSE = "/customers/house/"
SCRIPT = "<script>alert(1)</script>"
NO_MARKUP = "Leave out < and > and hidden characters."
REOPEN = "This page has lost a part of itself: open it again."


def errors_of(answer):
    return {name: list(texts) for name, texts in answer.context["form"].errors.items()}


# Consent

ANSWER = {
    "kind": "fitting-photographs",
    "given": "yes",
    "given_on": "2026-01-05",
    "wording": "Pictures of the coat may be taken.",
}


def consent(customer):
    return reverse("customers:consent_create", args=[customer.number])


@pytest.mark.parametrize(("given", "kept"), [("yes", True), ("no", False)])
def test_consent_is_entered_with_its_words(client, fitter, ozge, given, kept):
    client.post(consent(ozge), {**ANSWER, "given": given, "entry_id": uuid.uuid4()})

    entry = Consent.objects.get()
    assert (entry.given, entry.wording, entry.by) == (kept, ANSWER["wording"], fitter)
    assert entry.given_on == datetime.date(2026, 1, 5)


def test_consent_sent_twice_is_entered_once(client, fitter, ozge):
    form = {**ANSWER, "entry_id": str(uuid.uuid4())}

    client.post(consent(ozge), form)
    client.post(consent(ozge), form)

    assert Consent.objects.count() == 1


@pytest.mark.parametrize(
    ("query", "begins"),
    [
        ("", "Photographs of the garment on me may be taken"),
        ("?kind=publicity", "The house may show photographs"),
        ("?kind=everything", "Photographs of the garment on me may be taken"),
    ],
)
def test_consent_page_brings_words_for_its_kind(client, fitter, ozge, query, begins):
    form = client.get(consent(ozge) + query).context["form"]

    assert form["wording"].value().startswith(begins)
    assert form["given_on"].value() == timezone.localdate()


def test_consent_page_says_what_was_said_and_cautions(client, fitter, ozge):
    ConsentFactory(customer=ozge, given=False)

    page = client.get(consent(ozge)).text

    assert "5 January 2026: refused photographs for the workroom." in page
    assert "a parent or guardian decides" in page
    assert "Local law says" in page


TOMORROW = (timezone.localdate() + datetime.timedelta(days=1)).isoformat()


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("given", "", "Choose what the customer answered."),
        ("given", "perhaps", "Select a valid choice. perhaps is not one of the available choices."),
        ("given_on", TOMORROW, "That day has not come yet."),
        ("given_on", "0001-01-01", "That is more than a hundred years ago: look at the year."),
        ("given_on", "yesterday", "Enter a valid date."),
        ("given_on", "", "This field is required."),
        ("wording", " ", "This field is required."),
        (
            "wording",
            "x" * 1_000_000,
            "Ensure this value has at most 1000 characters (it has 1000000).",
        ),
        ("kind", SCRIPT, REOPEN),
        ("entry_id", "nonsense", "Enter a valid UUID."),
    ],
)
def test_consent_refuses_beside_the_field(client, ozge, field, value, message):
    answer = client.post(consent(ozge), {**ANSWER, "entry_id": str(uuid.uuid4()), field: value})

    assert (answer.status_code, errors_of(answer)) == (422, {field: [message]})
    assert answer.context["form"][field].value() == value
    assert (message in answer.text, SCRIPT in answer.text) == (True, False)
    assert Consent.objects.count() == 0


def test_consent_words_with_script_are_shown_as_text(client, fitter, ozge):
    answer = client.post(consent(ozge), {**ANSWER, "wording": SCRIPT, "given": ""})

    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in answer.text
    assert SCRIPT not in answer.text


@pytest.mark.parametrize("entries", [1, 3, 12])
def test_consent_page_costs_same_queries(client, fitter, ozge, entries, django_assert_num_queries):
    ConsentFactory.create_batch(entries, customer=ozge)

    with django_assert_num_queries(5):  # session, user, roles, customer, consents with authors
        client.get(consent(ozge))


# The house

SETTINGS = {
    "name": "Weir & Daughter",
    "address": "3 Mill Lane",
    "unit": "cm",
    "opens": "08:30",
    "closes": "17:00",
    "version": "1",
}


@pytest.fixture
def owner(client, db):
    person = UserFactory(role="owner")
    client.force_login(person)
    return person


def test_house_settings_are_changed_in_their_one_row(client, owner):
    client.post(HOUSE, SETTINGS)

    house = House.objects.get()
    assert (house.name, house.unit, house.opens, house.closes) == (
        "Weir & Daughter",
        "cm",
        datetime.time(8, 30),
        datetime.time(17),
    )


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("name", "", "This field is required."),
        ("name", SCRIPT, NO_MARKUP),
        ("name", "x" * 81, "Ensure this value has at most 80 characters (it has 81)."),
        ("address", "x" * 301, "Ensure this value has at most 300 characters (it has 301)."),
        ("unit", "ell", "Select a valid choice. ell is not one of the available choices."),
        ("closes", "08:30", "Closing time comes after opening time."),
        ("closes", "25:00", "Enter a valid time."),
        ("opens", "morning", "Enter a valid time."),
        ("version", "x", REOPEN),
    ],
)
def test_house_refuses_beside_the_field(client, owner, field, value, message):
    answer = client.post(HOUSE, {**SETTINGS, field: value})

    assert (answer.status_code, errors_of(answer)) == (422, {field: [message]})
    assert answer.context["form"][field].value() == value
    assert House.objects.get().version == 1


def test_house_changed_meanwhile_shows_both(client, owner):
    client.post(HOUSE, SETTINGS)

    answer = client.post(HOUSE, {**SETTINGS, "closes": "19:00"})

    assert answer.status_code == HTTPStatus.CONFLICT
    assert errors_of(answer)["closes"] == [
        f"“17:00” was kept meanwhile by {name_of(owner)}. Keep again to put yours there."
    ]


def test_house_is_the_owners_alone(client, fitter):
    assert client.get(HOUSE).status_code == HTTPStatus.FORBIDDEN
    assert client.post(HOUSE, SETTINGS).status_code == HTTPStatus.FORBIDDEN


def test_house_page_costs_four_queries(client, owner, django_assert_num_queries):
    with django_assert_num_queries(4):  # session, user, roles, house
        client.get(HOUSE)
