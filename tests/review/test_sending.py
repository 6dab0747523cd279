"""The monthly letter by mail: by a button and by a timer, each month once, with its record."""

import datetime
import io
import re
import uuid

import pypdf
import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.utils import timezone

from fittings.models import OwnerLetter
from fittings.review.sending import ABANDONED, send_letter
from tests.factories import UserFactory
from tests.review.scenes import delivered

pytestmark = pytest.mark.django_db
MAY = datetime.date(2025, 5, 1)
FROM = "post@house.example"


@pytest.fixture(autouse=True)
def mail_server(settings):
    settings.MAIL_FROM = FROM


@pytest.fixture
def owner(client):
    person = UserFactory(role="owner", email="owner@house.example", first_name="Ada")
    client.force_login(person)
    return person


def send(owner, **more):
    return send_letter(**{"entry_id": uuid.uuid4(), "month": MAY, "to": owner, "by": owner, **more})


def tap(client, **more):
    sent = {"month": "2025-05", "entry_id": str(uuid.uuid4()), **more}
    page = client.post("/review/letter/send/", sent, follow=True)
    return [str(said) for said in page.context["messages"]]


def rows():
    kept = OwnerLetter.objects.order_by("at", "pk")
    return list(kept.values_list("month", "address", "by__username", "state", "why"))


def fail(monkeypatch, problem):
    def refuse(_self, _messages):
        raise problem

    monkeypatch.setattr(EmailBackend, "send_messages", refuse)


def test_letter_sent_is_the_printed_one(owner):
    delivered("2025-05-10")
    row = send(owner)

    (sent,) = mail.outbox
    ((name, content, kind),) = sent.attachments
    text = re.sub(r"\s+", " ", pypdf.PdfReader(io.BytesIO(content)).pages[0].extract_text())
    assert (sent.to, name, kind) == ([owner.email], "letter-2025-05.pdf", "application/pdf")
    assert sent.extra_headers == {"Message-ID": f"<{row.pk}@house.example>"}
    assert "May 2025" in text


def test_button_sends_and_keeps_who_and_when(client, owner):
    said = tap(client)

    assert said == ["Sent to owner@house.example."]
    assert rows() == [(MAY, owner.email, owner.username, "sent", "")]


def test_same_tap_twice_sends_once(client, owner):
    entry = str(uuid.uuid4())

    assert tap(client, entry_id=entry) == tap(client, entry_id=entry)
    assert (len(mail.outbox), len(rows())) == (1, 1)


def test_month_sent_is_not_sent_again(client, owner):
    tap(client)

    (said,) = tap(client)

    today = timezone.localdate()
    assert said.startswith(f"The letter of May 2025 went to {owner.email} on {today.day} ")
    assert len(mail.outbox) == 1


def test_what_the_server_refuses_is_kept_and_tried_again(client, owner, monkeypatch):
    with monkeypatch.context() as patch:
        fail(patch, ConnectionRefusedError("nobody there"))
        (said,) = tap(client)
    again = tap(client)

    why = "ConnectionRefusedError: nobody there"
    assert said == f"Not sent to {owner.email}: {why}. Try again, or print it."
    assert again == ["Sent to owner@house.example."]
    assert [row[3:] for row in rows()] == [("failed", why), ("sent", "")]


def test_sending_that_stopped_midway_may_be_sent_anew(client, owner):
    old = timezone.now() - ABANDONED - datetime.timedelta(minutes=1)
    OwnerLetter.objects.create(month=MAY, to=owner, address=owner.email, by=owner, at=old)

    said = tap(client)

    assert said == ["Sent to owner@house.example."]
    assert [row[3] for row in rows()] == ["unsure", "sent"]


def test_sending_under_way_is_not_doubled(client, owner):
    OwnerLetter.objects.create(month=MAY, to=owner, address=owner.email, by=owner)

    tap(client)

    assert (mail.outbox, len(rows())) == ([], 1)


@pytest.mark.parametrize(
    ("reach", "said"),
    [
        (
            ("", FROM),
            "You have no e-mail address here: enter one under People, or print the letter.",
        ),
        (
            ("a@house.example", ""),
            "No mail server is set (LEDGER_MAIL_FROM): print the letter inst",
        ),
    ],
)
def test_owner_out_of_reach_is_told_kindly(client, owner, settings, reach, said):
    owner.email, settings.MAIL_FROM = reach
    owner.save()

    (answer,) = tap(client)

    assert answer.startswith(said)
    assert (mail.outbox, rows()) == ([], [])


@pytest.mark.parametrize("month", ["", "May", "2099-01", "1899-12"])
def test_no_month_of_a_letter_is_refused(client, owner, month):
    (said,) = tap(client, month=month)

    assert said == "That is no month with a letter: choose one and show it first."
    assert rows() == []


def test_id_used_for_another_month_is_refused(owner):
    entry = uuid.uuid4()
    send(owner, entry_id=entry)

    with pytest.raises(ValidationError) as refused:
        send(owner, entry_id=entry, month=datetime.date(2025, 4, 1))

    assert refused.value.messages == [
        "This page was already used for something else: open it again."
    ]


def test_timer_sends_each_owner_once(owner, capsys):
    UserFactory(role="owner", email="", last_name="Aard")
    UserFactory(role="owner", email="gone@house.example", is_active=False)
    UserFactory(role="fitter", email="fitter@house.example")

    call_command("monthly_letter", "--send", "--month", "2025-05")
    first = capsys.readouterr().out
    call_command("monthly_letter", "--send", "--month", "2025-05")

    assert first == "The letter of May 2025: sent to owner@house.example.\n"
    assert capsys.readouterr().out.startswith("The letter of May 2025 went to owner@house.example")
    assert [message.to for message in mail.outbox] == [["owner@house.example"]]
    assert rows() == [(MAY, owner.email, None, "sent", "")]
    assert mail.outbox[0].extra_headers["Auto-Submitted"] == "auto-generated"


def test_timer_fails_loudly_where_nothing_went_out(owner, monkeypatch):
    fail(monkeypatch, TimeoutError("too slow"))

    with pytest.raises(CommandError) as failed:
        call_command("monthly_letter", "--send", "--month", "2025-05")

    assert str(failed.value) == "not sent to owner@house.example (TimeoutError: too slow)"


def test_timer_without_an_address_says_so(client):
    UserFactory(role="owner", email="")

    with pytest.raises(CommandError) as refused:
        call_command("monthly_letter", "--send")

    assert str(refused.value) == "No owner has an e-mail address (the people's page)."


def test_page_says_what_became_of_the_month(client, owner):
    before = client.get("/review/letter/", {"month": "2025-05"}).content.decode()
    tap(client)
    after = client.get("/review/letter/", {"month": "2025-05"}).content.decode()

    assert before.count("It was not sent by mail yet.") == 1
    assert len(re.findall(r"Sent: to owner@house\.example, .*, by Ada ", after)) == 1


def test_address_is_entered_on_the_peoples_page(client, owner):
    page = f"/people/{owner.pk}/"
    typed = {"first_name": "Ada", "last_name": "Wren", "roles": ["owner"], "active": "on"}

    refused = client.post(page, {**typed, "email": "no address"})
    client.post(page, {**typed, "email": "ada@house.example"})

    owner.refresh_from_db()
    assert refused.context["form"].errors["email"] == ["Enter a valid email address."]
    assert owner.email == "ada@house.example"
