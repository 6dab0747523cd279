"""What the booking form refuses, beside which field, and what the house's clock makes of a time."""

import datetime

import pytest

from customers.models import House
from fittings.diary.forms import BookForm
from fittings.diary.queries import house_hours
from fittings.diary.slots import UTC, Hours
from fittings.models import Booking
from garments.models import Garment
from tests.diary.conftest import LONDON, errors_of, local, soon
from tests.factories import GarmentFactory, RoomFactory

pytestmark = pytest.mark.django_db

PAGE = "/diary/book/"


# -- nonsense --------------------------------------------------------------------------------------

OVER = "That day is over."
SCRIPT = "<script>alert(1)</script>"
NO_CHOICE = "Select a valid choice. That choice is not one of the available choices."


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("purpose", "", "This field is required."),
        (
            "purpose",
            SCRIPT,
            f"Select a valid choice. {SCRIPT} is not one of the available choices.",
        ),
        ("garments", [], "Choose what is to be fitted."),
        ("garments", ["0"], "That is no garment of theirs: choose again."),
        ("garments", ["9" * 40], "That is no garment of theirs: choose again."),
        ("garments", ["x\x00"], "Null characters are not allowed."),
        ("fitter", "999999", NO_CHOICE),
        ("fitter", "9" * 40, NO_CHOICE),
        ("fitter", SCRIPT, NO_CHOICE),
        ("room", "999999", NO_CHOICE),
        ("room", "\x00", "Null characters are not allowed."),
        ("date", "", "Say on which day, or take one of the free times."),
        ("date", "soon", "Write the day as year-month-day: 2026-11-25."),
        ("date", "2026-02-30", "Write the day as year-month-day: 2026-11-25."),
        ("date", "0001-01-01", OVER),
        ("date", "9999-12-31", "That is more than a year ahead."),
        ("date", "x" * 1_000_000, "Write the day as year-month-day: 2026-11-25."),
        ("time", "", "Say when, or take one of the free times."),
        ("time", "noon", "Write the time as hours and minutes: 14:30."),
        ("time", "25:00", "Write the time as hours and minutes: 14:30."),
        ("time", SCRIPT, "Write the time as hours and minutes: 14:30."),
        (
            "time",
            "10:07",
            "Begin on a quarter of an hour: 10:00, 10:15, 10:30 or 10:45.",
        ),
        (
            "time",
            "08:45",
            "The house is open from 09:00 to 18:00, and this takes 45 minutes.",
        ),
        (
            "time",
            "17:30",
            "The house is open from 09:00 to 18:00, and this takes 45 minutes.",
        ),
        ("length", "40", "Select a valid choice. 40 is not one of the available choices."),
        ("length", "-15", "Select a valid choice. -15 is not one of the available choices."),
        ("note", "x" * 301, "Ensure this value has at most 300 characters (it has 301)."),
        (
            "note",
            "x" * 1_000_000,
            "Ensure this value has at most 300 characters (it has 1000000).",
        ),
        ("note", "a\x00b", "Null characters are not allowed."),
        ("entry_id", "", "This field is required."),
        ("entry_id", "1", "Enter a valid UUID."),
    ],
)
def test_nonsense_is_refused_beside_its_field(at_desk, typed, field, value, message):
    answer = at_desk.post(PAGE, typed | {field: value})

    assert (answer.status_code, errors_of(answer)[field]) == (422, [message])
    assert answer.context["form"][field].value() == value
    assert answer.content.decode().count("<script>alert") == 0
    assert Booking.objects.count() == 0


def test_garment_of_another_customer_is_no_choice(at_desk, typed):
    foreign = GarmentFactory().pk

    answer = at_desk.post(PAGE, typed | {"garments": [foreign]})

    assert errors_of(answer) == {"garments": ["That is no garment of theirs: choose again."]}


def test_front_of_house_is_no_fitter(at_desk, typed, desk):
    assert errors_of(at_desk.post(PAGE, typed | {"fitter": desk.pk})) == {"fitter": [NO_CHOICE]}


def test_room_out_of_use_is_no_choice(at_desk, typed):
    room = RoomFactory(retired=True)

    assert errors_of(at_desk.post(PAGE, typed | {"room": room.pk})) == {"room": [NO_CHOICE]}


def test_delivered_garment_only_comes_back(at_desk, typed, coat):
    Garment.objects.update(stage="delivered")

    answer = at_desk.post(PAGE, typed)
    at_desk.post(PAGE, typed | {"purpose": "return-look"})

    assert errors_of(answer)["garments"] == [
        f"{coat} is delivered already: it can only come for a look at a returned garment."
    ]
    assert Booking.objects.get().purpose == "return-look"


def test_remade_garment_is_not_shown(at_desk, typed, coat):
    Garment.objects.update(stage="remade")

    answer = at_desk.post(PAGE, typed)

    assert list(answer.context["form"].fields["garments"].queryset) == []
    assert list(errors_of(answer)) == ["garments"]


@pytest.mark.parametrize("take", ["T", "soonT", "T10:00", "x" * 100_000 + "T1", "2026-13-99T99:99"])
def test_nonsense_in_an_offer_books_nothing(at_desk, typed, take):
    answer = at_desk.post(PAGE, typed | {"time": "", "take": take})

    assert (answer.status_code, Booking.objects.count()) == (422, 0)


# -- the clock of the house ------------------------------------------------------------------------


NIGHT = Hours(datetime.time(0), datetime.time(23, 45), LONDON)
MARCH = datetime.datetime(2030, 3, 1, tzinfo=UTC)


def form_at(typed, *, now=MARCH, hours=NIGHT, **values):
    return BookForm(typed | values, garments=Garment.objects.all(), hours=hours, now=now)


@pytest.mark.parametrize(
    ("day", "time", "message"),
    [
        ("2030-03-31", "01:30", "The clocks go forward that night: there is no 01:30."),
        (
            "2030-10-27",
            "01:30",
            "The clocks go back that night: 01:30 comes twice. Take another time.",
        ),
    ],
)
def test_time_the_clock_cannot_show_is_refused(typed, day, time, message):
    form = form_at(typed, date=day, time=time)

    assert form.errors == {"time": [message]}


@pytest.mark.parametrize(
    ("day", "time", "utc"),
    [
        ("2030-03-31", "00:30", "2030-03-31 00:30 to 01:15"),
        ("2030-03-31", "10:00", "2030-03-31 09:00 to 09:45"),
        ("2030-10-27", "00:30", "2030-10-26 23:30 to 00:15"),
        ("2030-10-27", "10:00", "2030-10-27 10:00 to 10:45"),
    ],
)
def test_length_is_true_when_the_clocks_change(typed, day, time, utc):
    form = form_at(typed, date=day, time=time)

    assert form.errors == {}
    assert f"{form.span.starts:%Y-%m-%d %H:%M} to {form.span.ends:%H:%M}" == utc


@pytest.mark.parametrize(
    ("now", "errors"),
    [
        ("09:59", {}),
        ("10:14", {}),
        ("10:15", {"time": ["That time is over."]}),
        ("17:00", {"time": ["That time is over."]}),
    ],
)
def test_quarter_that_runs_can_still_be_booked(typed, now, errors):
    # Someone walks in: it is seven past, and the diary counts in quarters.
    at = datetime.datetime.fromisoformat(f"2030-02-04 {now}").replace(tzinfo=LONDON)

    form = form_at(typed, now=at, hours=house_hours(), date="2030-02-04")

    assert form.errors == errors


def test_hours_are_those_of_the_house(at_desk, typed):
    House.objects.update(opens=datetime.time(11), closes=datetime.time(12))

    answer = at_desk.post(PAGE, typed)

    assert errors_of(answer)["time"] == [
        "The house is open from 11:00 to 12:00, and this takes 45 minutes."
    ]
    assert [local(at) for at in answer.context["offers"]["times"]] == [
        f"{soon(days)} {at}" for days, at in ((7, "11:00"), (7, "11:15"), (8, "11:00"))
    ]
