"""The bench asks, the fitter sees it on the first page and answers, the bench goes on."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from garments.models import Answer
from garments.workroom.queries import State, outstanding
from garments.workroom.services import answer_ticket, issue_ticket
from tests.factories import UserFactory
from tests.workroom.scenes import answer

pytestmark = pytest.mark.django_db

QUESTION = "How far down the <seam>?"
REPLY = "To the second notch"


@pytest.fixture
def asked(revision, bench):
    answer(revision, "asks", bench, reason=QUESTION)
    return revision


def reply_to(client, revision, **sent):
    address = reverse("workroom:ticket_reply", args=[revision.ticket.number, revision.revision])
    return client.post(address, {"entry_id": str(uuid.uuid4()), "reason": REPLY} | sent)


def state_of(revision):
    row = outstanding().get(pk=revision.pk)
    return row.state, row.said


def test_fitter_sees_the_question_on_the_first_page(as_fitter, asked):
    page = as_fitter.get("/")

    (row,) = page.context["asking"]
    assert (row.number, row.said) == (asked.ticket.number, QUESTION)
    assert page.content.decode().count("How far down the &lt;seam&gt;?") == 1


def test_question_is_shown_whatever_the_day(as_fitter, make_garment, issue, decide, bench):
    garment = make_garment()
    day = timezone.localdate() + datetime.timedelta(days=40)
    line = decide("raise-hem", "hem", "both", "1/4", garment=garment)
    late = issue(line, garment=garment, due_on=day).revisions.get()
    answer(late, "cannot", bench, reason="No cloth")

    page = as_fitter.get("/")

    assert [row.said for row in page.context["asking"]] == ["No cloth"]
    assert page.context["tickets"] == []


@pytest.mark.parametrize("role", ["workroom", "front of house"])
def test_question_is_for_the_fitter_alone(client, asked, role):
    client.force_login(UserFactory(role=role))

    assert client.get("/").context["asking"] == []
    assert reply_to(client, asked).status_code == 403


def test_reply_comes_back_to_where_it_was_given(as_fitter, asked):
    response = reply_to(as_fitter, asked, next="/")

    assert (response.status_code, response["Location"]) == (302, "/")
    assert state_of(asked) == (State.REPLIED, REPLY)
    assert as_fitter.get("/").context["asking"] == []


def test_bench_reads_the_reply_and_goes_on(as_bench, asked, fitter, bench):
    answer(asked, "replied", fitter, reason=REPLY)
    address = reverse("workroom:ticket_detail", args=[asked.ticket.number])

    body = as_bench.get(address).content.decode()
    answer(asked, "done", bench)

    assert body.count(f"<b>The fitter answers:</b> {REPLY}") == 1
    kinds = asked.answers.order_by("at").values_list("kind", flat=True)
    assert list(kinds) == ["asks", "replied", "done"]


def test_ticket_page_lets_the_fitter_answer(as_fitter, as_bench, asked, fitter, bench):
    address = reverse("workroom:ticket_detail", args=[asked.ticket.number])
    shown = []
    for person in (fitter, bench):
        as_bench.force_login(person)
        shown.append(as_bench.get(address).content.decode().count('<form class="reply"'))

    assert shown == [1, 0]


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        ("", "Write the answer: the bench waits for it."),
        ("   ", "Write the answer: the bench waits for it."),
        ("x" * 301, "Ensure this value has at most 300 characters (it has 301)."),
        ("a\0b", "Null characters are not allowed."),
    ],
)
def test_reply_of_nonsense_is_refused_beside_the_field(as_fitter, asked, reason, said):
    response = reply_to(as_fitter, asked, reason=reason)

    form = response.context["reply_form"]
    assert (response.status_code, dict(form.errors)) == (422, {"reason": [said]})
    assert form["reason"].value() == reason
    assert state_of(asked) == (State.ASKS, QUESTION)


@pytest.mark.parametrize("before", ["taken", "replied"])
def test_reply_to_no_question_is_refused(asked, fitter, before):
    answer(asked, before, fitter, reason=REPLY)

    with pytest.raises(ValidationError) as refused:
        answer(asked, "replied", fitter, reason="Again")

    assert refused.value.message_dict == {
        "kind": ["The workroom asks nothing now: look at the ticket again."]
    }


def test_reply_to_a_replaced_revision_names_the_new_one(as_fitter, asked, changed):
    response = reply_to(as_fitter, asked)

    said = f"Revision 1 was replaced: work by revision 2 of {asked.ticket.number}."
    assert (response.status_code, response.context["form"].non_field_errors()) == (422, [said])


def test_reply_for_a_garment_gone_is_refused(as_fitter, asked):
    asked.ticket.garment.stage = "delivered"
    asked.ticket.garment.save()

    response = reply_to(as_fitter, asked)

    assert response.context["form"].non_field_errors() == [f"{asked.ticket.garment} is delivered."]


def test_reply_sent_twice_is_kept_once(as_fitter, asked):
    sent = {"entry_id": str(uuid.uuid4())}

    for _ in range(2):
        reply_to(as_fitter, asked, **sent)

    assert Answer.objects.filter(kind="replied").count() == 1


def test_bench_cannot_reply_for_the_fitter(as_bench, asked):
    address = reverse("workroom:answer_create", args=[asked.ticket.number, 1])

    response = as_bench.post(
        address, {"entry_id": str(uuid.uuid4()), "kind": "replied", "reason": REPLY}
    )

    assert response.context["form"].errors == {"kind": ["Choose one of the answers."]}


def test_ticket_of_another_garment_takes_no_line(make_garment, decide, fitter, tomorrow):
    one, other = make_garment(), make_garment()
    line = decide("raise-hem", "hem", "both", "1/4", garment=other)

    with pytest.raises(ValidationError) as refused:
        issue_ticket(
            form_id=uuid.uuid4(),
            garment=one,
            alterations=[line],
            due_on=tomorrow,
            note="",
            by=fitter,
        )

    assert refused.value.message_dict == {
        "alterations": [f"A line is of another garment than {one.number}."]
    }


def test_scanned_stale_paper_cannot_be_moved(revision, changed, bench):
    with pytest.raises(ValidationError) as refused:
        answer_ticket(entry_id=uuid.uuid4(), revision=revision, kind="done", reason="", by=bench)

    assert refused.value.message_dict == {
        "revision": [f"Revision 1 was replaced: work by revision 2 of {revision.ticket.number}."]
    }
