"""What a move means is said before it is kept, and whoever kept it has read these very words."""

import pytest

from fittings.diary import consequences
from fittings.diary.promised import Bounds
from fittings.models import Booking
from tests.diary.conftest import local, moment, next_monday, soon, words
from tests.diary.test_changes import move_of
from tests.factories import BookingFactory, MessageFactory

pytestmark = pytest.mark.django_db


def sent(client, booking, **values):
    return client.post(f"/diary/{booking.pk}/move/", move_of(booking, **values))


def said(answer):
    return list(answer.context["means"].sentences)


def shown(day):
    return f"{day:%A} {day.day} {day:%B}"


def test_move_that_means_nothing_is_kept_at_once(at_desk, booked):
    sent(at_desk, booked)

    assert local(Booking.objects.get().starts_at) == f"{next_monday()} 11:00"


def test_another_fitter_is_said_before_it_is_kept(at_desk, booked, odile):
    answer = sent(at_desk, booked, fitter=odile.pk)

    assert said(answer) == ["Odile Fennimore fits instead of Ansel Wren."]
    assert words(answer.content.decode()).count("Nothing is moved yet.") == 1
    assert Booking.objects.get().fitter == booked.fitter


def test_move_is_kept_once_its_meaning_was_read(at_desk, booked, odile):
    mark = sent(at_desk, booked, fitter=odile.pk).context["means"].mark

    sent(at_desk, booked, fitter=odile.pk, known="another mark")
    between = Booking.objects.get().fitter
    sent(at_desk, booked, fitter=odile.pk, known=mark)

    assert (between, Booking.objects.get().fitter) == (booked.fitter, odile)


def test_days_of_the_promise_are_said_of_each_garment(at_desk, booked, coat, monkeypatch):
    days = Bounds(ready=soon(40), latest=next_monday())
    monkeypatch.setattr(consequences, "bounds", lambda garments, purpose, plan: days)

    answer = sent(at_desk, booked, date=f"{soon(20)}")

    late, latest = (soon(20) - next_monday()).days, shown(next_monday())
    assert said(answer) == [
        f"Coat {coat.number} will not hang ready before {shown(soon(40))}.",
        f"Coat {coat.number}: {late} days after {latest}, the latest day for its promise.",
    ]


@pytest.mark.parametrize(
    ("purpose", "told"), [("forward-fitting", 1), ("measure", 0), ("first-fitting", 0)]
)
def test_next_fitting_of_a_garment_is_not_overtaken_unsaid(at_desk, booked, coat, purpose, told):
    BookingFactory(garments=[coat], purpose=purpose, starts_at=moment(soon(15)))

    answer = sent(at_desk, booked, date=f"{soon(20)}")

    sentence = f"The forward fitting on {shown(soon(15))}, 10:00, would come before it."
    assert (said(answer) if answer.context else []) == [sentence] * told


def test_customer_who_was_told_is_written_to_next(at_desk, booked):
    MessageFactory(booking=booked, state="sent")
    means = sent(at_desk, booked).context["means"]

    answer = sent(at_desk, booked, known=means.mark)

    assert means.sentences == (
        "The customer was told the old time: a message of the change is offered.",
    )
    assert answer.url == f"/post/booking/{booked.pk}/change/"


def test_link_with_a_time_shows_what_it_means(at_desk, booked, odile):
    asked = {"date": f"{soon(10)}", "time": "12:30", "fitter": odile.pk}

    page = at_desk.get(f"/diary/{booked.pk}/move/", asked)

    assert said(page) == ["Odile Fennimore fits instead of Ansel Wren."]
    assert page.content.decode().count('value="12:30"') == 1
    assert page.context["form"]["fitter"].value() == odile.pk


@pytest.mark.parametrize(
    "asked", [{"date": "0001-01-01", "time": "00:00"}, {"time": "x", "fitter": "9" * 40}]
)
def test_nonsense_in_a_link_means_nothing(at_desk, booked, asked):
    page = at_desk.get(f"/diary/{booked.pk}/move/", asked)

    assert (page.status_code, page.context["form"]["reason"].value()) == (200, None)


def test_late_booking_is_told_when_it_is_kept(at_desk, typed, coat, monkeypatch):
    days = Bounds(latest=soon(6))
    monkeypatch.setattr(consequences, "bounds", lambda garments, purpose, plan: days)

    answer = at_desk.post("/diary/book/", typed, follow=True)

    told = [str(message) for message in answer.context["messages"]]
    assert told[1:] == [
        f"Coat {coat.number}: a day after {shown(soon(6))}, the latest day for its promise."
    ]
