"""The pages that write: the bench's answers, a ticket issued, a ticket changed."""

import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from customers.people import name_of
from garments.models import Answer, Ticket

pytestmark = pytest.mark.django_db


def page(name, *args):
    return reverse(f"workroom:{name}", args=args)


# Answers


def test_answer_create_keeps_it_and_goes_back_to_the_list(as_bench, revision, bench):
    response = as_bench.post(
        page("answer_create", revision.ticket.number, 1),
        {"entry_id": uuid.uuid4(), "kind": "taken", "back": "list"},
    )

    kept = Answer.objects.get()
    assert (kept.kind, kept.by, response["Location"]) == ("taken", bench, page("ticket_list"))


def test_answer_create_on_an_old_revision_names_the_new_one(as_bench, revision, changed):
    response = as_bench.post(
        page("answer_create", revision.ticket.number, 1),
        {"entry_id": uuid.uuid4(), "kind": "done"},
    )

    number = revision.ticket.number
    assert (response.status_code, response.context["form"].non_field_errors()) == (
        422,
        [f"Revision 1 was replaced: work by revision 2 of {number}."],
    )
    assert not Answer.objects.exists()


def test_answer_create_from_a_browser_sent_twice_is_kept_once(as_bench, revision):
    sent = {"entry_id": uuid.uuid4(), "kind": "done"}
    address = page("answer_create", revision.ticket.number, 1)

    places = [as_bench.post(address, sent)["Location"] for _ in range(2)]

    assert places == [page("ticket_detail", revision.ticket.number)] * 2
    assert Answer.objects.count() == 1


def test_answer_create_only_takes_a_post(as_bench, revision):
    response = as_bench.get(page("answer_create", revision.ticket.number, 1))

    assert response.status_code == 405


# Issuing and changing


def test_ticket_create_offers_open_lines_all_chosen(as_fitter, decide, coat, revision):
    lines = [decide("take-in", "hindarm", "L", "1/8"), decide("let-out", "vent", "both", "3/4")]

    form = as_fitter.get(page("ticket_create", coat.number)).context["form"]

    assert form["alterations"].value() == form.fields["alterations"].offered
    assert set(form.fields["alterations"].offered) == {line.pk for line in lines}


def test_ticket_create_warns_of_an_inlay_too_short(as_fitter, decide, coat):
    decide("let-out", "side-seam", "both", "3/4")

    body = as_fitter.get(page("ticket_create", coat.number)).content.decode()

    short = 'not enough inlay: <span class="fraction">1/8</span> in short'
    assert body.count(short) == 1


def test_short_inlay_is_issued_only_when_the_bench_will_ask(as_fitter, decide, coat, tomorrow):
    line = decide("let-out", "side-seam", "both", "3/4")
    sent = {"entry_id": uuid.uuid4(), "alterations": [line.pk], "due_on": tomorrow.isoformat()}

    refused = as_fitter.post(page("ticket_create", coat.number), sent)
    tickets = Ticket.objects.count()
    as_fitter.post(page("ticket_create", coat.number), sent | {"ask_first": "on"})

    assert (refused.status_code, list(refused.context["form"].errors)) == (422, ["ask_first"])
    assert (tickets, Ticket.objects.count()) == (0, 1)


def test_short_line_left_out_asks_for_nothing(as_fitter, decide, coat, tomorrow):
    decide("let-out", "side-seam", "both", "3/4")
    line = decide("take-in", "hindarm", "L", "1/8")
    sent = {"entry_id": uuid.uuid4(), "alterations": [line.pk], "due_on": tomorrow.isoformat()}

    as_fitter.post(page("ticket_create", coat.number), sent)

    assert Ticket.objects.count() == 1


def test_ticket_create_issues_what_was_chosen(as_fitter, decide, coat, tomorrow):
    wanted, _ = decide("take-in", "hindarm", "L", "1/8"), decide("let-out", "vent", "both", "1/8")

    response = as_fitter.post(
        page("ticket_create", coat.number),
        {
            "entry_id": uuid.uuid4(),
            "alterations": [wanted.pk],
            "due_on": tomorrow.isoformat(),
            "note": "Both sleeves alike",
        },
    )

    ticket = Ticket.objects.get()
    revision = ticket.revisions.get()
    assert response["Location"] == ticket.get_absolute_url()
    assert [line.alteration for line in revision.lines.all()] == [wanted]
    assert (revision.due_on, revision.note) == (tomorrow, "Both sleeves alike")


@pytest.mark.parametrize(
    ("wanted", "gone_to"),
    [
        ("/fitting/1/?garment=G1#next-step", "/fitting/1/?garment=G1#next-step"),
        ("https://elsewhere.example/", "the ticket"),
        ("//elsewhere.example/", "the ticket"),
        ("javascript:alert(1)", "the ticket"),
        ("/\\elsewhere.example/", "the ticket"),
        ("today", "the ticket"),
    ],
)
def test_ticket_create_goes_on_inside_the_house(as_fitter, decide, coat, wanted, gone_to):
    line = decide("take-in", "hindarm", "L", "1/8")
    sent = {"entry_id": uuid.uuid4(), "alterations": [line.pk], "due_on": timezone.localdate()}

    answer = as_fitter.post(page("ticket_create", coat.number), sent | {"next": wanted})

    ticket = Ticket.objects.get().get_absolute_url()
    assert answer["Location"] == {"the ticket": ticket}.get(gone_to, gone_to)


def test_ticket_create_with_nothing_open_says_so(as_fitter, coat):
    body = as_fitter.get(page("ticket_create", coat.number)).content.decode()

    assert "Nothing is open on this garment" in body


# Session, user and groups; the garment, the house, the lines offered, the inlays.
@pytest.mark.parametrize("count", [1, 3, 10])
def test_ticket_create_asks_the_same_queries(
    as_fitter, decide, coat, django_assert_num_queries, count
):
    for _ in range(count):
        decide("let-out", "side-seam", "both", "1/8")
    as_fitter.get(page("ticket_create", coat.number))

    with django_assert_num_queries(8):
        as_fitter.get(page("ticket_create", coat.number))


def test_ticket_revise_shows_what_the_ticket_says(as_fitter, revision, decide):
    left = decide("take-in", "hindarm", "L", "1/8")

    form = as_fitter.get(page("ticket_revise", revision.ticket.number)).context["form"]

    chosen = {line.alteration_id for line in revision.lines.all()}
    assert set(form["alterations"].value()) == chosen
    assert set(form.fields["alterations"].offered) == chosen | {left.pk}
    assert (form["due_on"].value(), form["replaces"].value()) == (revision.due_on, 1)


def test_ticket_revise_issues_the_next_revision(as_fitter, revision, tomorrow):
    as_fitter.post(
        page("ticket_revise", revision.ticket.number),
        {
            "entry_id": uuid.uuid4(),
            "alterations": [revision.lines.first().alteration_id],
            "due_on": tomorrow.isoformat(),
            "reason": "The hem stays",
            "replaces": "1",
        },
    )

    new = revision.ticket.revisions.standing().get()
    assert (new.revision, new.reason, new.strikes) == (2, "The hem stays", revision)


def test_ticket_revise_meanwhile_changed_keeps_what_was_typed(as_fitter, changed, tomorrow):
    sent = {
        "entry_id": uuid.uuid4(),
        "alterations": [changed.lines.get().alteration_id],
        "due_on": tomorrow.isoformat(),
        "reason": "Sooner",
        "replaces": "1",
    }

    form = as_fitter.post(page("ticket_revise", changed.ticket.number), sent).context["form"]

    (said,) = form.errors["replaces"]
    assert said.startswith(f"Revision 2 was issued by {name_of(changed.by)} while you had this")
    assert f"due {changed.due_on:%-d %B}, 1 line, “{changed.reason}”" in said
    assert (form["reason"].value(), form["replaces"].value()) == ("Sooner", "2")
