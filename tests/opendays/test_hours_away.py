"""Somebody away for some hours: the rest of the day stays free, these hours are refused."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from fittings.diary.queries import free_times, house_hours
from fittings.diary.services import book_fitting
from fittings.models import Absence
from fittings.opendays.queries import absences, spans_away
from fittings.opendays.services import add_absence, end_absence
from fittings.travelling.services import plan_trip
from tests.diary.conftest import errors_of, local, moment, next_monday, soon
from tests.factories import RoomFactory
from tests.opendays.conftest import tap

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
TIME = datetime.time
HALF_HOUR = datetime.timedelta(minutes=30)


@pytest.fixture
def away(ansel, owner):
    """Ansel is away from two to four on three days from next Monday on."""

    def make(**values):
        usual = {"first": next_monday(), "last": next_monday() + 2 * DAY}
        usual |= {"since": TIME(14), "until": TIME(16), "person": ansel, "by": owner}
        return add_absence(entry_id=uuid.uuid4(), **usual | values)

    return make


def fit(booked, starts, **values):
    usual = {"customer": booked.customer, "garments": booked.garments.all(), "room": booked.room}
    usual |= {"purpose": "first-fitting", "fitter": booked.fitter, "by": booked.fitter}
    usual |= {"starts_at": starts, "ends_at": starts + HALF_HOUR}
    return book_fitting(booking_id=uuid.uuid4(), **usual | values)


@pytest.mark.parametrize("anyway", [False, True])
@pytest.mark.parametrize("time", ["13:45", "14:00", "15:45"])
def test_hours_away_are_refused_whatever_is_insisted(away, booked, time, anyway):
    away()
    last = next_monday() + 2 * DAY

    with pytest.raises(ValidationError) as refused:
        fit(booked, moment(next_monday(), time), anyway=anyway)

    until = f"{last.day} {last:%B} {last.year}"
    said = f"Ansel Wren is away from 14:00 to 16:00 each day until {until}."
    assert refused.value.message_dict == {"fitter": [said]}


@pytest.mark.parametrize("time", ["09:00", "13:30", "16:00"])
def test_rest_of_the_day_can_be_booked(away, booked, time):
    away()

    assert fit(booked, moment(next_monday(), time)).state == "booked"


@pytest.mark.parametrize(
    ("hours", "said", "free"),
    [
        ({"since": TIME(14), "until": None}, "from 14:00 on", ["13:00", "13:15", "13:30"]),
        ({"since": None, "until": TIME(14)}, "until 14:00", ["14:00", "14:15", "14:30"]),
    ],
)
def test_open_end_is_the_end_of_the_day(away, ansel, hours, said, free):
    row = away(**hours, last=next_monday())

    times = free_times(
        fitter=ansel,
        rooms=[RoomFactory()],
        since=moment(next_monday(), "13:00"),
        length=HALF_HOUR,
        hours=house_hours(),
    )

    assert (row.hours_text, [local(at)[-5:] for at in times]) == (said, free)


def test_free_times_leave_out_the_hours_each_day(away, ansel):
    away()
    hours = {"fitter": ansel, "rooms": [RoomFactory()], "hours": house_hours()}

    times = free_times(since=moment(next_monday(), "13:30"), length=2 * HALF_HOUR, most=5, **hours)

    assert [local(at)[-5:] for at in times] == ["16:00", "16:15", "16:30", "16:45", "17:00"]


def test_hours_keep_to_the_clock_when_it_changes():
    row = Absence(
        first=datetime.date(2026, 10, 24),
        last=datetime.date(2026, 10, 26),
        since=TIME(1),
        until=TIME(3),
    )

    spans = list(spans_away(row, row.first, row.last))

    # In the night to the 25th two hours by the clock are three: it strikes one twice.
    assert [(span.ends - span.starts).seconds / 3600 for span in spans] == [2, 3, 2]
    assert [f"{timezone.localtime(span.ends):%H:%M}" for span in spans] == ["03:00"] * 3


def test_two_absences_of_a_day_may_not_meet(away):
    away()
    away(since=TIME(16), until=None)

    with pytest.raises(ValidationError) as refused:
        away(since=TIME(9), until=TIME(14, 15))

    (said,) = refused.value.message_dict["first"]
    assert said.startswith("Ansel Wren is away then already: ")
    assert said.endswith(", from 14:00 to 16:00.")


def test_hours_that_end_before_they_begin_are_refused(away):
    with pytest.raises(ValidationError) as refused:
        away(since=TIME(16), until=TIME(16))

    assert list(refused.value.message_dict) == ["until"]


def test_database_keeps_no_hours_backwards(ansel, owner):
    hours = {"since": TIME(16), "until": TIME(14), "first": soon(), "last": soon()}

    with pytest.raises(IntegrityError), transaction.atomic():
        Absence.objects.create(person=ansel, by=owner, **hours)


def test_changed_table_still_refuses_to_forget(away):
    row = away()

    with pytest.raises(IntegrityError), transaction.atomic():
        Absence.objects.filter(pk=row.pk).update(until=None)
    with pytest.raises(IntegrityError), transaction.atomic():
        Absence.objects.filter(pk=row.pk).delete()


def test_back_again_keeps_the_hours_that_were(away, owner):
    row = away(first=soon(-2), last=soon(5))

    ended = end_absence(entry_id=uuid.uuid4(), absence=row, by=owner)

    assert (ended.since, ended.until, ended.last) == (TIME(14), TIME(16), soon(-1))


def test_bench_counts_hours_away_as_the_day(away, ansel):
    away()

    ((person, period),) = absences(next_monday(), next_monday() + 7 * DAY)

    assert (person, period.first, period.last) == (ansel, next_monday(), next_monday() + 2 * DAY)


def test_form_keeps_hours_and_says_what_is_wrong(at_owner, ansel):
    values = {"person": ansel.pk, "first": f"{soon(3)}", "last": "", "kind": "away"}

    wrong = at_owner.post("/open-days/away/", tap(**values, since="14:00", until="13:00"))
    kept = at_owner.post("/open-days/away/", tap(**values, since="14:00", until=""))

    assert errors_of(wrong) == {"until": ["It must be later than the time from which on."]}
    assert (kept.status_code, Absence.objects.get().since) == (302, TIME(14))
    assert at_owner.get("/open-days/").content.decode().count("from 14:00 on") == 1


def test_only_bookings_in_the_hours_are_to_be_moved(at_owner, away, booked):
    day = timezone.localdate(booked.starts_at)
    away(first=day, last=day)
    before = at_owner.get("/open-days/").context["to_move"]
    away(first=day, last=day, since=TIME(9), until=TIME(10, 15))

    (row,) = at_owner.get("/open-days/").context["to_move"]

    assert (before, row.booking) == ([], booked)
    assert row.why == "Ansel Wren is away from 09:00 to 10:15."


def test_sheet_is_shut_in_these_hours_alone(at_owner, away, ansel):
    away()

    page = at_owner.get("/diary/day/", {"date": f"{next_monday()}", "fitter": ansel.pk})

    cells = [cell for row in page.context["rows"] for cell in row.cells]
    shut = [(cell.clock, cell.span) for cell in cells if cell.kind == "shut"]
    assert shut == [("14:00", 8)]


def test_trip_may_follow_hours_away(away, ansel, owner):
    away(last=next_monday(), since=TIME(9), until=TIME(10))
    values = {"town": "Harwold", "place": "The Bell", "address": "", "fitters": [ansel]}
    values |= {"first": next_monday(), "last": next_monday(), "closes": TIME(18), "back": 0}

    with pytest.raises(ValidationError):
        plan_trip(entry_id=uuid.uuid4(), opens=TIME(11), there=90, by=owner, **values)
    trip = plan_trip(entry_id=uuid.uuid4(), opens=TIME(11), there=60, by=owner, **values)

    assert trip.stands
