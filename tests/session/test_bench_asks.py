"""With the coat at hand the fitter reads what the bench asked about it, and answers there."""

import datetime
import uuid

import pytest
from django.utils import timezone

from garments.models import Answer
from garments.workroom.services import issue_ticket
from tests.factories import AlterationFactory, UserFactory
from tests.session.conftest import garment_of
from tests.workroom.scenes import answer

pytestmark = pytest.mark.django_db

QUESTION = "Both <hems>, or the left alone?"


@pytest.fixture
def ticket_of(fitter):
    """A ticket of one line that the bench says something to."""

    def issued(garment, kind, reason):
        line = AlterationFactory(
            garment=garment, operation="raise-hem", seam="hem", side="both", by=fitter
        )
        ticket = issue_ticket(
            form_id=uuid.uuid4(),
            garment=garment,
            alterations=[line],
            due_on=timezone.localdate() + datetime.timedelta(days=3),
            note="",
            by=fitter,
        )
        answer(ticket.revisions.get(), kind, UserFactory(role="workroom"), reason=reason)
        return ticket

    return issued


@pytest.mark.parametrize("kind", ["asks", "cannot"])
def test_question_about_the_garment_stands_on_the_screen(client, fitting, coat, ticket_of, kind):
    ticket = ticket_of(coat, kind, QUESTION)

    page = client.get(fitting.get_absolute_url())

    assert [(row.number, row.said) for row in page.context["asking"]] == [(ticket.number, QUESTION)]
    assert page.content.decode().count("Both &lt;hems&gt;, or the left alone?") == 1


def test_question_about_another_garment_does_not(client, fitting, customer, fitter, ticket_of):
    ticket_of(garment_of(customer, fitter, kind="trousers"), "asks", QUESTION)

    assert client.get(fitting.get_absolute_url()).context["asking"] == []


def test_ticket_in_hand_asks_nothing(client, fitting, coat, ticket_of):
    ticket_of(coat, "taken", "")

    assert client.get(fitting.get_absolute_url()).context["asking"] == []


def test_answer_comes_back_to_the_same_garment_of_the_session(client, fitting, coat, ticket_of):
    revision = ticket_of(coat, "asks", QUESTION).revisions.get()
    here = f"{fitting.get_absolute_url()}?garment={coat.number}"
    body = client.get(here).content.decode()
    sent = {"entry_id": uuid.uuid4(), "reason": "The left alone", "next": here}

    response = client.post(f"/workroom/{revision.ticket.number}/1/reply/", sent)

    assert f'name="next" value="{here}"' in body
    assert response["Location"] == here
    assert Answer.objects.filter(revision=revision, kind="replied").count() == 1
    assert client.get(here).context["asking"] == []
