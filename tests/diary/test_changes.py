"""One booking: its history, moved, cancelled, each refusal beside its field; and the rooms."""

import datetime
import uuid

import pytest

from customers.people import name_of
from fittings.models import Booking, Room
from tests.diary.conftest import errors_of, local, moment, next_monday, words
from tests.factories import BookingFactory, GarmentFactory, UserFactory

pytestmark = pytest.mark.django_db


# -- one booking -----------------------------------------------------------------------------------


def test_booking_page_tells_its_history(at_desk, booked, desk, odile, back_room):
    values = move_of(booked, time="11:00", fitter=odile.pk, room=back_room.pk)
    told = at_desk.post(f"/diary/{booked.pk}/move/", values).context["means"]
    at_desk.post(f"/diary/{booked.pk}/move/", values | {"known": told.mark})

    html = words(at_desk.get(f"/diary/{booked.pk}/").content.decode())
    assert html.count("moved: His train is late Petra Loam") == 1
    assert html.count("11:00 to 11:30, Odile Fennimore, Back room") == 1


def test_unknown_booking_is_not_found(at_desk):
    pages = ["", "move/", "cancel/"]

    assert [at_desk.get(f"/diary/{uuid.uuid4()}/{page}").status_code for page in pages] == [404] * 3


def test_cancelled_booking_can_only_be_booked_again(at_desk, booked, coat):
    Booking.objects.update(state="cancelled")

    html = at_desk.get(f"/diary/{booked.pk}/").content.decode()

    again = f"/diary/book/?customer={booked.customer.number}&amp;purpose=first-fitting"
    assert html.count(f'href="{again}&amp;garment={coat.number}"') == 1
    assert (html.count("/move/"), html.count("/cancel/"), html.count("/mark/")) == (0, 0, 0)


# -- moving ----------------------------------------------------------------------------------------


def move_of(booking, **values):
    return {
        "entry_id": str(uuid.uuid4()),
        "version": booking.version,
        "date": f"{next_monday()}",
        "time": "11:00",
        "length": "",
        "fitter": booking.fitter_id,
        "room": booking.room_id,
        "reason": "His train is late",
        **values,
    }


def test_move_keeps_its_length_and_reason(at_desk, booked):
    answer = at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked))

    moved = Booking.objects.get()
    assert answer.url == f"/diary/{booked.pk}/"
    assert local(moved.starts_at) == f"{next_monday()} 11:00"
    assert moved.ends_at - moved.starts_at == datetime.timedelta(minutes=30)
    assert moved.changes.get().reason == "His train is late"


def test_move_form_is_filled_in_as_it_is(at_desk, booked):
    form = at_desk.get(f"/diary/{booked.pk}/move/").context["form"]

    assert [form[name].value() for name in ("date", "fitter", "room", "version")] == [
        next_monday(),
        booked.fitter_id,
        booked.room_id,
        1,
    ]


def test_move_onto_another_offers_free_times(at_desk, booked, customer):
    BookingFactory(
        fitter=booked.fitter, starts_at=moment(next_monday(), "11:00"), customer=customer
    )

    answer = at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked))

    sentence = f"Ansel Wren is with {customer.number} from 11:00 to 11:30."
    assert (answer.status_code, errors_of(answer)) == (422, {"time": [sentence]})
    assert answer.context["form"]["reason"].value() == "His train is late"
    assert [local(at)[-5:] for at in answer.context["offers"]["times"]] == [
        "11:30",
        "11:45",
        "12:00",
    ]


def test_offered_time_moves_by_one_tap(at_desk, booked):
    values = move_of(booked, time="", take=f"{next_monday()}T10:15")

    at_desk.post(f"/diary/{booked.pk}/move/", values)

    # A quarter later it still overlaps its own old time: that is its own.
    assert local(Booking.objects.get().starts_at) == f"{next_monday()} 10:15"


def test_move_seen_too_late_is_told_and_can_be_sent_again(at_desk, booked):
    stale = move_of(booked)
    at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked, time="16:00"))

    answer = at_desk.post(f"/diary/{booked.pk}/move/", stale)
    form = answer.context["form"]
    again = stale | {"version": form["version"].value()}
    at_desk.post(f"/diary/{booked.pk}/move/", again)

    told = errors_of(answer)["__all__"][0]
    assert answer.status_code == 409
    assert " changed this booking meanwhile: it is booked, Monday" in told
    assert told.startswith(name_of(Booking.objects.get().changes.latest("at").by))
    assert (form["reason"].value(), form["time"].value()) == ("His train is late", "11:00")
    assert local(Booking.objects.get().starts_at) == f"{next_monday()} 11:00"


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("reason", "", "Say why it is moved."),
        ("reason", "   ", "Say why it is moved."),
        (
            "reason",
            "x" * 1_000_000,
            "Ensure this value has at most 300 characters (it has 1000000).",
        ),
        ("reason", "\x00", "Null characters are not allowed."),
        ("date", "1999-01-01", "That day is over."),
        ("time", "<script>", "Write the time as hours and minutes: 14:30."),
        ("time", "11:01", "Begin on a quarter of an hour: 10:00, 10:15, 10:30 or 10:45."),
        ("time", "23:30", "The house is open from 09:00 to 18:00, and this takes 30 minutes."),
        ("length", "7", "Select a valid choice. 7 is not one of the available choices."),
        (
            "fitter",
            "0",
            "Select a valid choice. That choice is not one of the available choices.",
        ),
        ("version", "", "This field is required."),
        ("version", "9" * 30, "Ensure this value is less than or equal to 1000000."),
        ("version", "one", "Enter a whole number."),
        ("entry_id", "x", "Enter a valid UUID."),
    ],
)
def test_nonsense_moves_nothing(at_desk, booked, field, value, message):
    answer = at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked, **{field: value}))

    assert (answer.status_code, errors_of(answer)[field]) == (422, [message])
    assert answer.context["form"][field].value() == value
    assert (Booking.objects.get().version, booked.changes.count()) == (1, 0)


def test_what_is_over_does_not_move(at_desk, booked):
    Booking.objects.update(state="missed")

    answer = at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked))

    assert errors_of(answer) == {"__all__": ["This booking is missed: it cannot move."]}


# -- cancelling ------------------------------------------------------------------------------------


def test_cancelling_keeps_the_reason(at_desk, booked):
    values = {"entry_id": str(uuid.uuid4()), "version": 1, "reason": "He is ill"}

    answer = at_desk.post(f"/diary/{booked.pk}/cancel/", values)

    assert answer.url == f"/diary/{booked.pk}/"
    assert Booking.objects.get().state == "cancelled"
    assert booked.changes.get().reason == "He is ill"


def test_cancelling_what_was_moved_is_told_first(at_desk, booked):
    at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked))
    values = {"entry_id": str(uuid.uuid4()), "version": 1, "reason": "He is ill"}

    answer = at_desk.post(f"/diary/{booked.pk}/cancel/", values)

    assert (answer.status_code, Booking.objects.get().state) == (409, "booked")
    assert answer.context["form"]["reason"].value() == "He is ill"
    assert answer.context["form"]["version"].value() == "2"


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("reason", "", "Say why it is cancelled."),
        ("reason", "\x00", "Null characters are not allowed."),
        ("reason", "x" * 301, "Ensure this value has at most 300 characters (it has 301)."),
        ("version", "-1", "Ensure this value is greater than or equal to 1."),
        ("version", "<script>", "Enter a whole number."),
        ("entry_id", "", "This field is required."),
    ],
)
def test_nonsense_cancels_nothing(at_desk, booked, field, value, message):
    values = {"entry_id": str(uuid.uuid4()), "version": 1, "reason": "He is ill", field: value}

    answer = at_desk.post(f"/diary/{booked.pk}/cancel/", values)

    assert (answer.status_code, errors_of(answer)[field]) == (422, [message])
    assert Booking.objects.get().state == "booked"


# -- rooms -----------------------------------------------------------------------------------------


@pytest.fixture
def owner(client):
    client.force_login(UserFactory(role="owner"))
    return client


def test_owner_adds_and_retires_a_room(owner, front_room):
    owner.post("/diary/rooms/", {"name": "Window room"})
    owner.post(f"/diary/rooms/{front_room.pk}/retire/")

    rooms = dict(Room.objects.values_list("name", "retired"))
    assert rooms == {"Front room": True, "Window room": False}


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("", "This field is required."),
        ("  ", "This field is required."),
        ("x" * 1_000_000, "Ensure this value has at most 40 characters (it has 1000000)."),
        ("\x00", "Null characters are not allowed."),
    ],
)
def test_nonsense_makes_no_room(owner, front_room, name, message):
    answer = owner.post("/diary/rooms/", {"name": name})

    assert (answer.status_code, errors_of(answer)) == (422, {"name": [message]})
    assert list(Room.objects.all()) == [front_room]


def test_last_room_stays(owner, front_room):
    answer = owner.post(f"/diary/rooms/{front_room.pk}/retire/", follow=True)

    told = [str(message) for message in answer.context["messages"]]
    assert told == ["The house needs one room: add the next before this one goes."]


@pytest.mark.parametrize(("role", "links"), [("owner", 1), ("fitter", 0)])
def test_week_leads_the_owner_to_the_rooms(client, role, links):
    client.force_login(UserFactory(role=role))

    assert client.get("/diary/").content.decode().count('href="/diary/rooms/"') == links


def test_desk_may_not_change_rooms(at_desk, front_room):
    answers = at_desk.get("/diary/rooms/"), at_desk.post(f"/diary/rooms/{front_room.pk}/retire/")

    assert [answer.status_code for answer in answers] == [403, 403]


# -- what it costs ---------------------------------------------------------------------------------


# With one change there is no time it had before, so nothing came free: three questions fewer.
@pytest.mark.parametrize(("count", "queries"), [(1, 8), (3, 11), (40, 11)])
def test_booking_page_costs_the_same_for_a_long_history(
    at_desk, django_assert_num_queries, booked, count, queries
):
    for number in range(count):
        booked.garments.add(GarmentFactory(customer=booked.customer))
        values = move_of(booked, version=number + 1, time=f"{11 + number % 3}:00")
        at_desk.post(f"/diary/{booked.pk}/move/", values)

    with django_assert_num_queries(queries):
        answer = at_desk.get(f"/diary/{booked.pk}/")

    assert len(answer.context["changes"]) == count
