"""The owner's page of who looked and who changed: filters, pages, and always as many queries."""

import datetime

import pytest
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.models import House
from customers.services import update_customer, update_house
from fittings.models import MessageEvent, Seen
from fittings.privacy import audit
from fittings.privacy.holdings import HOLDINGS
from tests.factories import CustomerFactory, RemarkFactory, UserFactory

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def client(client, owner):
    client.force_login(owner)
    return client


def look(by, customer=None, number=0, days=0, **values):
    return Seen.objects.create(
        by=by,
        customer=customer and customer.pk,
        page="folios:customer_folio",
        mark=f"{number}:{days}",
        at=timezone.now() - days * DAY,
        **values,
    )


def lines(client, **asked):
    return client.get("/privacy/looked-at/", asked).context["lines"]


def test_looks_are_listed_newest_first(client, owner):
    customer = CustomerFactory()
    look(owner, customer, days=2)
    look(owner, days=1, refused=True)

    told = [(line.by, line.what, line.customer, line.odd) for line in lines(client)]
    assert told == [
        (owner.get_full_name(), "folios: customer folio", None, True),
        (owner.get_full_name(), "folios: customer folio", customer, False),
    ]


def test_looks_are_sifted_by_customer_person_day_and_refusal(client, owner):
    customer, other = CustomerFactory(), UserFactory()
    look(owner, customer, 1, days=40)
    look(other, customer, 2)
    look(owner, None, 3, refused=True)
    today = timezone.localdate()

    counts = [
        len(lines(client, **asked))
        for asked in (
            {"customer": customer.number.lower()},
            {"by": other.pk},
            {"refused": "on"},
            {"since": str(today - 50 * DAY), "until": str(today - 30 * DAY)},
            {},
        )
    ]
    assert counts == [1, 1, 1, 1, 2]


def test_every_kind_of_entry_is_in_the_list_of_changes(person, client):
    kinds = {
        holding.label
        for holding in HOLDINGS
        if issubclass(holding.model, LedgerEntry) or holding.model is MessageEvent
    }

    page = client.get(f"/privacy/looked-at/?what=changed&customer={person.number}")
    told = {line.what.partition(" (")[0] for line in page.context["lines"]}
    assert told == kinds
    assert all(line.customer == person for line in page.context["lines"])


def test_change_of_details_names_the_columns_and_no_value(client, owner):
    customer = CustomerFactory()
    values = {"phone": "01632 960 999", "notes": "Rings at noon", "title": ""}
    update_customer(customer=customer, version=1, values=values, by=owner)

    (line,) = lines(client, what="changed")
    assert (line.what, line.customer) == ("Changes of their details (phone, notes)", customer)


def test_form_kept_unchanged_is_no_change(client, owner):
    customer = CustomerFactory()
    update_customer(customer=customer, version=1, values={"phone": customer.phone}, by=owner)

    assert lines(client, what="changed") == []


def test_change_of_the_house_has_no_customer(client, owner):
    update_house(house=House.get(), version=1, values={"name": "Weir"}, by=owner)

    told = [(line.what, line.customer) for line in lines(client, what="changed")]
    assert told == [("Changes of their details (name)", None)]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"customer": "C1-0"}, "The check character does not fit: look at the number again."),
        ({"since": "yesterday"}, "Write the day as year-month-day: 2026-11-25."),
        ({"since": "2026-02-02", "until": "2026-02-01"}, "It must not be before the first day."),
        (
            {"by": "nobody"},
            "Select a valid choice. That choice is not one of the available choices.",
        ),
    ],
)
def test_wrong_question_is_said_beside_its_field(client, asked, said):
    answer = client.get("/privacy/looked-at/", asked)

    assert answer.status_code == 422
    assert [text for texts in answer.context["form"].errors.values() for text in texts] == [said]


@pytest.mark.parametrize(("what", "count"), [("seen", 8), ("changed", 8)])
def test_page_asks_as_much_for_one_as_for_many(
    client, owner, what, count, django_assert_num_queries
):
    for number in range(3):
        customer = CustomerFactory()
        look(owner, customer, number)
        RemarkFactory(fitting__customer=customer, garment__customer=customer, by=owner)
        if number in {0, 2}:
            with django_assert_num_queries(count):
                client.get("/privacy/looked-at/", {"what": what})


def test_fifty_lines_stand_on_a_page(client, owner):
    Seen.objects.bulk_create(
        Seen(by=owner, page="diary:today", mark=str(number)) for number in range(51)
    )

    assert [len(lines(client, page=page)) for page in (1, 2)] == [50, 1]


def test_days_of_the_question_are_the_houses_days():
    asked = audit.Asked(since=datetime.date(2026, 3, 29), until=datetime.date(2026, 3, 29))

    begins, ends = (moment.astimezone(datetime.UTC) for moment in asked.span)
    assert (ends - begins).total_seconds() == 23 * 3600  # the clocks go forward
