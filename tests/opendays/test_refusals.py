"""What the diary refuses because of the calendar: each sentence, beside its field."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from customers.models import House
from fittings.diary.queries import free_times, house_hours
from fittings.diary.services import book_fitting, move_booking
from fittings.models import Absence, Booking, Closure, HolidayRule, OpeningHours
from tests.diary.conftest import errors_of, local, moment, next_monday, soon, words
from tests.factories import GarmentFactory, RoomFactory, UserFactory

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
HALF_HOUR = datetime.timedelta(minutes=30)
PAGE = "/diary/book/"


def shown(day):
    return f"{day:%A} {day.day} {day:%B %Y}"


@pytest.fixture
def desk(db):
    return UserFactory(role="front of house")


@pytest.fixture
def fit(booked, ansel):
    """Book a half hour with Ansel; ``by`` is he himself unless said otherwise."""

    def make(starts_at, **values):
        usual = {
            "booking_id": uuid.uuid4(),
            "customer": booked.customer,
            "garments": booked.garments.all(),
            "fitter": ansel,
            "room": RoomFactory(),
            "purpose": "first-fitting",
            "starts_at": starts_at,
            "ends_at": starts_at + HALF_HOUR,
            "by": ansel,
        }
        return book_fitting(**usual | values)

    return make


def refusal(write, *args, **values):
    with pytest.raises(ValidationError) as refused:
        write(*args, **values)
    return refused.value.message_dict


def days_from_now(count):
    return moment(soon(count))


@pytest.mark.parametrize("anyway", [False, True])
@pytest.mark.parametrize(
    ("days", "field", "said"),
    [
        (-1, "date", "That day is over."),
        (-1_000, "date", "That day is over."),
        (367, "date", "That is more than a year ahead."),
        (365_000, "date", "That is more than a year ahead."),
    ],
)
def test_days_nobody_books_are_refused_always(fit, days, field, said, anyway):
    assert refusal(fit, days_from_now(days), anyway=anyway) == {field: [said]}


def test_time_gone_by_today_is_refused(fit):
    gone = timezone.now() - datetime.timedelta(minutes=16)
    House.objects.update(opens=datetime.time(0), closes=datetime.time(23, 59))

    (said,) = refusal(fit, gone, anyway=True).values()
    assert said[0] in {"That time is over.", "That day is over."}  # the second just after midnight


def test_end_before_start_is_refused(fit):
    starts = days_from_now(3)

    assert refusal(fit, starts, ends_at=starts - HALF_HOUR) == {
        "time": ["It must end after it starts."]
    }


def test_closed_day_is_refused_with_its_reason(fit, owner):
    Closure.objects.create(first=soon(3), last=soon(4), reason="stocktaking", by=owner)

    assert refusal(fit, days_from_now(4)) == {
        "date": [f"No fittings on {shown(soon(4))}: stocktaking."]
    }


def test_public_holiday_is_refused_by_its_name(fit, owner):
    HolidayRule.objects.create(country="GB", subdivision="ENG", by=owner)
    today = timezone.localdate()
    christmas = datetime.date(today.year + (today > datetime.date(today.year, 12, 25)), 12, 25)

    assert refusal(fit, moment(christmas)) == {
        "date": [f"No fittings on {shown(christmas)}: Christmas Day."]
    }


def test_closed_weekday_is_refused_by_its_name(fit, owner):
    OpeningHours.objects.create(weekday=6, by=owner)
    sunday = next_monday() + 6 * DAY

    assert refusal(fit, moment(sunday)) == {
        "date": [f"No fittings on {shown(sunday)}: closed on Sundays."]
    }


@pytest.mark.parametrize("time", ["08:45", "12:45", "19:00"])
def test_hours_of_that_weekday_hold(fit, owner, time):
    OpeningHours.objects.create(
        weekday=0, opens=datetime.time(9), closes=datetime.time(13), by=owner
    )

    assert refusal(fit, moment(next_monday(), time)) == {
        "time": ["The house is open from 09:00 to 13:00, and this takes 30 minutes."]
    }
    assert fit(moment(next_monday() + DAY, "12:45")).state == "booked"


def test_fitter_keeps_a_closed_time_knowingly(fit, owner):
    Closure.objects.create(first=soon(3), last=soon(3), reason="stocktaking", by=owner)

    assert fit(moment(soon(3), "19:00"), anyway=True).state == "booked"


def test_desk_cannot_give_away_the_fitters_evening(fit, desk):
    said = {"time": ["The house is open from 09:00 to 18:00, and this takes 30 minutes."]}

    assert refusal(fit, moment(soon(3), "19:00"), anyway=True, by=desk) == said


@pytest.mark.parametrize("anyway", [False, True])
@pytest.mark.parametrize("day", [3, 5])
def test_absent_fitter_is_refused_whatever_is_insisted(fit, owner, ansel, day, anyway):
    Absence.objects.create(person=ansel, first=soon(3), last=soon(5), by=owner)
    last = soon(5)

    assert refusal(fit, days_from_now(day), anyway=anyway) == {
        "fitter": [f"Ansel Wren is away until {last.day} {last:%B %Y}."]
    }
    assert fit(days_from_now(6)).state == "booked"


@pytest.mark.parametrize("anyway", [False, True])
def test_fitting_of_a_delivered_garment_is_refused(fit, booked, anyway):
    coat = GarmentFactory(customer=booked.customer, stage="delivered")

    assert refusal(fit, days_from_now(3), garments=[coat], anyway=anyway) == {
        "garments": [
            f"{coat} is delivered already: it can only come for a look at a returned garment."
        ]
    }


def test_move_is_refused_as_a_booking_is(booked, ansel, owner):
    Absence.objects.create(person=ansel, first=soon(3), last=soon(3), by=owner)
    Closure.objects.create(first=soon(4), last=soon(4), reason="moving", by=owner)
    values = {"booking": booked, "version": 1, "fitter": ansel, "room": booked.room, "by": ansel}

    def to(days):
        starts = days_from_now(days)
        times = {"starts_at": starts, "ends_at": starts + HALF_HOUR, "reason": "Rain"}
        return refusal(move_booking, entry_id=uuid.uuid4(), **values, **times)

    assert [list(to(days)) for days in (-1, 3, 4, 400)] == [
        ["date"],
        ["fitter"],
        ["date"],
        ["date"],
    ]
    assert Booking.objects.get().version == 1


# -- the form --------------------------------------------------------------------------------------


@pytest.fixture
def typed(booked, ansel):
    return {
        "entry_id": str(uuid.uuid4()),
        "customer": booked.customer.number,
        "purpose": "first-fitting",
        "garments": [row.pk for row in booked.garments.all()],
        "fitter": ansel.pk,
        "room": booked.room_id,
        "date": f"{soon(3)}",
        "time": "19:00",
        "length": "30",
        "note": "At his office",
    }


def test_evening_is_asked_once_and_then_kept(client, ansel, typed):
    client.force_login(ansel)

    refused = client.post(PAGE, typed)
    very_time = f"{soon(3)}T19:00 30"
    kept = client.post(PAGE, typed | {"anyway": very_time})

    button = f'name="anyway" value="{very_time}">Keep this time all the same</button>'
    assert refused.content.decode().count(button) == 1
    assert errors_of(refused) == {
        "time": ["The house is open from 09:00 to 18:00, and this takes 30 minutes."]
    }
    assert (kept.status_code, Booking.objects.filter(note="At his office").count()) == (302, 1)


def test_answer_for_one_time_is_none_for_another(client, ansel, typed):
    client.force_login(ansel)

    answer = client.post(PAGE, typed | {"time": "20:00", "anyway": f"{soon(3)}T19:00 30"})

    assert list(errors_of(answer)) == ["time"]


def test_desk_is_told_who_can_keep_it(client, desk, typed):
    client.force_login(desk)

    page = client.post(PAGE, typed).content.decode()

    assert words(page).count("A fitter or the owner can keep such a time all the same.") == 1
    assert page.count('name="anyway"') == 0


def test_absent_fitter_stands_beside_the_field_and_other_days_are_offered(
    client, ansel, owner, typed
):
    Absence.objects.create(person=ansel, first=soon(2), last=soon(5), by=owner)
    client.force_login(ansel)

    answer = client.post(PAGE, typed | {"time": "10:00"})

    last = soon(5)
    assert errors_of(answer) == {"fitter": [f"Ansel Wren is away until {last.day} {last:%B %Y}."]}
    assert local(answer.context["offers"]["times"][0]) == f"{soon(6)} 09:00"


# -- what is offered -------------------------------------------------------------------------------


def test_free_times_skip_closed_days_and_absences(ansel, owner):
    monday = next_monday()
    OpeningHours.objects.create(
        weekday=3, opens=datetime.time(11), closes=datetime.time(12), by=owner
    )
    Closure.objects.create(first=monday, last=monday, reason="moving", by=owner)
    Absence.objects.create(person=ansel, first=monday + DAY, last=monday + 2 * DAY, by=owner)

    times = free_times(
        fitter=ansel,
        rooms=[RoomFactory()],
        since=moment(monday, "00:00"),
        length=datetime.timedelta(minutes=45),
        hours=house_hours(),
    )

    thursday, friday = monday + 3 * DAY, monday + 4 * DAY
    offered = [f"{thursday} 11:00", f"{thursday} 11:15", f"{friday} 09:00"]
    assert [local(at) for at in times] == offered
