import datetime
import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from tests.workroom.scenes import answer

pytestmark = pytest.mark.django_db


def page(name, *args):
    return reverse(f"workroom:{name}", args=args)


def test_ticket_detail_shows_the_newest_revision(as_bench, changed):
    response = as_bench.get(page("ticket_detail", changed.ticket.number))

    assert response.context["revision"] == changed
    assert response.context["stale"] is False


@pytest.mark.parametrize("written", ["t1001h", "T1001H", "t1001-h"])
def test_ticket_detail_takes_a_number_as_spoken(as_bench, revision, written):
    assert revision.ticket.number == "T1001-H"

    response = as_bench.get(page("ticket_detail", written))

    assert response.context["revision"] == revision


@pytest.mark.parametrize("number", ["T1001-J", "T9999-0", "x", "🧵", "T" * 90])
def test_ticket_pages_of_no_ticket_are_not_found(as_bench, revision, number):
    pages = [
        as_bench.get(page("ticket_detail", number)),
        as_bench.get(page("ticket_scan", number, 1)),
        as_bench.get(page("ticket_pdf", number, 1)),
        as_bench.post(page("answer_create", number, 1)),
    ]

    assert [response.status_code for response in pages] == [404] * 4


def test_ticket_scan_of_an_old_paper_says_so_and_links(as_bench, revision, changed):
    response = as_bench.get(page("ticket_scan", revision.ticket.number, 1))

    body = response.content.decode()
    assert "Revision 1 was replaced: destroy that paper" in body
    assert body.count(f'href="{page("ticket_detail", revision.ticket.number)}"') == 1
    assert page("answer_create", revision.ticket.number, 1) not in body


def test_ticket_scan_needs_somebody_signed_in(client, revision):
    address = page("ticket_scan", revision.ticket.number, 1)

    response = client.get(address)

    assert response["Location"] == f"{reverse('accounts:sign_in')}?next={address}"


def test_ticket_detail_offers_a_change_to_fitters_only(client, revision, fitter, bench):
    change = page("ticket_revise", revision.ticket.number)
    bodies = []
    for person in (fitter, bench):
        client.force_login(person)
        bodies.append(client.get(page("ticket_detail", revision.ticket.number)).content.decode())

    assert [change in body for body in bodies] == [True, False]


# Session, user and groups; the revision, its lines, the house, the history, its answers.
@pytest.mark.parametrize("answers", [0, 3, 12])
def test_ticket_detail_asks_the_same_queries(
    as_bench, revision, bench, django_assert_num_queries, answers
):
    for _ in range(answers):
        answer(revision, "asks", bench, reason="How far?")
    as_bench.get(page("ticket_detail", revision.ticket.number))

    with django_assert_num_queries(9):
        as_bench.get(page("ticket_detail", revision.ticket.number))


# The paper


def numbers_in(response):
    assert response["Content-Type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(response.content))
    return [each.extract_text().split()[0] for each in reader.pages]


def test_ticket_pdf_holds_that_revision(as_bench, revision, changed):
    response = as_bench.get(page("ticket_pdf", revision.ticket.number, 1))

    assert numbers_in(response) == [revision.ticket.number]
    assert response["Content-Disposition"] == (f'inline; filename="{revision.ticket.number}-1.pdf"')


def test_tickets_pdf_prints_all_that_is_owed_that_day(as_bench, make_tickets, bench, tomorrow):
    first, done, last = make_tickets(3)
    make_tickets(1, due_on=tomorrow + datetime.timedelta(days=1))
    answer(done.revisions.get(), "done", bench)

    response = as_bench.get(page("tickets_pdf"), {"day": tomorrow.isoformat()})

    assert numbers_in(response) == [first.number, last.number]


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("2026-02-02", "Nothing is owed for Monday 2 February 2026."),
        ("", "Say which day to print."),
        ("soon", "Enter a valid date."),
        ("2026-02-31", "Enter a valid date."),
    ],
)
def test_tickets_pdf_of_no_day_says_why(as_bench, day, said):
    response = as_bench.get(page("tickets_pdf"), {"day": day}, follow=True)

    assert [str(message) for message in response.context["messages"]] == [said]


@pytest.mark.parametrize("count", [1, 3])
def test_tickets_pdf_asks_the_same_queries(
    as_bench, make_tickets, tomorrow, django_assert_num_queries, count
):
    make_tickets(count)
    as_bench.get(page("ticket_list"))

    # Session, user and groups; what is owed, the house, the revisions, their lines, photographs.
    with django_assert_num_queries(8):
        as_bench.get(page("tickets_pdf"), {"day": tomorrow.isoformat()})
