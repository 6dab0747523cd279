import datetime
import io
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from garments.workroom.services import answer_ticket
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def make_tickets(make_garment, issue, decide):
    """As many tickets of as many garments, all due on one day."""

    def make(count, **given):
        tickets = []
        for _ in range(count):
            garment = make_garment(stage="first-fitting")
            lines = [
                decide("raise-hem", "hem", "both", "1/4", garment=garment),
                decide("let-out", "side-seam", "both", "1/8", garment=garment),
            ]
            tickets.append(issue(*lines, garment=garment, **given))
        return tickets

    return make


def answer(revision, kind, by, reason=""):
    answer_ticket(entry_id=uuid.uuid4(), revision=revision, kind=kind, reason=reason, by=by)


def shown(response):
    return [row.ticket for _, rows in response.context["days"] for row in rows]


def page(name, *args):
    return reverse(f"workroom:{name}", args=args)


# The list


def test_ticket_list_shows_what_is_owed_late_first(as_bench, make_tickets, bench):
    today = timezone.localdate()
    later = make_tickets(1, due_on=today + datetime.timedelta(days=2))
    soon = make_tickets(2, due_on=today)
    answer(soon[0].revisions.get(), "done", bench)

    response = as_bench.get(page("ticket_list"))

    assert shown(response) == [soon[1], *later]


def test_ticket_list_calls_a_day_past_late(as_bench, make_tickets, monkeypatch):
    make_tickets(1)
    after = timezone.localdate() + datetime.timedelta(days=5)
    monkeypatch.setattr(timezone, "localdate", lambda: after)

    response = as_bench.get(page("ticket_list"))

    assert response.content.decode().count('class="badge late"') == 1


def test_ticket_list_asked_for_done_shows_only_done(as_bench, make_tickets, bench):
    done, _ = make_tickets(2)
    answer(done.revisions.get(), "done", bench)

    response = as_bench.get(page("ticket_list"), {"state": "done"})

    assert shown(response) == [done]


@pytest.mark.parametrize(("later", "rows"), [(60, 1), (61, 0)])
def test_ticket_list_lets_what_is_done_go_after_sixty_days(
    as_bench, make_tickets, monkeypatch, later, rows
):
    (done,) = make_tickets(1, due_on=timezone.localdate())
    answer(done.revisions.get(), "done", UserFactory())
    after = timezone.localdate() + datetime.timedelta(days=later)
    monkeypatch.setattr(timezone, "localdate", lambda: after)

    response = as_bench.get(page("ticket_list"), {"state": "done"})

    assert len(shown(response)) == rows


def test_ticket_list_leaves_out_a_garment_gone(as_bench, make_tickets):
    gone, kept = make_tickets(2)
    gone.garment.stage = "delivered"
    gone.garment.save()

    assert shown(as_bench.get(page("ticket_list"))) == [kept]


@pytest.mark.parametrize("kind", ["", "taken", "asks", "cannot"])
def test_ticket_list_asked_for_a_state_shows_that_state(as_bench, make_tickets, bench, kind):
    kinds = ["", "taken", "asks", "cannot"]
    tickets = dict(zip(kinds, make_tickets(4), strict=True))
    for given in kinds[1:]:
        answer(tickets[given].revisions.get(), given, bench, reason="Look at it")
    state = {"": "issued", "taken": "in-hand", "asks": "asks", "cannot": "sent-back"}[kind]

    response = as_bench.get(page("ticket_list"), {"state": state})

    assert shown(response) == [tickets[kind]]


def test_ticket_list_asked_for_a_day_shows_that_day(as_bench, make_tickets):
    today = timezone.localdate()
    make_tickets(1, due_on=today)
    (wanted,) = make_tickets(1, due_on=today + datetime.timedelta(days=1))

    response = as_bench.get(
        page("ticket_list"), {"day": (today + datetime.timedelta(days=1)).isoformat()}
    )

    assert shown(response) == [wanted]


def test_ticket_list_shows_why_it_was_sent_back(as_bench, revision, bench):
    answer(revision, "cannot", bench, reason="No cloth in the <hem>")

    response = as_bench.get(page("ticket_list"))

    assert response.content.decode().count("No cloth in the &lt;hem&gt;") == 1


@pytest.mark.parametrize(
    ("asked", "field"),
    [({"state": "lost"}, "state"), ({"day": "soon"}, "day"), ({"day": "2026-02-31"}, "day")],
)
def test_ticket_list_refuses_a_filter_beside_its_field(as_bench, asked, field):
    response = as_bench.get(page("ticket_list"), asked)

    assert (response.status_code, list(response.context["form"].errors)) == (422, [field])


def test_ticket_list_puts_forty_on_a_page(as_bench, make_tickets):
    tickets = make_tickets(41)

    response = as_bench.get(page("ticket_list"), {"page": "2"})

    assert shown(response) == tickets[40:]


# Session, user and groups; the count, the rows, their lines.
@pytest.mark.parametrize("count", [1, 3, 30])
def test_ticket_list_asks_the_same_queries(
    as_bench, make_tickets, django_assert_num_queries, count
):
    make_tickets(count)

    with django_assert_num_queries(6):
        as_bench.get(page("ticket_list"))


# One ticket


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

    with django_assert_num_queries(8):
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

    # Session, user and groups; what is owed, the house, the revisions, their lines.
    with django_assert_num_queries(7):
        as_bench.get(page("tickets_pdf"), {"day": tomorrow.isoformat()})
