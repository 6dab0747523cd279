"""The day and the week: what they show, what they answer to nonsense, what they cost."""

import datetime
import re

import pytest
from django.utils import timezone

from customers.models import House
from fittings.models import Booking
from tests.diary.conftest import moment, next_monday, words
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    RoomFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
NO_CHOICE = "Select a valid choice. That choice is not one of the available choices."


def columns_of(page):
    """Each column of the sheet: its head, and its cells as (kind, time, rows)."""
    return {
        head.text: [
            (cell.kind, cell.clock, cell.span)
            for row in page.context["rows"]
            for cell in row.cells
            if cell.column == head
        ]
        for head in [cell.column for cell in page.context["rows"][0].cells]
    }


# -- the day ---------------------------------------------------------------------------------------


def test_day_has_a_column_for_each_fitter(at_desk, booked, odile, back_room):
    columns = columns_of(at_desk.get("/diary/day/", {"date": f"{next_monday()}"}))

    assert list(columns) == ["Ansel Wren", "Odile Fennimore"]
    assert columns["Ansel Wren"][1:4] == [
        ("free", "09:30", 2),
        ("taken", "10:00", 2),
        ("free", "10:30", 2),
    ]
    assert {kind for kind, _, _ in columns["Odile Fennimore"]} == {"free"}


def test_time_without_a_free_room_is_shut(at_desk, booked, odile):
    columns = columns_of(at_desk.get("/diary/day/", {"date": f"{next_monday()}"}))

    assert columns["Odile Fennimore"][2] == ("shut", "10:00", 2)


def test_free_time_links_to_the_form_filled_in(at_desk, booked, ansel):
    html = at_desk.get("/diary/day/", {"date": f"{next_monday()}"}).content.decode()

    link = f"/diary/book/?fitter={ansel.pk}&amp;date={next_monday()}&amp;time=10:30"
    assert html.count(f'<a href="{link}" aria-label="Book Ansel Wren, 10:30">10:30</a>') == 1


def test_booking_on_the_sheet_leads_to_its_page(at_desk, booked):
    html = at_desk.get("/diary/day/", {"date": f"{next_monday()}"}).content.decode()

    (link,) = re.findall(r'<a class="booked booked" href="([^"]+)"', html)
    assert link == f"/diary/{booked.pk}/"


def test_day_that_is_over_is_shut(at_desk, ansel, front_room):
    yesterday = timezone.localdate() - DAY

    columns = columns_of(at_desk.get("/diary/day/", {"date": f"{yesterday}"}))

    assert columns == {"Ansel Wren": [("shut", "09:00", 36)]}


def test_room_filter_shows_the_room_alone(at_desk, booked, odile, back_room):
    asked = {"date": f"{next_monday()}", "room": booked.room_id}
    BookingFactory(starts_at=moment(next_monday(), "14:00"), room=back_room, fitter=odile)

    columns = columns_of(at_desk.get("/diary/day/", asked))

    taken = [cell for cell in columns["Front room"] if cell[0] == "taken"]
    assert list(columns) == ["Front room"]
    assert taken == [("taken", "10:00", 2)]


def test_fitter_and_room_together_show_what_takes_either(at_desk, booked, odile, back_room):
    BookingFactory(starts_at=moment(next_monday(), "14:00"), room=back_room, fitter=odile)
    asked = {"date": f"{next_monday()}", "room": back_room.pk, "fitter": booked.fitter_id}

    columns = columns_of(at_desk.get("/diary/day/", asked))

    taken = [cell[1] for cell in columns["Ansel Wren"] if cell[0] == "taken"]
    assert taken == ["10:00", "14:00"]


def test_fitter_who_left_keeps_a_column_for_what_is_booked(at_desk, booked):
    booked.fitter.is_active = False
    booked.fitter.save()

    columns = columns_of(at_desk.get("/diary/day/", {"date": f"{next_monday()}"}))

    assert list(columns) == ["Ansel Wren"]


def test_missed_and_cancelled_stand_below(at_desk, booked):
    Booking.objects.update(state="cancelled")

    page = at_desk.get("/diary/day/", {"date": f"{next_monday()}"})

    assert page.context["not_held"] == [booked]
    assert words(page.content.decode()).count("Missed or cancelled (1)") == 1


def test_house_without_fitters_says_so(at_desk):
    html = at_desk.get("/diary/day/").content.decode()

    assert words(html).count("Nobody fits here yet") == 1


@pytest.mark.parametrize("day", ["2030-03-31", "2030-10-27"], ids=["spring", "autumn"])
def test_hours_the_clock_cannot_show_cannot_be_booked(at_desk, ansel, front_room, day):
    House.objects.update(opens=datetime.time(0), closes=datetime.time(4))

    columns = columns_of(at_desk.get("/diary/day/", {"date": day}))

    shut = [cell for cell in columns["Ansel Wren"] if cell[0] == "shut"]
    assert shut == [("shut", "01:00", 4)]


@pytest.mark.parametrize("page", ["/diary/day/", "/diary/"])
@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("date", "soon", "Write the day as year-month-day: 2026-11-25."),
        ("date", "0001-01-01", "Choose a day of these years."),
        ("date", "9999-12-31", "Choose a day of these years."),
        ("date", "<script>", "Write the day as year-month-day: 2026-11-25."),
        ("date", "\x00", "Write the day as year-month-day: 2026-11-25."),
        ("fitter", "0", NO_CHOICE),
        ("fitter", "9" * 40, NO_CHOICE),
        ("room", "<script>", NO_CHOICE),
        ("room", "x" * 100_000, NO_CHOICE),
    ],
)
def test_nonsense_asked_is_told_and_today_shown(at_desk, page, field, value, message):
    form = at_desk.get(page, {field: value}).context["form"]

    assert form.errors == {field: [message]}
    assert form.day == timezone.localdate()


# -- the week --------------------------------------------------------------------------------------


def test_week_of_everyone_lists_each_day(at_desk, booked):
    monday = next_monday()
    other = BookingFactory(starts_at=moment(monday + 6 * DAY, "16:00"))
    BookingFactory(starts_at=moment(monday + 7 * DAY))
    BookingFactory(starts_at=moment(monday + 2 * DAY), state="missed")

    days = at_desk.get("/diary/", {"date": f"{monday + 3 * DAY}"}).context["days"]

    assert [day.date for day in days] == [monday + number * DAY for number in range(7)]
    listed = [[entry.booking for entry in day.entries] for day in days]
    assert listed == [[booked], [], [], [], [], [], [other]]


def test_week_of_one_fitter_is_a_sheet(at_desk, booked, odile):
    BookingFactory(starts_at=moment(next_monday(), "14:00"), fitter=odile)
    asked = {"date": f"{next_monday()}", "fitter": booked.fitter_id}

    columns = columns_of(at_desk.get("/diary/", asked))

    taken = [cell for column in columns.values() for cell in column if cell[0] == "taken"]
    assert (len(columns), taken) == (7, [("taken", "10:00", 2)])


def test_turning_the_week_keeps_the_fitter(at_desk, booked):
    page = at_desk.get("/diary/", {"date": f"{next_monday()}", "fitter": booked.fitter_id})

    later = f"fitter={booked.fitter_id}&date={next_monday() + 7 * DAY}"
    assert (page.context["later"], page.context["others"]) == (later, f"fitter={booked.fitter_id}")


# -- what it costs ---------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3, 40])
@pytest.mark.parametrize(
    ("page", "queries"),
    [("/diary/day/", 15), ("/diary/", 14), ("/diary/?room=", 14)],
    ids=["day", "week", "room"],
)
def test_sheet_costs_the_same_for_one_and_forty(
    at_desk, django_assert_num_queries, page, queries, count
):
    for hand in UserFactory.create_batch(count, role="fitter"):
        garment = GarmentFactory(customer=CustomerFactory())
        BookingFactory(
            customer=garment.customer,
            garments=[garment],
            fitter=hand,
            room=RoomFactory(),
            starts_at=moment(timezone.localdate()),
        )

    with django_assert_num_queries(queries):
        answer = at_desk.get(page)

    assert answer.content.decode().count('class="booked booked"') == count
