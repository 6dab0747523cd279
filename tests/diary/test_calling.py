"""Who was missed: a day to call again, ticked off; what hangs ready; and who walked in."""

import datetime
import uuid

import pytest
from django.utils import timezone

from fittings.diary.calling import to_call
from fittings.models import CallBack
from tests.diary.conftest import soon, words
from tests.diary.test_today import noon, owed
from tests.factories import BookingFactory, CallBackFactory, FittingFactory

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)


@pytest.fixture
def missed(customer, ansel):
    return BookingFactory(
        customer=customer, fitter=ansel, state="missed", starts_at=timezone.now() - 2 * DAY
    )


def to_be_called():
    return [row.booking for row in to_call(timezone.now())]


def set_day(client, booking, on):
    typed = {"entry_id": str(uuid.uuid4()), "on": on}
    return client.post(f"/diary/{booking.pk}/call/", typed)


def test_missed_customer_is_called_until_ticked_off(at_desk, missed):
    asked = [to_be_called()]
    set_day(at_desk, missed, f"{soon(0)}")
    asked.append(to_be_called())
    tick = {"entry_id": str(uuid.uuid4()), "call": f"{CallBack.objects.get().pk}"}

    at_desk.post(f"/diary/{missed.pk}/called/", tick)

    assert [*asked, to_be_called()] == [[missed], [missed], []]


def test_day_ahead_is_silent_until_it_comes(at_desk, missed):
    set_day(at_desk, missed, f"{soon(2)}")

    assert to_be_called() == []
    assert [row.booking for row in to_call(timezone.now() + 2 * DAY)] == [missed]


def test_another_day_takes_the_place_of_the_first(at_desk, missed):
    for days in (1, 3):
        set_day(at_desk, missed, f"{soon(days)}")

    assert CallBack.objects.count() == 2
    assert CallBack.objects.standing().get().on == soon(3)


def test_who_booked_again_is_not_called(missed):
    BookingFactory(customer=missed.customer, starts_at=timezone.now() + DAY)

    assert to_be_called() == []


@pytest.mark.parametrize(
    ("on", "message"),
    [
        ("", "Say on which day to call again."),
        ("soon", "Write the day as year-month-day: 2026-11-25."),
        (f"{soon(-1)}", "That day is over."),
        ("3026-01-01", "That is more than a year ahead."),
    ],
)
def test_wrong_day_is_told_and_kept(at_desk, missed, on, message):
    answer = set_day(at_desk, missed, on)

    assert (answer.status_code, answer.context["wrong"]) == (422, [message])
    assert (answer.context["typed"], CallBack.objects.count()) == (on, 0)


def test_booking_that_was_not_missed_gets_no_call(at_desk, booked):
    answer = set_day(at_desk, booked, f"{soon()}")

    assert answer.context["wrong"] == ["This booking is booked: it was not missed."]


def test_call_ticked_off_twice_is_told(at_desk, missed):
    call = CallBackFactory(booking=missed)
    address = f"/diary/{missed.pk}/called/"
    answers = [
        at_desk.post(address, {"entry_id": str(uuid.uuid4()), "call": f"{call.pk}"})
        for _ in range(2)
    ]

    assert [answer.status_code for answer in answers] == [302, 422]
    assert answers[1].context["wrong"] == [
        "That call was ticked off or put to another day already."
    ]


def test_today_shows_whom_to_call(at_desk, missed):
    missed.customer.phone = "01632 960 777"
    missed.customer.save()

    html = words(at_desk.get("/").content.decode())

    assert html.count("Missed: call again Tobiah Marrowby missed") == 1
    assert html.count("Call 01632 960 777") == 1


# -- what hangs ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "purpose", "where"),
    [
        ("basted", "first-fitting", ""),
        ("cut", "first-fitting", "Cut"),
        ("altering", "forward-fitting", ""),
        ("finishing", "final-look", "Being finished"),
        ("finished", "final-look", ""),
    ],
)
def test_garment_hangs_by_its_stage(at_desk, coat, stage, purpose, where):
    coat.stage = stage
    coat.save()
    BookingFactory(customer=coat.customer, garments=[coat], purpose=purpose, starts_at=noon())

    (peg,) = at_desk.get("/").context["hanging"]

    assert (peg.garment, peg.ready, peg.where) == (coat, not where, where)


def test_open_ticket_says_where_a_garment_is(at_desk, coat):
    ticket = owed(coat, timezone.localdate())
    BookingFactory(customer=coat.customer, garments=[coat], starts_at=noon())

    (peg,) = at_desk.get("/").context["hanging"]

    assert (peg.ready, peg.where) == (False, f"ticket {ticket.number} in the workroom, issued")


def test_walk_in_is_whoever_nobody_booked(at_desk, coat, ansel):
    fitting = FittingFactory(customer=coat.customer, fitter=ansel, started_at=timezone.now())
    FittingFactory(started_at=timezone.now() - 2 * DAY)
    FittingFactory(booking=BookingFactory(starts_at=noon()), started_at=timezone.now())

    assert list(at_desk.get("/").context["walked_in"]) == [fitting]


# -- moving on the week ----------------------------------------------------------------------------


def test_free_time_leads_to_the_move_while_moving(at_desk, booked):
    asked = {"moving": f"{booked.pk}", "fitter": booked.fitter_id, "date": f"{soon()}"}
    html = at_desk.get("/diary/day/", asked).content.decode()

    link = f"/diary/{booked.pk}/move/?fitter={booked.fitter_id}&amp;date={soon()}&amp;time=11:00"
    assert html.count(f'href="{link}"') == 1
    assert html.count("/diary/book/?fitter") == 1  # the button above the sheet
    assert words(html).count("Moving Tobiah Marrowby") == 1


@pytest.mark.parametrize("moving", ["", "x", str(uuid.UUID(int=7)), "9" * 5000])
def test_nonsense_moves_nothing(at_desk, booked, moving):
    page = at_desk.get("/diary/", {"moving": moving, "fitter": booked.fitter_id})

    assert (page.status_code, page.context["moving"]) == (200, None)
