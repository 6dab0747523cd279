"""Finding, registering and changing customers, and what the pages do with nonsense."""

import uuid
from http import HTTPStatus

import pytest
from django.urls import reverse

from customers.models import Customer
from customers.people import name_of
from tests.factories import CustomerFactory, UserFactory

FIND = "/customers/"
NEW = "/customers/new/"
MEGABYTE = "x" * 1_000_000
SCRIPT = "<script>alert(1)</script>"
TOO_LONG_60 = "Ensure this value has at most 60 characters (it has 1000000)."
NO_MARKUP = "Leave out < and > and hidden characters."

PERSON = {
    "title": "Ms",
    "given_name": "Ida",
    "family_name": "Lark",
    "phone": "01632 960 222",
    "email": "ida@lark.example",
    "unit": "cm",
    "notes": "Left-handed.\nRings first.",
}


def names(answer):
    return [customer.name for customer in answer.context["page_obj"]]


def errors_of(answer):
    return {name: list(texts) for name, texts in answer.context["form"].errors.items()}


# Finding


def test_find_shows_who_was_registered_last(client, fitter, ozge):
    newer = CustomerFactory()

    assert names(client.get(FIND)) == [newer.name, "Özge Winter"]


@pytest.mark.parametrize(("typed", "found"), [("oz", ["Özge Winter"]), ("o", []), ("zz", [])])
def test_find_answers_from_second_letter(client, fitter, ozge, typed, found):
    answer = client.get(FIND, {"q": typed})

    assert names(answer) == found
    assert ("Nobody found" in answer.text) is (found == [])


def test_find_as_one_types_draws_list_alone(client, fitter, ozge):
    answer = client.get(FIND, {"q": "win"}, headers={"HX-Request": "true", "HX-Target": "found"})

    assert answer.text.strip().startswith("<h2>1 found</h2>")
    assert "<html" not in answer.text
    assert answer["HX-Replace-Url"] == "/customers/?q=win"


def test_find_by_htmx_elsewhere_gives_whole_page(client, fitter, ozge):
    answer = client.get(FIND, {"q": "win"}, headers={"HX-Request": "true", "HX-Target": "other"})

    assert answer.text.count("<html") == 1
    assert "HX-Replace-Url" not in answer


def test_found_customer_leads_to_their_page(client, fitter, ozge):
    answer = client.get(FIND, {"q": "oz"})

    assert f'href="{ozge.get_absolute_url()}"' in answer.text
    assert ozge.number in answer.text


def test_find_pages_twenty_at_a_time(client, fitter):
    CustomerFactory.create_batch(23)

    first, second = client.get(FIND), client.get(FIND, {"page": "2"})

    assert (len(names(first)), len(names(second))) == (20, 3)


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        (MEGABYTE, 422, "That is too long to look for."),
        ("\x00\x00", 422, "Null characters are not allowed."),
        (SCRIPT, 200, "Nobody found"),
        ("%' OR 1=1 --", 200, "Nobody found"),
    ],
)
def test_find_survives_what_is_no_question(client, ozge, typed, status, said):
    answer = client.get(FIND, {"q": typed[:3000]})

    assert (answer.status_code, said in answer.text, SCRIPT in answer.text) == (status, True, False)


@pytest.mark.parametrize("page", ["0", "-1", "99", "9" * 5000, "x", ""])
def test_find_page_out_of_range_shows_a_page(client, fitter, ozge, page):
    assert names(client.get(FIND, {"page": page})) == ["Özge Winter"]


@pytest.mark.parametrize("customers", [1, 3, 30])
def test_find_costs_same_queries(client, fitter, customers, django_assert_num_queries):
    CustomerFactory.create_batch(customers, family_name="Marrow")

    with django_assert_num_queries(5):  # session, user, roles, count, customers
        client.get(FIND, {"q": "mar"})


@pytest.mark.parametrize("role", ["front of house", "fitter", "owner"])
def test_find_is_open_to_the_desk(client, ozge, role):
    client.force_login(UserFactory(role=role))

    assert names(client.get(FIND)) == ["Özge Winter"]


# Registering and changing


def test_register_keeps_all_that_was_typed(client, fitter):
    answer = client.post(NEW, {**PERSON, "form_id": uuid.uuid4()})

    customer = Customer.objects.get()
    kept = {name: getattr(customer, name).replace("\r\n", "\n") for name in PERSON}
    assert (answer.url, kept) == (customer.get_absolute_url(), PERSON)


def test_register_sent_twice_keeps_one(client, fitter):
    form = {**PERSON, "form_id": str(uuid.uuid4())}

    first, second = client.post(NEW, form), client.post(NEW, form)

    assert (first.url, Customer.objects.count()) == (second.url, 1)


@pytest.mark.parametrize(
    "same",
    [
        {"given_name": "ozge", "family_name": "WINTER"},
        {"phone": "+44 1632 960777"},
    ],
)
def test_register_asks_whether_same_person(client, fitter, ozge, same):
    answer = client.post(NEW, {**PERSON, **same})

    assert errors_of(answer) == {
        "different": ["Someone like this is known already: is it the same one?"]
    }
    assert answer.context["form"].alike == [ozge]
    assert (answer.status_code, Customer.objects.count()) == (422, 1)


def test_register_keeps_different_person_when_ticked(client, fitter, ozge):
    client.post(NEW, {**PERSON, "phone": ozge.phone, "different": "on"})

    assert Customer.objects.count() == 2


BAD_PERSON = [
    ("family_name", "", "This field is required."),
    ("family_name", "   ", "This field is required."),
    ("family_name", MEGABYTE, TOO_LONG_60),
    ("given_name", SCRIPT, NO_MARKUP),
    ("family_name", SCRIPT, NO_MARKUP),
    ("given_name", "a\x00b", "Null characters are not allowed."),
    ("title", "x" * 21, "Ensure this value has at most 20 characters (it has 21)."),
    (
        "phone",
        "ring me",
        "Write the number in figures, like 01632 960 101 or +44 1632 960101.",
    ),
    ("email", "nobody", "Enter a valid email address."),
    ("unit", "ell", "Select a valid choice. ell is not one of the available choices."),
    ("notes", "x" * 2001, "Ensure this value has at most 2000 characters (it has 2001)."),
]


@pytest.mark.parametrize(("field", "value", "message"), BAD_PERSON)
def test_register_refuses_beside_the_field(client, fitter, field, value, message):
    answer = client.post(NEW, {**PERSON, field: value})

    assert (answer.status_code, errors_of(answer)) == (422, {field: [message]})
    assert answer.context["form"][field].value() == value
    assert (f'id="id_{field}_error"' in answer.text, SCRIPT in answer.text) == (True, False)
    assert Customer.objects.count() == 0


@pytest.mark.parametrize("form_id", ["", "nonsense", SCRIPT])
def test_register_without_its_id_is_told_or_kept(client, fitter, form_id):
    answer = client.post(NEW, {**PERSON, "form_id": form_id})

    assert (answer.status_code, Customer.objects.count()) == ((302, 1) if not form_id else (422, 0))


def test_register_with_nothing_at_all_asks_for_the_name(client, fitter):
    answer = client.post(NEW, {})

    assert errors_of(answer) == {"family_name": ["This field is required."]}


def change(customer):
    return reverse("customers:customer_update", args=[customer.number])


def test_change_page_shows_what_is_kept(client, fitter, ozge):
    form = client.get(change(ozge)).context["form"]

    assert (form["given_name"].value(), form["version"].value()) == ("Özge", 1)


def test_change_is_kept_and_found_again(client, fitter, ozge):
    answer = client.post(change(ozge), {**PERSON, "version": "1"})

    assert answer.url == ozge.get_absolute_url()
    assert list(Customer.objects.matching("ida lark")) == [ozge]


def test_change_after_someone_else_shows_both(client, fitter, ozge):
    client.post(change(ozge), {**PERSON, "version": "1"})

    answer = client.post(
        change(ozge), {**PERSON, "family_name": "Rook", "unit": "", "version": "1"}
    )

    errors = errors_of(answer)
    assert (answer.status_code, errors.pop("__all__")[0][:47]) == (
        409,
        f"{name_of(fitter)} changed this while you had it open"[:47],
    )
    assert errors == {
        name: [f"“{kept}” was kept meanwhile by {name_of(fitter)}. Keep again to put yours there."]
        for name, kept in {"family_name": "Lark", "unit": "centimetres"}.items()
    }
    assert answer.context["form"]["family_name"].value() == "Rook"


def test_change_sent_again_after_clash_is_kept(client, fitter, ozge):
    client.post(change(ozge), {**PERSON, "version": "1"})
    mine = {**PERSON, "family_name": "Rook"}
    clash = client.post(change(ozge), {**mine, "version": "1"})

    client.post(change(ozge), {**mine, "version": clash.context["form"]["version"].value()})

    assert Customer.objects.get().family_name == "Rook"


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize(("field", "value", "message"), BAD_PERSON)
def test_change_refuses_beside_the_field(client, ozge, field, value, message):
    answer = client.post(change(ozge), {**PERSON, "version": "1", field: value})

    assert (answer.status_code, errors_of(answer)) == (422, {field: [message]})
    assert answer.context["form"][field].value() == value
    assert Customer.objects.get().version == 1


@pytest.mark.parametrize(
    ("version", "status"), [("", 422), ("x", 422), ("0", 422), ("9", 409), ("9" * 30, 409)]
)
def test_change_of_impossible_version_writes_nothing(client, fitter, ozge, version, status):
    answer = client.post(change(ozge), {**PERSON, "version": version})

    assert (answer.status_code, Customer.objects.get().family_name) == (status, "Winter")


@pytest.mark.parametrize("page", ["customer_update", "consent_create", "set_create", "set_compare"])
def test_page_of_unknown_customer_is_not_found(client, fitter, page):
    address = reverse(f"customers:{page}", args=["C9999-X"])

    assert client.get(address).status_code == HTTPStatus.NOT_FOUND
    assert client.post(address).status_code in {HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED}


@pytest.mark.parametrize("customers", [1, 3])
def test_change_page_costs_same_queries(client, fitter, customers, django_assert_num_queries):
    customer = CustomerFactory.create_batch(customers)[0]

    with django_assert_num_queries(4):  # session, user, roles, customer
        client.get(change(customer))
