"""Messages keep closed days free, unless the house says otherwise."""

import datetime

import pytest
from django.core import mail
from django.utils import timezone

from fittings.models import Closure, Message, OpeningHours, PostRules
from fittings.post import queries, sending
from fittings.post.hours import SendingHours
from tests.diary.conftest import next_monday
from tests.post.conftest import a_booking, by_clock, write

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
TIME = datetime.time


def sunday():
    return next_monday() + 6 * DAY


@pytest.fixture
def closed_sundays(owner):
    OpeningHours.objects.create(weekday=6, by=owner)


@pytest.fixture
def waiting(desk, closed_sundays):
    """A confirmation that waits, of a fitting in three weeks."""
    return write(a_booking(days=21), by=desk)


def sent_on(day, time="12:00"):
    sending.send_waiting(lambda: by_clock(day, time))
    return len(mail.outbox)


def test_message_waits_over_the_closed_day(waiting):
    assert [sent_on(sunday()), sent_on(sunday() + DAY, "08:59"), sent_on(sunday() + DAY)] == [
        0,
        0,
        1,
    ]


def test_closure_and_holiday_are_kept_free_too(waiting, owner):
    monday = sunday() + DAY
    Closure.objects.create(first=monday, last=monday, reason="stocktaking", by=owner)

    assert [sent_on(monday), sent_on(monday + DAY)] == [0, 1]


def test_house_may_send_on_closed_days(waiting):
    PostRules.get()
    PostRules.objects.update(on_closed_days=True)

    assert [sent_on(sunday(), "03:00"), sent_on(sunday())] == [0, 1]


@pytest.mark.parametrize(("closed_too", "written"), [(False, 1), (True, 0)])
def test_reminder_due_on_a_closed_day_goes_the_day_before(
    desk, closed_sundays, closed_too, written
):
    days = (sunday() + DAY - timezone.localdate()).days
    a_booking(days=days)
    PostRules.get()
    PostRules.objects.update(reminder_days=1, reminders="alone", on_closed_days=closed_too)

    saturday = by_clock(sunday() - DAY, "10:00")

    assert sending.write_reminders(saturday) == written
    assert Message.objects.count() == written


def test_list_shows_what_is_due_before_the_closed_day(desk, closed_sundays):
    days = (sunday() + DAY - timezone.localdate()).days
    booking = a_booking(days=days)
    rules = PostRules.get()
    rules.reminder_days = 1

    (offer,) = queries.offers(by_clock(sunday() - DAY, "10:00"), rules)

    assert (offer.kind, offer.about) == ("reminder", booking)


def test_hours_say_on_which_days():
    always = SendingHours.of_house(TIME(9), TIME(18))
    open_days = SendingHours.of_house(TIME(9), TIME(18), lambda _day: "")

    assert [str(always), str(open_days)] == [
        "from 09:00 to 18:00",
        "from 09:00 to 18:00 on open days",
    ]


@pytest.mark.parametrize(("closed", "days"), [((), 1), ((1,), 2), ((1, 2, 3), 4)])
def test_next_day_of_messages_is_the_next_open_one(closed, days):
    today = datetime.date(2026, 12, 5)
    shut = {today + number * DAY for number in closed}
    hours = SendingHours(TIME(9), TIME(18), lambda day: "shut" if day in shut else "")

    assert hours.next_day(today) == today + days * DAY


def test_house_closed_for_ever_still_has_a_next_day():
    hours = SendingHours(TIME(9), TIME(18), lambda _day: "shut")

    assert hours.next_day(datetime.date(2026, 12, 5)) == datetime.date(2026, 12, 6)


def test_owner_chooses_on_the_page_of_the_rules(client, owner):
    client.force_login(owner)
    values = {"reminder_days": 2, "reminders": "asked", "feed_shows": "initials", "version": 1}

    before = client.get("/post/rules/").content.decode().count("from 09:00 to 18:00 on open days")
    client.post("/post/rules/", values | {"on_closed_days": "on"})

    assert (before, PostRules.get().on_closed_days) == (1, True)
