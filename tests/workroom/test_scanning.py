"""A paper's code by a scanner that types, or its number by hand. Works without JavaScript."""

import pytest
from django.urls import reverse

from customers import numbers
from garments.workroom.scanning import Scanned, read_code
from tests.factories import CustomerFactory

FIND = reverse("workroom:ticket_find")
NO_CODE = "That is no ticket's code: scan it again, or type the number, as T1001-H."


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("https://house.example/workroom/t/T1001-H/2/", ("T1001-H", 2)),
        ("http://t900.example:8000/workroom/t/T1001-H/12/", ("T1001-H", 12)),
        ("/workroom/T1001-H/", ("T1001-H", 0)),
        ("T1001-H", ("T1001-H", 0)),
        ("  t1001h ", ("T1001-H", 0)),
        ("t 1001 h", ("T1001-H", 0)),
        ("t1001-h revision 3", ("T1001-H", 3)),
        ("T1001-H r2", ("T1001-H", 2)),
        ("T1001-H/2", ("T1001-H", 2)),
        # As a scanner types an English code on a German keyboard: y and z, - and / change places.
        ("httpsÖ--house.eyample-workroom-t-T1001ßH-2-", ("T1001-H", 2)),
    ],
)
def test_code_leads_to_number_and_revision(typed, read):
    assert read_code(typed) == Scanned(*read)


@pytest.mark.parametrize("serial", range(1001, 1400))
def test_every_number_reads_back_from_its_address(serial):
    number, _ = numbers.next_number("T", serial)

    assert read_code(f"https://a1.example/workroom/t/{number}/7/") == (number, 7)


@pytest.fixture
def opened(as_bench):
    def open_code(code):
        return as_bench.get(FIND, {"code": code})

    return open_code


def error_of(response):
    (said,) = response.context["form"].errors["code"]
    return response.status_code, said


@pytest.mark.django_db
def test_scanned_paper_opens_its_own_page(opened, revision):
    number = revision.ticket.number

    response = opened(f"https://elsewhere.example/workroom/t/{number}/1/")

    assert (response.status_code, response["Location"]) == (302, f"/workroom/t/{number}/1/")


@pytest.mark.django_db
def test_typed_number_opens_the_revision_that_holds(opened, changed):
    response = opened(changed.ticket.number.replace("-", "").lower())

    assert response["Location"] == f"/workroom/t/{changed.ticket.number}/2/"


@pytest.mark.django_db
def test_scanned_old_paper_is_refused_with_the_new_number(as_bench, opened, changed):
    number = changed.ticket.number

    body = as_bench.get(opened(f"https://x.example/workroom/t/{number}/1/")["Location"]).content

    assert body.count(b"Revision 1 was replaced: destroy that paper") == 1
    assert body.count(b">Go to revision 2</a>") == 1
    assert b"answer/" not in body


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("", "Scan a ticket's code, or type its number."),
        ("5012345678900", NO_CODE),
        ("https://example.org/?q=tie", NO_CODE),
        ("T1001", "The check character does not fit: look at the number again."),
        ("<script>alert(1)</script>", NO_CODE),
        ("🧵" * 40, NO_CODE),
        ("T1001-J", "The check character does not fit: look at the number again."),
        ("T9001-0", "There is no ticket T9001-0."),
        ("T1001-H/9", "There is no ticket T1001-H revision 9."),
        ("T1001-H/9999", "There is no ticket T1001-H revision 9999."),
        ("a\0T1001-H", "Null characters are not allowed."),
        ("T" * 301, "Ensure this value has at most 300 characters (it has 301)."),
    ],
)
def test_what_is_no_ticket_is_said_beside_the_field(opened, revision, code, said):
    assert revision.ticket.number == "T1001-H"

    response = opened(code)

    assert error_of(response) == (422, said)
    assert response.context["form"]["code"].value() == code


@pytest.mark.django_db
def test_number_of_something_else_says_of_what(opened, coat):
    customer = CustomerFactory()

    assert error_of(opened(coat.number)) == (
        422,
        f"{coat.number} is the number of a garment: scan or type the ticket's.",
    )
    assert error_of(opened(customer.number))[1].startswith(
        f"{customer.number} is the number of a customer"
    )


@pytest.mark.django_db
def test_field_stands_on_the_list_ready_to_be_typed_into(as_bench):
    body = as_bench.get(reverse("workroom:ticket_list")).content.decode()

    assert body.count(f'<form class="scan" method="get" action="{FIND}"') == 1
    assert body.count('name="code" maxlength="300"') == 1
    assert body.count(" autofocus>") == 1


@pytest.mark.django_db
def test_page_without_a_code_asks_for_one(as_bench):
    response = as_bench.get(FIND)

    assert (response.status_code, response.context["form"].errors) == (200, {})


# Session, user and groups; the revision with its ticket.
@pytest.mark.django_db
@pytest.mark.parametrize("with_changes", [False, True])
def test_opening_asks_the_same_queries(
    opened, revision, request, django_assert_num_queries, with_changes
):
    if with_changes:
        request.getfixturevalue("changed")

    with django_assert_num_queries(4):
        opened(revision.ticket.number)
