"""What waits is sent once, by day, with consent, tried again and given up; all of it on record."""

import datetime
import smtplib
import uuid

import icalendar
import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction

from fittings.diary.services import cancel_booking, move_booking
from fittings.models import Message, MessageEvent, PostRules
from fittings.post import sending
from fittings.post.services import hold_back, put_back
from tests.factories import ConsentFactory, GarmentFactory
from tests.post.conftest import a_booking, in_days, noon, write

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
OUT_OF_ORDER = []


class Broken(EmailBackend):
    """A mail server that fails as often as ``OUT_OF_ORDER`` has errors."""

    def send_messages(self, messages):
        if OUT_OF_ORDER:
            raise OUT_OF_ORDER.pop(0)
        return super().send_messages(messages)


@pytest.fixture
def broken(settings):
    OUT_OF_ORDER.clear()
    settings.EMAIL_BACKEND = f"{__name__}.Broken"
    return OUT_OF_ORDER


def send_at(now):
    return dict(sending.send_waiting(lambda: now))


def record_of(message):
    return list(message.events.values_list("what", flat=True))


def test_message_goes_out_with_words_and_calendar(booking, desk):
    message = write(booking, by=desk)

    assert send_at(noon()) == {"sent": 1}
    (letter,) = mail.outbox
    day = f"{booking.starts_at:%A} {booking.starts_at.day} {booking.starts_at:%B %Y}"
    assert (letter.to, letter.subject) == (
        ["tobiah@post.example"],
        f"Your first fitting on {day} at 10:00",
    )
    assert letter.from_email == "The house <post@house.example>"
    assert letter.message()["Message-ID"] == f"<{message.pk}@house.example>"


def test_attached_entry_is_a_calendar_by_rfc_5545(booking):
    write(booking)
    send_at(noon())
    part = next(
        p for p in mail.outbox[0].message().walk() if p.get_content_type() == "text/calendar"
    )

    (event,) = icalendar.Calendar.from_ical(part.get_payload(decode=True)).walk("VEVENT")

    assert (part.get_filename(), part.get_param("method")) == ("fitting.ics", "PUBLISH")
    assert (str(event["uid"]), event.decoded("dtstart")) == (str(booking.pk), booking.starts_at)
    assert max(map(len, part.get_payload(decode=True).split(b"\r\n"))) <= 75


def test_cancellation_cancels_the_same_entry(booking, desk):
    cancel_booking(entry_id=uuid.uuid4(), booking=booking, reason="Rain", by=desk)
    booking.refresh_from_db()
    message = write(booking, "cancellation")

    (event,) = icalendar.Calendar.from_ical(message.calendar).walk("VEVENT")

    said = [str(event[key]) for key in ("uid", "status", "sequence")]
    assert said == [str(booking.pk), "CANCELLED", "1"]
    assert "METHOD:CANCEL" in message.calendar.split("\r\n")


def test_message_is_sent_once(booking):
    message = write(booking)

    found = [send_at(noon()) for _ in range(3)]

    assert found == [{"sent": 1}, {}, {}]
    assert (len(mail.outbox), record_of(message)) == (1, ["written", "sent"])


@pytest.mark.parametrize(
    ("at", "sent"),
    [("03:00", 0), ("08:59", 0), ("09:00", 1), ("17:59", 1), ("18:00", 0), ("23:30", 0)],
)
def test_nothing_goes_out_by_night(booking, at, sent):
    write(booking)

    send_at(in_days(1, at))

    assert len(mail.outbox) == sent


def test_consent_taken_back_stops_what_waits(booking):
    message = write(booking)
    ConsentFactory(customer=booking.customer, kind="messages", given=False)

    assert send_at(noon()) == {"stopped": 1}
    assert mail.outbox == []
    event = message.events.last()
    assert (event.what, event.why) == (
        "stopped",
        "The customer does not agree to messages any more.",
    )


def change_of_address(booking, desk):
    booking.customer.email = "other@post.example"
    booking.customer.save()


def move(booking, desk):
    move_booking(
        entry_id=uuid.uuid4(),
        booking=booking,
        version=booking.version,
        starts_at=booking.starts_at + HOUR,
        ends_at=booking.ends_at + HOUR,
        fitter=booking.fitter,
        room=booking.room,
        reason="Rain",
        by=desk,
    )


def cancel(booking, desk):
    cancel_booking(entry_id=uuid.uuid4(), booking=booking, reason="Rain", by=desk)


@pytest.mark.parametrize("change", [change_of_address, move, cancel])
def test_message_no_longer_true_is_stopped(booking, desk, change):
    write(booking)
    change(booking, desk)

    assert (send_at(noon()), mail.outbox) == ({"stopped": 1}, [])


def test_message_of_a_fitting_begun_is_stopped(desk):
    booking = a_booking(days=1)
    write(booking)

    assert (send_at(noon()), mail.outbox) == ({"stopped": 1}, [])


def test_failed_sending_waits_longer_each_time(booking, broken):
    message = write(booking)
    broken += [OSError("no route")] * 2
    first = noon()

    found = [send_at(first + wait * sending.ABANDONED / 15) for wait in (0, 4, 5, 19, 20)]

    assert found == [{"waiting": 1}, {}, {"waiting": 1}, {}, {"sent": 1}]
    assert record_of(message) == ["written", "tried", "tried", "sent"]


def test_sending_is_given_up_after_six_tries(booking, broken, desk):
    message = write(booking)
    broken += [OSError("no route")] * 6
    found = []
    for day in range(1, 4):
        found += [send_at(in_days(day, f"{hour}:00")) for hour in (10, 11, 13, 17)]

    assert sum(each == {"waiting": 1} for each in found) == 5
    message.refresh_from_db()
    assert (message.state, message.tries, mail.outbox) == ("failed", 6, [])


@pytest.mark.parametrize(
    ("error", "state"),
    [
        (smtplib.SMTPRecipientsRefused({"x": (550, b"no such user")}), "failed"),
        (smtplib.SMTPRecipientsRefused({"x": (450, b"busy")}), "waiting"),
        (smtplib.SMTPDataError(554, b"no"), "failed"),
        (smtplib.SMTPServerDisconnected("gone"), "waiting"),
        (ValueError("no letter"), "failed"),
    ],
)
def test_permanent_refusal_is_not_tried_again(booking, broken, error, state):
    """RFC 5321, 4.2.1: 4yz may be tried again, 5yz not."""
    write(booking)
    broken.append(error)

    assert send_at(noon()) == {state: 1}


def test_failed_message_is_tried_anew_when_told(booking, broken, desk):
    message = write(booking)
    broken.append(smtplib.SMTPDataError(554, b"no"))
    send_at(noon())

    put_back(message=message, by=desk)

    assert send_at(noon()) == {"sent": 1}
    assert record_of(message) == ["written", "failed", "again", "sent"]


def test_broken_off_sending_is_left_to_a_person(booking):
    message = write(booking)
    claimed = sending._claim(message.pk, noon())
    later = noon() + sending.ABANDONED + HOUR / 60

    assert (claimed.state, send_at(noon()), send_at(later)) == ("sending", {}, {})
    message.refresh_from_db()
    assert (message.state, mail.outbox, record_of(message)) == ("unsure", [], ["written", "unsure"])


def test_message_held_back_is_not_sent(booking, desk):
    hold_back(message=write(booking), by=desk)

    assert (send_at(noon()), mail.outbox) == ({}, [])


def test_message_in_a_workers_hand_cannot_be_held(booking, desk):
    message = write(booking)
    sending._claim(message.pk, noon())

    with pytest.raises(ValidationError, match="not waiting any more"):
        hold_back(message=message, by=desk)


def test_second_message_of_one_occasion_is_refused(booking):
    message = write(booking)

    with pytest.raises(ValidationError, match="nothing is sent twice"):
        write(booking)
    with pytest.raises(IntegrityError), transaction.atomic():
        Message.objects.create(
            kind="confirmation",
            customer=booking.customer,
            booking=booking,
            occasion=message.occasion,
            wording=0,
        )


def let_alone(days=2):
    PostRules.get()
    PostRules.objects.update(reminders="alone", reminder_days=days)


def test_reminders_are_written_from_their_day_on():
    let_alone(days=3)
    near, far = a_booking(days=3), a_booking(days=4)

    written = [sending.write_reminders(in_days(0, "12:00")) for _ in range(2)]

    assert written == [1, 0]
    assert list(Message.objects.values_list("kind", "booking", "by")) == [
        ("reminder", near.pk, None)
    ]
    assert far.letters.count() == 0


def test_reminders_wait_for_a_person_unless_let_alone(booking):
    PostRules.objects.update_or_create(pk=1, defaults={"reminder_days": 30})

    assert (sending.write_reminders(noon()), Message.objects.count()) == (0, 0)


def test_reminder_without_consent_or_address_is_not_written():
    let_alone(days=5)
    ConsentFactory(customer=a_booking().customer, kind="messages", given=False)
    change = a_booking().customer
    change.email = ""
    change.save()

    assert sending.write_reminders(in_days(0, "12:00")) == 0


def test_reminder_held_back_stays_so(booking, desk):
    let_alone(days=5)
    write(booking, "reminder", way="hold", by=desk)

    assert sending.write_reminders(in_days(0, "12:00")) == 0


def test_ready_message_stops_once_delivered(booking):
    coat = GarmentFactory(customer=booking.customer, stage="finished")
    write(coat, "ready")
    coat.stage = "delivered"
    coat.save()

    assert (send_at(noon()), mail.outbox) == ({"stopped": 1}, [])


def test_command_without_mail_server_sends_nothing(booking, settings):
    settings.MAIL_FROM = ""
    write(booking)

    with pytest.raises(CommandError, match="No mail server is set"):
        call_command("send_messages")
    assert Message.objects.get().state == "waiting"


def test_command_says_what_it_did_and_when(booking, capsys, monkeypatch):
    write(booking)
    moment = noon()
    monkeypatch.setattr("django.utils.timezone.now", lambda: moment)

    call_command("send_messages")

    told = capsys.readouterr().out
    assert (
        told == "0 reminders written; 1 sent. Messages go out from 09:00 to 18:00 on open days.\n"
    )


def test_record_of_messages_is_only_added_to(booking):
    write(booking)

    with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
        MessageEvent.objects.update(why="otherwise")
