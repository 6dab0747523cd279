"""Nonsense in every form: said beside the field, what was typed kept, nothing saved."""

import datetime
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from garments.models import Answer, Ticket, TicketRevision
from tests.factories import AlterationFactory

pytestmark = pytest.mark.django_db

CLOSED = "A line chosen is not open on this garment: look at the list again."
PAST = "That day is past: choose today or later."
NUL = "Null characters are not allowed."
TICKET = [
    ({"alterations": []}, "alterations", "Choose at least one line."),
    ({"alterations": ["1"]}, "alterations", CLOSED),
    ({"alterations": ["' OR 1=1 --"]}, "alterations", CLOSED),
    ({"alterations": [str(uuid.UUID(int=7))]}, "alterations", CLOSED),
    ({"due_on": ""}, "due_on", "Say the day it is due."),
    ({"due_on": "soon"}, "due_on", "Enter a valid date."),
    ({"due_on": "2026-02-31"}, "due_on", "Enter a valid date."),
    ({"due_on": "2020-01-01"}, "due_on", PAST),
    ({"due_on": "9999-12-31"}, "due_on", "That is more than a year away: look at the year again."),
    (
        {"note": "x" * 1001},
        "note",
        "Ensure this value has at most 1000 characters (it has 1001).",
    ),
    (
        {"note": "x" * 1_000_000},
        "note",
        "Ensure this value has at most 1000 characters (it has 1000000).",
    ),
    ({"note": "a\0b"}, "note", NUL),
    ({"entry_id": "1"}, "entry_id", "Enter a valid UUID."),
    ({"entry_id": ""}, "entry_id", "This field is required."),
]
REVISION = [
    *TICKET,
    ({"reason": ""}, "reason", "Say why it is changed: the workroom asks first."),
    ({"reason": " "}, "reason", "Say why it is changed: the workroom asks first."),
    (
        {"reason": "x" * 301},
        "reason",
        "Ensure this value has at most 300 characters (it has 301).",
    ),
    ({"replaces": "x"}, "replaces", "Enter a whole number."),
]
ANSWER = [
    ({"kind": ""}, "kind", "Choose one of the answers."),
    ({"kind": "burnt"}, "kind", "Choose one of the answers."),
    ({"kind": "cannot"}, "reason", "Say why, so that the fitter can answer."),
    ({"kind": "asks", "reason": " "}, "reason", "Say why, so that the fitter can answer."),
    (
        {"kind": "asks", "reason": "x" * 1_000_000},
        "reason",
        "Ensure this value has at most 300 characters (it has 1000000).",
    ),
    ({"kind": "asks", "reason": "a\0b"}, "reason", NUL),
    ({"entry_id": "<script>"}, "entry_id", "Enter a valid UUID."),
    (
        {"back": "https://example.org/"},
        "back",
        "Select a valid choice. https://example.org/ is not one of the available choices.",
    ),
]


@pytest.fixture
def line(decide):
    return decide("take-in", "hindarm", "L", "1/8")


def ticket_values(line, **changed):
    day = timezone.localdate() + datetime.timedelta(days=2)
    return {
        "entry_id": str(uuid.uuid4()),
        "alterations": [str(line.pk)],
        "due_on": day.isoformat(),
        "note": "<script>alert(1)</script>",
    } | changed


@pytest.mark.parametrize(("changed", "field", "said"), TICKET)
def test_ticket_create_refuses_nonsense(as_fitter, line, changed, field, said):
    sent = ticket_values(line, **changed)
    address = reverse("workroom:ticket_create", args=[line.garment.number])

    response = as_fitter.post(address, sent)

    form = response.context["form"]
    assert (response.status_code, dict(form.errors)) == (422, {field: [said]})
    assert form["note"].value() == sent["note"]
    assert not Ticket.objects.exists()


@pytest.mark.parametrize(("changed", "field", "said"), REVISION)
def test_ticket_revise_refuses_nonsense(as_fitter, revision, changed, field, said):
    line = revision.lines.first().alteration
    sent = ticket_values(line, **({"reason": "As pinned", "replaces": "1"} | changed))

    response = as_fitter.post(
        reverse("workroom:ticket_revise", args=[revision.ticket.number]), sent
    )

    form = response.context["form"]
    assert (response.status_code, dict(form.errors)) == (422, {field: [said]})
    assert form["note"].value() == sent["note"]
    assert TicketRevision.objects.count() == 1


@pytest.mark.parametrize(("changed", "field", "said"), ANSWER)
def test_answer_create_refuses_nonsense(as_fitter, revision, changed, field, said):
    sent = {"entry_id": str(uuid.uuid4()), "kind": "taken", "reason": ""} | changed
    address = reverse("workroom:answer_create", args=[revision.ticket.number, 1])

    response = as_fitter.post(address, sent)

    form = response.context["form"]
    assert (response.status_code, dict(form.errors)) == (422, {field: [said]})
    assert form["reason"].value() == sent["reason"]
    assert not Answer.objects.exists()


def test_ticket_create_shows_hostile_words_as_words(as_fitter, coat, line):
    sent = ticket_values(line, due_on="", note="</textarea><script>alert(1)</script>")

    body = as_fitter.post(
        reverse("workroom:ticket_create", args=[coat.number]), sent
    ).content.decode()

    assert "&lt;/textarea&gt;&lt;script&gt;alert(1)" in body
    assert "<script>alert" not in body


def test_ticket_create_refuses_a_line_of_another_customer(as_fitter, coat, line):
    sent = ticket_values(line, alterations=[str(AlterationFactory().pk)])

    response = as_fitter.post(reverse("workroom:ticket_create", args=[coat.number]), sent)

    assert dict(response.context["form"].errors) == {"alterations": [CLOSED]}


def test_ticket_create_refuses_a_garment_gone(as_fitter, make_garment, decide):
    gone = make_garment(stage="delivered")
    sent = ticket_values(decide("take-in", "hindarm", "L", "1/8", garment=gone))

    response = as_fitter.post(reverse("workroom:ticket_create", args=[gone.number]), sent)

    assert response.context["form"].non_field_errors() == [
        f"{gone.number} is delivered: take it back first."
    ]


@pytest.mark.parametrize("name", ["ticket_create", "ticket_revise"])
@pytest.mark.parametrize("number", ["G1-0", "none", "🧵", "G" * 90])
def test_form_of_no_such_number_is_not_found(as_fitter, name, number):
    assert as_fitter.post(reverse(f"workroom:{name}", args=[number])).status_code == 404


def test_empty_form_is_answered_beside_every_field(as_fitter, coat, line):
    response = as_fitter.post(reverse("workroom:ticket_create", args=[coat.number]), {})

    assert (response.status_code, list(response.context["form"].errors)) == (
        422,
        ["alterations", "due_on", "entry_id"],
    )
