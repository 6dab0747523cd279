"""Trips planned and called off: what is kept, what is refused beside which field, what it does."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from customers.models import House
from fittings.diary import consequences, offering
from fittings.diary.promised import Bounds
from fittings.diary.queries import free_times, house_hours
from fittings.diary.services import SlotTakenError, move_booking, retire_room
from fittings.feeds.queries import entry_of
from fittings.models import (
    Absence,
    Booking,
    Closure,
    OpeningHours,
    Room,
    Trip,
    TripCalledOff,
)
from fittings.post.letters import letter_about
from fittings.promising.queries import read_promises
from fittings.travelling.queries import journey_of, journeys_from
from fittings.travelling.services import call_off_trip
from fittings.waiting.queries import WaitingList, freed_lately
from tests.diary.conftest import errors_of, local, moment, monday, next_monday, shown, soon
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    MakerFactory,
    WaitingFactory,
)

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
TIME = datetime.time
HALF_HOUR = datetime.timedelta(minutes=30)
PAGE = "/diary/book/"


def said(day):
    return f"{day.day} {day:%B} {day.year}"


def refusal(write, *args, **values):
    with pytest.raises(ValidationError) as refused:
        write(*args, **values)
    return refused.value.message_dict


# -- planning --------------------------------------------------------------------------------------


def test_place_becomes_a_room_and_serves_again(plan):
    again = {"place": "the bell", "address": "3 Quay Street"}
    first, second = plan(), plan(first=monday() + 7 * DAY, **again)

    assert (first.room, Room.objects.exclude(town="").count()) == (second.room, 1)
    assert Room.objects.get().location == "The Bell, 3 Quay Street, Harwold"


def test_same_trip_sent_twice_is_kept_once(plan):
    entry_id = uuid.uuid4()
    trips = [plan(entry_id=entry_id), plan(entry_id=entry_id)]

    assert trips[0] == trips[1]
    assert list(refusal(plan, entry_id=entry_id, there=5)) == ["entry_id"]


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"first": lambda: soon(-1)}, "first", "That day is over."),
        ({"first": lambda: soon(367)}, "first", "That is more than a year ahead."),
        ({"last": lambda: soon(1)}, "last", "This ends on {1}, before it starts on {first}."),
        (
            {"last": lambda: monday() + 14 * DAY},
            "last",
            "A trip lasts 14 days at most: make it two.",
        ),
        (
            {"last": lambda: monday() + 7 * DAY, "repeats": lambda: "weekly"},
            "last",
            "It would come back before it is over.",
        ),
        (
            {"until": lambda: monday() - DAY, "repeats": lambda: "weekly"},
            "until",
            "It must not be before the last day.",
        ),
        ({"closes": lambda: TIME(10)}, "closes", "It must close after it opens."),
        ({"fitters": list}, "fitters", "Say who goes."),
    ],
)
def test_senseless_trip_is_refused_beside_its_field(plan, values, field, words):
    words = words.replace("{1}", said(soon(1))).replace("{first}", said(monday()))

    refused = refusal(plan, **{name: value() for name, value in values.items()})

    assert (refused, Trip.objects.count()) == ({field: [words]}, 0)


def test_room_of_the_house_is_no_place(plan, front_room):
    assert refusal(plan, place="front room") == {
        "place": ["Front room is a room of the house: name the place."]
    }


def test_place_of_another_town_is_named_with_it(plan, trip):
    assert refusal(plan, town="Selby", first=monday() + DAY) == {
        "place": ["The Bell is a place in Harwold: name this one with its town."]
    }


def test_place_used_no_more_is_refused(plan, trip):
    Room.objects.update(retired=True)

    (words,) = refusal(plan, first=monday() + DAY)["place"]
    assert words.startswith("The Bell, Harwold is not used any more.")


def test_closed_day_of_the_house_is_refused(plan, desk):
    Closure.objects.create(first=monday(), last=monday(), reason="stocktaking", by=desk)

    words = f"The house is closed on {shown(monday())}: stocktaking."
    assert refusal(plan) == {"first": [words]}


def test_absent_fitter_cannot_travel(plan, ansel, desk):
    Absence.objects.create(person=ansel, first=monday(), last=monday() + DAY, by=desk)

    words = f"Ansel Wren is away until {said(monday() + DAY)}."
    assert refusal(plan) == {"fitters": [words]}


def test_fitter_booked_at_home_is_named_with_the_bookings(plan, booked):
    later = BookingFactory(
        customer=booked.customer, fitter=booked.fitter, starts_at=moment(next_monday(), "18:15")
    )

    refused = refusal(plan, first=next_monday())

    day = shown(next_monday())
    names = [f"Ansel Wren with {row.customer.number} on {day}," for row in (booked, later)]
    words = f"Booked then already: {names[0]} 10:00; {names[1]} 18:15. Move these first."
    assert refused == {"fitters": [words]}


def test_bookings_of_a_later_run_are_in_the_way_too(plan, booked):
    day = monday() + 14 * DAY
    Booking.objects.update(starts_at=moment(day), ends_at=moment(day, "11:00"))

    (words,) = refusal(plan, repeats="weekly")["fitters"]
    assert words.startswith(f"Booked then already: Ansel Wren with {booked.customer.number} on")


def test_two_trips_of_one_fitter_cannot_meet(plan, odile):
    plan(first=monday() + 28 * DAY, fitters=[odile])
    plan(first=monday() + 28 * DAY, place="The Ship", town="Selby")

    words = f"Ansel Wren travels to Selby then: {shown(monday() + 28 * DAY)}."
    assert refusal(plan, repeats="weekly", every=2) == {"fitters": [words]}


def test_two_fitters_travel_together(plan, ansel, odile):
    assert set(plan(fitters=[odile, ansel]).fitters.all()) == {ansel, odile}


# -- bookings --------------------------------------------------------------------------------------


def test_fitting_is_booked_at_the_place_of_the_trip(trip, fit):
    booking = fit(moment(monday()), trip.room)

    assert (booking.state, f"{booking.room}") == ("booked", "The Bell, Harwold")


@pytest.mark.parametrize("anyway", [False, True])
def test_nobody_insists_on_a_fitter_in_another_town(trip, fit, front_room, ansel, anyway):
    starts = moment(monday(), "12:00")

    words = f"Ansel Wren is in Harwold from {shown(monday())}, 08:30 to 18:30."
    assert refusal(fit, starts, front_room, by=ansel, anyway=anyway) == {"fitter": [words]}


def test_place_is_no_room_on_other_days(trip, fit):
    words = f"Nobody is in Harwold that day. The next trip is on {shown(monday())}."

    assert refusal(fit, moment(monday() - DAY), trip.room) == {"date": [words]}


def test_two_customers_never_have_the_place_at_once(plan, fit, ansel, odile):
    trip = plan(fitters=[ansel, odile])
    fit(moment(monday()), trip.room)
    other = GarmentFactory(stage="basted")

    values = {"fitter": odile, "customer": other.customer, "garments": [other]}
    with pytest.raises(SlotTakenError) as taken:
        fit(moment(monday(), "10:15"), trip.room, **values)

    assert taken.value.what == "room"


def test_booking_moves_into_a_trip_as_it_is_booked(trip, booked, desk):
    values = {"starts_at": moment(monday()), "ends_at": moment(monday(), "10:30"), "by": desk}
    values |= {"booking": booked, "version": 1, "fitter": booked.fitter, "reason": "Lives there"}

    refused = refusal(move_booking, entry_id=uuid.uuid4(), room=booked.room, **values)
    moved = move_booking(entry_id=uuid.uuid4(), room=trip.room, **values)

    assert (list(refused), moved.room) == (["fitter"], trip.room)


def test_free_times_at_home_leave_out_the_trip(trip, ansel, front_room):
    times = free_times(
        fitter=ansel,
        rooms=[front_room],
        since=moment(monday(), "00:00"),
        length=HALF_HOUR,
        hours=house_hours(),
    )

    assert local(times[0]) == f"{monday() + DAY} 09:00"


def test_short_trip_leaves_the_morning_at_home(plan, ansel, front_room):
    plan(opens=TIME(14), there=60)

    times = free_times(
        fitter=ansel,
        rooms=[front_room],
        since=moment(monday(), "12:00"),
        length=HALF_HOUR,
        hours=house_hours(),
        most=4,
    )

    offered = [f"{monday()} 12:00", f"{monday()} 12:15", f"{monday()} 12:30"]
    assert [local(at) for at in times] == [*offered, f"{monday() + DAY} 09:00"]


# -- what is offered -------------------------------------------------------------------------------


@pytest.fixture
def bounded(monkeypatch):
    def say(**days):
        for module in (offering, consequences):
            monkeypatch.setattr(module, "bounds", lambda *_: Bounds(**days))

    return say


def offered(client, customer, **asked):
    answer = client.get(PAGE, {"customer": customer.number, **asked})
    return answer.context["offers"]


def places(offers):
    return [(slot.place, local(slot.start)) for slot in offers["slots"]]


def test_customer_of_no_town_is_offered_the_house_alone(at_desk, trip, customer, coat, ansel):
    offers = offered(at_desk, customer, date=f"{monday()}")

    assert {slot.place for slot in offers["slots"]} == {""}
    assert local(offers["times"][0]) == f"{monday() + DAY} 09:00"


def test_customer_of_the_town_is_offered_the_trip(at_desk, trip, customer, coat):
    customer.town = "harwold"
    customer.save()

    offers = offered(at_desk, customer, date=f"{monday()}")

    there = [("The Bell, Harwold", f"{monday()} {time}") for time in ("10:00", "12:00", "14:00")]
    assert places(offers) == there


def test_place_asked_for_is_offered_whoever_asks(at_desk, plan, customer, coat, ansel):
    trip = plan(first=monday() + 140 * DAY)

    offers = offered(at_desk, customer, room=trip.room_id, fitter=ansel.pk)

    day = monday() + 140 * DAY
    assert places(offers)[0] == ("The Bell, Harwold", f"{day} 10:00")


def test_one_touch_books_time_fitter_and_place(at_desk, trip, customer, *, coat, ansel, typed):
    customer.town = "Harwold"
    customer.save()
    value = offered(at_desk, customer, date=f"{monday()}")["slots"][0].value

    at_desk.post(PAGE, typed | {"time": "", "take": value, "fitter": "", "room": ""})

    booking = Booking.objects.get()
    assert (booking.room, booking.fitter, local(booking.starts_at)) == (
        trip.room,
        ansel,
        f"{monday()} 10:00",
    )


@pytest.mark.parametrize(
    ("days", "runs"),
    [
        ({}, [0, 1]),
        ({"ready": -2}, [0, 1]),  # hangs on the Saturday, when it is packed
        ({"ready": 0}, [1, 2]),
        ({"latest": 1}, [0]),
        ({"latest": 7}, [0]),
    ],
)
def test_runs_offered_fit_the_packing_and_the_promise(
    at_desk, plan, coat, *, ansel, desk, bounded, days, runs
):
    Closure.objects.create(
        first=monday() - DAY, last=monday() - DAY, reason="Sunday", repeats="weekly", by=desk
    )
    trip = plan(last=monday() + DAY, repeats="weekly", opens=TIME(10), closes=TIME(11))
    bounded(**{name: monday() + number * DAY for name, number in days.items()})

    offers = offered(at_desk, coat.customer, room=trip.room_id, fitter=ansel.pk)

    found = {(timezone.localdate(at) - monday()).days // 7 for at in offers["times"]}
    assert (sorted(found), offers["said"]) == (runs, "")


def test_run_back_too_late_is_said_to_be(at_desk, plan, coat, ansel, bounded):
    trip = plan(last=monday() + DAY)
    bounded(latest=monday())

    offers = offered(at_desk, coat.customer, room=trip.room_id, fitter=ansel.pk)

    assert offers["said"].startswith(f"Nothing is free by {shown(monday())}, the latest day")


def test_typed_time_in_no_trip_offers_the_next_there(at_desk, trip, typed):
    answer = at_desk.post(PAGE, typed | {"room": trip.room_id, "date": f"{monday() - DAY}"})

    words = f"Nobody is in Harwold that day. The next trip is on {shown(monday())}."
    assert errors_of(answer) == {"date": [words]}
    assert local(answer.context["offers"]["times"][0]) == f"{monday()} 10:00"


# -- consequences, promises, messages, calendars ---------------------------------------------------


def test_move_into_a_trip_says_what_it_means(at_desk, trip, booked, bounded):
    bounded(ready=monday(), latest=monday() - DAY)
    page = f"/diary/{booked.pk}/move/"

    asked = {"date": f"{monday()}", "time": "10:00", "room": trip.room_id}
    means = at_desk.get(page, asked).context["means"]

    coat, packed = booked.garments.get(), monday() - DAY
    name, late = f"Coat {coat.number}", f"it would be packed on {shown(packed)}"
    assert means.sentences == (
        f"{name} will not hang ready before {shown(monday())}; {late}.",
        f"{name}: back at the house a day after {shown(packed)}, the latest day for its promise.",
        "It is held in Harwold instead of at the house.",
    )


def test_promise_counts_what_is_fitted_there_from_its_return(plan, fit, coat, ansel):
    for craft in ("cutter", "coat-maker", "finisher"):
        MakerFactory(craft=craft)
    trip = plan(last=monday() + 2 * DAY)
    fit(moment(monday()), trip.room)

    (order,) = read_promises().case.orders

    assert order.booked == {"first-fitting": monday() + 2 * DAY}


def test_messages_and_calendars_say_the_place(trip, fit):
    booking = fit(moment(monday()), trip.room)

    letter = letter_about("confirmation", booking, house_of())
    entry = entry_of(booking, "number", of_room=False)

    where = "The Bell, 2 Quay Street, Harwold"
    assert entry.location == where
    assert letter.words.body.count(where) == 1
    assert letter.words.short.count("first fitting in Harwold") == 1
    assert letter.calendar.count("LOCATION:The Bell\\, 2 Quay Street\\, Harwold") == 1


def house_of():
    House.objects.update(address="3 Bobbin Row")
    return House.get()


# -- the waiting list ------------------------------------------------------------------------------


@pytest.fixture
def given_back(trip, fit):
    """An hour in Harwold that was cancelled."""
    booking = fit(moment(monday()), trip.room, ends_at=moment(monday(), "11:00"))
    Booking.objects.update(state="cancelled")
    return booking


def waits(town="", **values):
    row = WaitingFactory(customer=CustomerFactory(town=town), last=soon(60), **values)
    row.garments.set([GarmentFactory(customer=row.customer, stage="basted")])
    return row


def suited():
    now = timezone.now()
    freed = freed_lately(now)
    return [match.waiting for row in freed for match in WaitingList(now).fitting(row)]


def test_time_given_back_in_a_town_suits_its_people(given_back):
    waits()
    there = waits(town="Harwold")

    assert suited() == [there]


def test_time_in_a_trip_called_off_is_given_to_nobody(given_back, trip, desk):
    waits(town="Harwold")
    call_off(trip, desk)

    assert suited() == []


def test_time_at_home_of_who_travels_is_given_to_nobody(plan, customer, ansel):
    hours = {"starts_at": moment(monday(), "12:00"), "ends_at": moment(monday(), "13:00")}
    BookingFactory(customer=customer, fitter=ansel, state="cancelled", **hours)
    waiting = waits()
    before = suited()
    plan()

    assert (before, suited()) == ([waiting], [])


# -- calling off -----------------------------------------------------------------------------------


def call_off(trip, by, **values):
    usual = {"entry_id": uuid.uuid4(), "first": trip.first, "onwards": False, "reason": "Ill"}
    return call_off_trip(trip=trip, by=by, **usual | values)


def test_called_off_run_gives_the_day_back_to_the_house(trip, fit, front_room, desk):
    call_off(trip, desk)

    assert fit(moment(monday()), front_room).state == "booked"
    assert list(refusal(fit, moment(monday(), "12:00"), trip.room)) == ["date"]


@pytest.mark.parametrize(("onwards", "left"), [(False, [0, 14]), (True, [0])])
def test_one_run_or_all_after_it_are_called_off(plan, desk, onwards, left):
    trip = plan(repeats="weekly")
    call_off(trip, desk, first=monday() + 7 * DAY, onwards=onwards)

    runs = journey_of(trip).pattern.runs(monday(), monday() + 14 * DAY)
    assert [(run.first - monday()).days for run in runs] == left


def test_bookings_in_a_trip_are_told_before_it_is_called_off(trip, fit, desk):
    booking = fit(moment(monday()), trip.room)

    refused = refusal(call_off, trip, desk)
    kept = call_off(trip, desk, anyway=True)

    who = f"Ansel Wren with {booking.customer.number} on {shown(monday())}, 10:00"
    words = f"Booked then already: {who}. Move or cancel these first, or keep them to be moved."
    assert (refused, kept.stands) == ({"anyway": [words]}, True)
    booking.refresh_from_db()
    assert booking.state == "booked"


def test_bookings_left_without_a_trip_are_to_be_moved(client, trip, fit, desk):
    fit(moment(monday()), trip.room)
    call_off(trip, desk, anyway=True)
    client.force_login(desk)

    (row,) = client.get("/open-days/").context["to_move"]
    assert row.why == "Nobody goes to Harwold that day any more."


def test_bookings_of_a_trip_on_a_closed_weekday_stay(client, plan, fit, desk):
    trip = plan(first=monday() - DAY)
    fit(moment(monday() - DAY), trip.room)
    OpeningHours.objects.create(weekday=6, by=desk)
    client.force_login(desk)

    assert client.get("/open-days/").context["to_move"] == []


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"first": lambda: soon(-3)}, "first"),
        ({"first": lambda: monday() + DAY}, "first"),
        ({"first": lambda: datetime.date.min}, "first"),
        ({"first": lambda: datetime.date.max}, "first"),
        ({"reason": lambda: " "}, "reason"),
    ],
)
def test_senseless_calling_off_is_refused(plan, desk, values, field):
    trip = plan(repeats="weekly", last=monday() + DAY)

    refused = refusal(call_off, trip, desk, **{name: value() for name, value in values.items()})

    assert (list(refused), TripCalledOff.objects.count()) == ([field], 0)


def test_calling_off_sent_twice_is_kept_once(trip, desk):
    entry_id = uuid.uuid4()

    rows = [call_off(trip, desk, entry_id=entry_id) for _ in range(2)]

    assert rows[0] == rows[1]


def test_room_of_a_trip_is_not_the_houses_last(front_room, trip):
    with pytest.raises(ValidationError):
        retire_room(room=front_room)
    assert retire_room(room=trip.room).retired


def test_trips_cost_the_same_for_one_and_ten(plan, django_assert_num_queries):
    plan()
    with django_assert_num_queries(3):
        journeys_from()
    for number in range(9):
        plan(first=monday() + (number + 1) * DAY)
    with django_assert_num_queries(3):
        assert len(journeys_from().rows) == 10
