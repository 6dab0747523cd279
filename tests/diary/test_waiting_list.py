"""Who waits, whom a freed time suits, best first, and one tap that books it."""

import datetime
import uuid

import pytest
from django.utils import timezone

from fittings.diary.promised import Bounds
from fittings.models import Booking, Waiting
from fittings.waiting import queries
from fittings.waiting.queries import WaitingList, freed_by
from tests.diary.conftest import local, moment, next_monday, soon, words
from tests.diary.test_changes import move_of
from tests.factories import BookingFactory, CustomerFactory, GarmentFactory, WaitingFactory

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)


@pytest.fixture
def freed(booked, at_desk):
    """Tobiah's hour with Ansel next Monday at ten was cancelled."""
    Booking.objects.update(
        state="cancelled", ends_at=booked.starts_at + datetime.timedelta(hours=1)
    )
    booked.refresh_from_db()
    return booked


def waits(**values):
    row = WaitingFactory(last=soon(40), **values)
    row.garments.set([GarmentFactory(customer=row.customer, stage="basted")])
    return row


def suited(booking):
    freed = freed_by(booking, timezone.now())
    return [match.waiting for match in WaitingList(timezone.now()).fitting(freed)]


def test_cancelled_time_suits_who_waits_longest_first(freed):
    later = waits()
    earlier = waits(at=timezone.now() - DAY)

    assert suited(freed) == [earlier, later]


def test_nearest_latest_day_goes_before_the_longest_wait(freed, monkeypatch):
    longest = waits(at=timezone.now() - DAY)
    urgent = waits()
    of = {urgent.garments.get().pk: soon(20), longest.garments.get().pk: soon(25)}
    monkeypatch.setattr(
        queries, "bounds", lambda garments, purpose, plan: Bounds(latest=of[garments[0].pk])
    )

    assert suited(freed) == [urgent, longest]


@pytest.mark.parametrize(
    "values",
    [
        {"first": soon(14)},  # not before
        {"since": datetime.time(10, 30)},  # 45 minutes would end after the hour
        {"until": datetime.time(10, 30)},
        {"purpose": "first-fitting", "void": True},
    ],
)
def test_time_that_does_not_suit_is_not_offered(freed, values):
    waits(**values)

    assert suited(freed) == []


def test_fitter_wished_for_is_heeded(freed, ansel, odile):
    waits(fitter=odile)
    wished = waits(fitter=ansel)

    assert suited(freed) == [wished]


def test_who_is_booked_then_is_not_offered_it(freed):
    row = waits()
    BookingFactory(customer=row.customer, starts_at=freed.starts_at)

    assert suited(freed) == []


def test_time_after_the_latest_day_or_before_ready_suits_nobody(freed, monkeypatch):
    waits()
    found = []
    for days in (Bounds(latest=next_monday() - DAY), Bounds(ready=next_monday() + DAY)):
        monkeypatch.setattr(queries, "bounds", lambda garments, purpose, plan, days=days: days)
        found.append(suited(freed))

    assert found == [[], []]


def test_time_not_before_begins_on_its_quarter(freed):
    row = waits(since=datetime.time(10, 5))

    freed_time = freed_by(freed, timezone.now())
    (match,) = WaitingList(timezone.now()).fitting(freed_time)

    assert (match.waiting, local(match.starts)[-5:]) == (row, "10:15")


def test_moved_booking_frees_its_old_time(at_desk, booked, ansel):
    first = {"starts_at": booked.starts_at, "ends_at": booked.ends_at, "fitter": ansel}
    booked.changes.create(what="booked", room=booked.room, by=ansel, **first)
    at_desk.post(f"/diary/{booked.pk}/move/", move_of(booked, time="14:00"))

    moved = Booking.objects.get()
    assert freed_by(moved, timezone.now()).span.starts == booked.starts_at


@pytest.mark.parametrize("taken", ["fitter", "room"])
def test_time_taken_again_is_free_no_more(freed, taken):
    BookingFactory(starts_at=freed.starts_at, **{taken: getattr(freed, taken)})

    assert freed_by(freed, timezone.now()) is None


def give(client, row, booking, **values):
    shown = timezone.localtime(booking.starts_at)
    data = {"entry_id": str(uuid.uuid4()), "date": f"{shown:%Y-%m-%d}", "time": f"{shown:%H:%M}"}
    data |= {"fitter": booking.fitter_id, "room": booking.room_id}
    return client.post(f"/diary/waiting/{row.pk}/give/", data | values)


def test_one_tap_books_it_and_ends_the_wait(at_desk, freed):
    row = waits()

    answer = give(at_desk, row, freed)

    booking = Booking.objects.get(state="booked")
    assert answer.url == f"/diary/{booking.pk}/"
    assert (booking.customer, booking.starts_at, booking.fitter) == (
        row.customer,
        freed.starts_at,
        freed.fitter,
    )
    assert booking.ends_at - booking.starts_at == datetime.timedelta(minutes=45)
    assert list(Waiting.objects.standing()) == []
    assert Waiting.objects.get(void=True).given == booking


def test_who_has_a_later_time_is_moved_instead(at_desk, freed, odile):
    row = waits()
    held = BookingFactory(
        customer=row.customer,
        garments=row.garments.all(),
        fitter=odile,
        starts_at=moment(soon(20)),
    )
    earlier = WaitingFactory(customer=row.customer, instead_of=held, last=soon(20))
    earlier.garments.set(row.garments.all())

    give(at_desk, earlier, freed)

    held.refresh_from_db()
    assert (held.starts_at, held.fitter, held.version) == (freed.starts_at, freed.fitter, 2)
    assert held.changes.get().reason == "An earlier time came free"


def test_time_given_to_another_meanwhile_is_told(at_desk, freed):
    rows = [waits(), waits()]
    give(at_desk, rows[0], freed)

    answer = give(at_desk, rows[1], freed)

    assert answer.status_code == 409
    number = rows[0].customer.number
    assert answer.context["wrong"] == f"Ansel Wren is with {number} from 10:00 to 10:45."
    assert list(Waiting.objects.standing()) == [rows[1]]


@pytest.mark.parametrize(
    "values",
    [
        {"date": "", "time": "x"},
        {"date": "9999-12-31", "time": "23:59"},
        {"date": "2020-01-01"},
        {"fitter": "9" * 40},
        {"room": ""},
        {"entry_id": "\x00"},
    ],
)
def test_nonsense_gives_nothing(at_desk, freed, values):
    row = waits()

    answer = give(at_desk, row, freed, **values)

    assert answer.status_code == 422
    assert Booking.objects.filter(state="booked").count() == 0
    assert list(Waiting.objects.standing()) == [row]


def test_who_waits_no_more_is_given_nothing(at_desk, freed):
    row = waits()
    at_desk.post(f"/diary/waiting/{row.pk}/withdraw/", {"entry_id": str(uuid.uuid4())})

    answer = give(at_desk, row, freed)

    assert answer.context["wrong"].startswith("This customer waits no more")
    assert Booking.objects.filter(state="booked").count() == 0


def test_cancelled_booking_shows_whom_it_suits(at_desk, freed):
    row = waits()

    html = at_desk.get(f"/diary/{freed.pk}/").content.decode()

    assert html.count(f'action="/diary/waiting/{row.pk}/give/"') == 1
    assert words(html).count("10:00 came free") == 1


# -- putting someone on the list -------------------------------------------------------------------


def form_of(customer, coat, **values):
    return {
        "entry_id": str(uuid.uuid4()),
        "customer": customer.number,
        "purpose": "first-fitting",
        "garments": [coat.pk],
        "fitter": "",
        "first": f"{soon(1)}",
        "last": f"{soon(9)}",
        "since": "",
        "until": "",
        "note": "After work",
        **values,
    }


PAGE = "/diary/waiting/new/"


def test_customer_is_put_on_the_list_once(at_desk, booked, coat):
    typed = form_of(booked.customer, coat, booking=f"{booked.pk}")
    for _ in range(2):
        at_desk.post(PAGE, typed)

    row = Waiting.objects.get()
    assert (row.instead_of, list(row.garments.all()), row.first) == (booked, [coat], soon(1))


def test_list_of_a_booking_is_filled_in_from_it(at_desk, booked, coat):
    form = at_desk.get(PAGE, {"customer": booked.customer.number, "booking": f"{booked.pk}"})

    form = form.context["form"]
    assert [form[name].value() for name in ("purpose", "garments", "fitter", "last")] == [
        "first-fitting",
        [coat.pk],
        booked.fitter_id,
        next_monday(),
    ]


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("last", f"{soon(-1)}", "That day is over."),
        ("last", "3026-01-01", "That is more than a year ahead."),
        ("last", f"{soon(0)}", "It must not be before the first day."),
        ("first", "", "Say from which day on."),
        ("first", "soon", "Write the day as year-month-day: 2026-11-25."),
        ("since", "25:00", "Write the time as hours and minutes: 14:30."),
        ("garments", [], "Choose what is to be fitted."),
        ("purpose", "tea", "Select a valid choice. tea is not one of the available choices."),
        ("note", "x" * 201, "Ensure this value has at most 200 characters (it has 201)."),
    ],
)
def test_wrong_wish_is_told_beside_its_field(at_desk, coat, field, value, message):
    answer = at_desk.post(PAGE, form_of(coat.customer, coat, **{"note": "Bus", field: value}))

    form = answer.context["form"]
    assert (answer.status_code, dict(form.errors)) == (422, {field: [message]})
    assert Waiting.objects.count() == 0


def test_times_of_day_must_be_in_order(at_desk, customer, coat):
    answer = at_desk.post(PAGE, form_of(customer, coat, since="15:00", until="15:00"))

    assert dict(answer.context["form"].errors) == {
        "until": ["It must be later than the earliest time."]
    }


def test_list_without_a_customer_asks_for_one(at_desk):
    assert at_desk.get(PAGE, {"customer": "x"}).url == "/customers/"


@pytest.mark.parametrize("count", [1, 3, 10])
def test_list_costs_the_same_for_one_and_ten(at_desk, ansel, django_assert_num_queries, count):
    for number in range(count):
        waits(customer=CustomerFactory())
        BookingFactory(state="cancelled", fitter=ansel, starts_at=moment(soon(1 + number)))

    with django_assert_num_queries(8):
        page = at_desk.get("/diary/waiting/")

    assert (len(page.context["rows"]), len(page.context["freed"])) == (count, count)
