"""Today: who comes and what is owed, for each kind of work; one tap says what became of it."""

import datetime
import uuid

import pytest
from django.template.loader import render_to_string
from django.utils import timezone

from fittings.diary.visits import visits_of
from fittings.models import Booking
from tests.diary.conftest import words
from tests.factories import (
    AlterationFactory,
    BookingFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    RoomFactory,
    TicketRevisionFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

MINUTE = datetime.timedelta(minutes=1)
NOON = datetime.time(12)


def noon(days=0):
    day = timezone.localdate() + datetime.timedelta(days=days)
    return timezone.make_aware(datetime.datetime.combine(day, NOON))


def owed(garment, due_on):
    revision = TicketRevisionFactory(ticket__garment=garment, due_on=due_on)
    revision.lines.create(position=1, alteration=AlterationFactory(garment=garment))
    return revision.ticket


@pytest.fixture
def booked(customer, coat, ansel, front_room):
    """Tobiah's first fitting with Ansel in the front room, today at noon."""
    return BookingFactory(
        customer=customer, garments=[coat], fitter=ansel, room=front_room, starts_at=noon()
    )


# -- what it shows ---------------------------------------------------------------------------------


def test_today_shows_who_comes_with_garment_and_stage(at_desk, booked, coat):
    page = at_desk.get("/")

    (visit,) = page.context["expected"]
    assert visit.booking == booked
    assert visit.garments == [(coat, "")]
    assert words(page.content.decode()).count(f"Coat&nbsp;{coat.number} basted for fitting") == 1


def test_today_leaves_out_yesterday_and_later(at_desk, booked):
    BookingFactory(starts_at=noon(-1))
    BookingFactory(starts_at=noon(2))
    tomorrow = BookingFactory(starts_at=noon(1))

    page = at_desk.get("/")

    assert [visit.booking for visit in page.context["expected"]] == [booked]
    assert [visit.booking for visit in page.context["tomorrow"]] == [tomorrow]


def test_what_is_over_stands_apart(at_desk, booked):
    over = [
        BookingFactory(state=state, starts_at=noon() + hours * 60 * MINUTE)
        for hours, state in enumerate(["kept", "missed", "cancelled"], start=1)
    ]

    page = at_desk.get("/")

    assert [visit.booking for visit in page.context["over"]] == over
    assert [visit.booking for visit in page.context["expected"]] == [booked]


def test_garment_with_open_ticket_is_called_not_ready(at_desk, booked, coat):
    ticket = owed(coat, timezone.localdate())

    assert at_desk.get("/").context["expected"][0].garments == [(coat, ticket.number)]


@pytest.mark.parametrize(
    ("state", "minutes", "late"),
    [("booked", 11, True), ("booked", 10, False), ("booked", -5, False), ("arrived", 60, False)],
)
def test_late_is_ten_minutes_after_a_booked_time(state, minutes, late):
    booking = BookingFactory(state=state)

    (visit,) = visits_of([booking], booking.starts_at + minutes * MINUTE, {})

    assert visit.is_late is late


@pytest.mark.parametrize(
    ("state", "minutes", "offered"),
    [
        ("booked", -24 * 60, []),
        ("booked", -60, ["arrived", "kept"]),
        ("booked", 1, ["arrived", "kept", "missed"]),
        ("arrived", 1, ["kept", "missed", "reopened"]),
        ("missed", 1, ["arrived", "reopened"]),
        ("cancelled", 1, []),
    ],
)
def test_marks_offered_are_those_that_can_be(state, minutes, offered):
    booking = BookingFactory(state=state)

    (visit,) = visits_of([booking], booking.starts_at + minutes * MINUTE, {})

    assert [mark.what for mark in visit.marks] == offered


def test_held_fitting_is_opened_not_started_again():
    booking = BookingFactory(state="kept", garments=[GarmentFactory()])
    fitting = FittingFactory(booking=booking)

    (visit,) = visits_of([Booking.objects.get()], booking.starts_at, {})

    assert (visit.fitting, visit.may_start, visit.marks) == (fitting, False, [])


@pytest.mark.parametrize(
    ("purpose", "minutes", "state", "begins"),
    [
        ("first-fitting", 0, "booked", "Start the fitting"),
        ("first-fitting", 0, "arrived", "Start the fitting"),
        ("first-fitting", 0, "missed", ""),
        ("first-fitting", -24 * 60, "booked", ""),
        ("measure", 0, "booked", "Measure"),
        ("measure", 0, "kept", ""),
    ],
)
def test_fitter_begins_with_one_tap(booked, purpose, minutes, state, begins):
    booked.purpose, booked.state = purpose, state
    (visit,) = visits_of([booked], booked.starts_at + minutes * MINUTE, {})

    html = render_to_string("diary/start.html", {"visit": visit})

    assert words(html) == begins


def test_booking_starts_its_fitting(client, booked, ansel):
    client.force_login(ansel)

    answer = client.post("/fitting/start/", {"booking": booked.pk})

    booked.refresh_from_db()
    assert answer.url == booked.fitting.get_absolute_url()
    assert booked.state == "kept"
    assert client.get("/").context["over"][0].fitting == booked.fitting


def test_tickets_due_are_for_the_bench(client, coat):
    client.force_login(UserFactory(role="workroom"))
    today = timezone.localdate()
    due, late = owed(coat, today), owed(coat, today - datetime.timedelta(days=3))
    owed(coat, today + datetime.timedelta(days=1))

    page = client.get("/")

    assert [row.number for row in page.context["tickets"]] == [late.number, due.number]
    assert page.context["slot"] is None


def test_front_of_house_is_shown_no_tickets(at_desk, coat):
    owed(coat, timezone.localdate())

    assert at_desk.get("/").context["tickets"] == []


@pytest.mark.parametrize(("desk", "called"), [(True, 2), (False, 0)])
def test_phone_of_who_is_late_is_for_the_desk(booked, desk, called):
    booked.customer.phone = "01632 960 777"
    (visit,) = visits_of([booked], booked.starts_at + 30 * MINUTE, {})

    html = render_to_string("diary/visit.html", {"visit": visit, "desk": desk})

    assert html.replace(" ", "").count("01632960777") == called
    assert words(html).count("late") == 1


@pytest.mark.parametrize(("role", "marks"), [("front of house", 4), ("workroom", 0)])
def test_workroom_sees_garments_and_no_buttons(client, booked, coat, role, marks):
    client.force_login(UserFactory(role=role))

    html = client.get("/").content.decode()

    assert min(html.count("/mark/"), 4) == marks
    assert words(html).count(f"Coat&nbsp;{coat.number} basted for fitting") == 1


def test_empty_house_says_what_to_do_first(client):
    client.force_login(UserFactory(role="owner"))
    page = client.get("/")
    CustomerFactory()

    assert page.context["is_new"] is True
    assert words(page.content.decode()).count("Register the first customer") == 1
    assert client.get("/").context["is_new"] is False


def test_next_free_slot_is_within_opening_hours(at_desk, ansel, front_room):
    start, fitter = at_desk.get("/").context["slot"]

    shown = timezone.localtime(start)
    assert fitter == ansel
    assert start >= timezone.now()
    assert datetime.time(9) <= shown.time() <= datetime.time(17, 30)
    assert shown.minute % 15 == 0


def test_house_without_fitters_has_no_free_slot(at_desk, front_room):
    assert at_desk.get("/").context["slot"] is None


# -- one tap ---------------------------------------------------------------------------------------


def tap(what, **values):
    return {"entry_id": str(uuid.uuid4()), "what": what, **values}


def test_arrival_without_javascript_returns_to_today(at_desk, booked):
    answer = at_desk.post(f"/diary/{booked.pk}/mark/", tap("arrived", back="today"), follow=True)

    assert answer.redirect_chain == [("/", 302)]
    assert [str(message) for message in answer.context["messages"]] == ["Tobiah Marrowby: arrived."]
    assert Booking.objects.get().state == "arrived"


def test_arrival_on_a_tablet_brings_back_the_row(at_desk, booked):
    answer = at_desk.post(
        f"/diary/{booked.pk}/mark/", tap("arrived"), headers={"HX-Request": "true"}
    )

    html = answer.content.decode()
    assert answer.status_code == 200
    assert html.strip().startswith(f'<li class="visit" id="visit-{booked.pk}">')
    assert html.count("<html") == 0
    assert html.count('hx-swap-oob="innerHTML"') == 1


def test_same_tap_twice_marks_once(at_desk, booked):
    same = tap("arrived")
    for _ in range(2):
        at_desk.post(f"/diary/{booked.pk}/mark/", same)

    assert list(booked.changes.values_list("what", flat=True)) == ["arrived"]


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"what": ""},
        {"what": "promoted"},
        {"what": "<script>alert(1)</script>"},
        {"what": "x" * 1_000_000},
        {"what": "arrived\x00"},
        {"what": "arrived", "entry_id": "not-a-uuid"},
        {"what": "reopened"},
        {"what": "cancelled"},
        {"what": "moved"},
    ],
)
@pytest.mark.parametrize("headers", [{}, {"HX-Request": "true"}], ids=["page", "fragment"])
def test_nonsense_marks_nothing_and_is_told(at_desk, booked, values, headers):
    data = values and {"entry_id": str(uuid.uuid4()), **values}

    answer = at_desk.post(f"/diary/{booked.pk}/mark/", data, headers=headers)

    assert answer.status_code == (422 if headers else 302)
    assert (Booking.objects.get().state, booked.changes.count()) == ("booked", 0)


def test_mark_of_unknown_booking_is_not_found(at_desk):
    assert at_desk.post(f"/diary/{uuid.uuid4()}/mark/", tap("arrived")).status_code == 404


def test_mark_that_lost_its_time_says_who_has_it(at_desk, booked):
    Booking.objects.update(state="missed")
    other = BookingFactory(fitter=booked.fitter, starts_at=booked.starts_at)

    answer = at_desk.post(
        f"/diary/{booked.pk}/mark/", tap("reopened"), headers={"HX-Request": "true"}
    )

    told = [str(message) for message in answer.context["messages"]]
    assert answer.status_code == 409
    assert told == [f"Ansel Wren is with {other.customer.number} from 12:00 to 12:30."]


def test_tapping_needs_a_post(at_desk, booked):
    assert at_desk.get(f"/diary/{booked.pk}/mark/").status_code == 405


# -- what it costs ---------------------------------------------------------------------------------


def fill_today(count):
    hands = UserFactory.create_batch(count, role="fitter")
    for number, hand in enumerate(hands):
        garment = GarmentFactory()
        owed(garment, timezone.localdate())
        BookingFactory(
            customer=garment.customer,
            garments=[garment],
            fitter=hand,
            room=RoomFactory(),
            starts_at=noon(number % 2),
            note="Comes with his wife",
        )


@pytest.mark.parametrize("count", [1, 3, 40])
@pytest.mark.parametrize(
    ("role", "queries"), [("front of house", 17), ("workroom", 9), ("fitter", 17), ("owner", 17)]
)
def test_today_costs_the_same_for_one_and_forty(
    client, django_assert_num_queries, role, queries, count
):
    client.force_login(UserFactory(role=role))
    fill_today(count)

    with django_assert_num_queries(queries):
        page = client.get("/")

    assert len(page.context["expected"]) + len(page.context["tomorrow"]) == count
