"""The record becomes the calendar promises are reckoned by: against holidays and numpy."""

import datetime
import random
import uuid

import holidays
import numpy as np
import pytest
from django.utils import timezone

from customers.models import House
from fittings.models import Closure
from fittings.opendays import services
from fittings.opendays.closings import Closing
from fittings.opendays.queries import absences, closed_because, house_calendar
from fittings.promise.calendar import Period
from fittings.promise.public_holidays import holiday_names
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
NINE, SIX = datetime.time(9), datetime.time(18)
MONDAY = datetime.date(2027, 3, 1)
PLACES = (("GB", "ENG"), ("GB", "SCT"), ("DE", "BY"), ("US", ""), ("IT", ""))


def five_days(owner, *, since=NINE, until=SIX):
    week = {weekday: (since, until) if weekday < 5 else None for weekday in range(7)}
    services.set_week(entry_id=uuid.uuid4(), week=week, by=owner)


def test_house_without_entries_opens_every_day():
    House.objects.update(opens=datetime.time(10), closes=datetime.time(16))

    calendar = house_calendar(MONDAY, MONDAY + 6 * DAY)

    assert calendar.hours == dict.fromkeys(range(7), (datetime.time(10), datetime.time(16)))
    assert not calendar.closed | calendar.public_holidays


@pytest.mark.parametrize(("country", "part"), PLACES)
def test_calendar_from_rows_counts_as_numpy_does(owner, country, part):
    five_days(owner)
    services.keep_holidays(entry_id=uuid.uuid4(), country=country, subdivision=part, by=owner)
    Closure.objects.create(first=MONDAY, last=MONDAY + 11 * DAY, reason="moving", by=owner)
    Closure.objects.create(
        first=datetime.date(2026, 12, 28),
        last=datetime.date(2027, 1, 3),
        reason="rest",
        repeats="yearly",
        by=owner,
    )
    calendar = house_calendar(MONDAY - 60 * DAY, MONDAY + 900 * DAY)
    theirs = holidays.country_holidays(country, subdiv=part or None, years=range(2026, 2031))
    rests = [datetime.date(year, 12, 28) + n * DAY for year in (2026, 2027, 2028) for n in range(7)]
    closed = [*theirs, *(MONDAY + n * DAY for n in range(12)), *rests]
    random.seed(20270301)
    days = [MONDAY + random.randrange(-20, 700) * DAY for _ in range(60)]
    counts = [random.randrange(-15, 60) for _ in days]

    found = [calendar.shift(day, count) for day, count in zip(days, counts, strict=True)]

    rolled = [
        np.busday_offset(
            day, count, roll="forward" if count >= 0 else "backward", holidays=closed
        ).astype(object)
        for day, count in zip(days, counts, strict=True)
    ]
    assert found == rolled


@pytest.mark.parametrize(("country", "part"), PLACES)
def test_names_of_single_years_are_the_package_days(country, part):
    years = range(2024, 2032)
    named = {day for year in years for day in holiday_names(country, part, year)}

    assert named == set(holidays.country_holidays(country, subdiv=part or None, years=years))


def test_holiday_worked_on_is_open_every_year(owner):
    services.keep_holidays(entry_id=uuid.uuid4(), country="GB", subdivision="ENG", by=owner)
    good_friday = datetime.date(2027, 3, 26)
    was = closed_because(good_friday)
    services.work_on_holiday(entry_id=uuid.uuid4(), name="Good Friday", open_anyway=True, by=owner)

    assert was == "Good Friday"
    assert closed_because(good_friday) == closed_because(datetime.date(2028, 4, 14)) == ""
    assert closed_because(datetime.date(2027, 12, 25)) == "Christmas Day"


def test_closed_day_says_why_in_plain_words(owner):
    five_days(owner)
    first = timezone.localdate() + 7 * DAY
    services.add_closure(
        entry_id=uuid.uuid4(), first=first, last=first, reason=" stocktaking ", by=owner
    )

    assert closed_because(first) == "stocktaking"
    assert closed_because(MONDAY + 6 * DAY) == "closed on Sundays"
    assert closed_because(MONDAY) == ""


@pytest.mark.parametrize(
    ("repeats", "first", "days", "closed"),
    [
        ("", "2027-03-01", 2, ["2027-03-01", "2027-03-02"]),
        ("weekly", "2027-02-24", 2, ["2027-03-03", "2027-03-04", "2027-03-10", "2027-03-11"]),
        ("yearly", "2025-03-05", 1, ["2027-03-05"]),
        ("yearly", "2024-02-29", 3, ["2027-02-28", "2027-03-01", "2027-03-02"]),
        (
            "yearly",
            "2026-12-30",
            65,
            ["2027-02-28", "2027-03-01", "2027-03-02", "2027-03-03", "2027-03-04"],
        ),
    ],
)
def test_closing_covers_its_days_when_it_comes_back(repeats, first, days, closed):
    begins = datetime.date.fromisoformat(first)
    row = Closing(begins, begins + (days - 1) * DAY, repeats=repeats)
    looked_at = [datetime.date(2027, 2, 28) + n * DAY for n in range(13)]

    assert [f"{day}" for day in looked_at if row.covers(day)] == closed


def test_closing_ends_and_never_closes_before_it_began():
    row = Closing(MONDAY, MONDAY, repeats="weekly", until=MONDAY + 7 * DAY)

    assert [row.covers(MONDAY + n * 7 * DAY) for n in (-1, 0, 1, 2)] == [False, True, True, False]


def test_absences_are_told_with_person_and_days(owner):
    ansel, first = UserFactory(role="fitter"), timezone.localdate() + DAY
    services.add_absence(
        entry_id=uuid.uuid4(), person=ansel, first=first, last=first + 3 * DAY, by=owner
    )

    assert absences(first + 3 * DAY, first + 9 * DAY) == [(ansel, Period(first, first + 3 * DAY))]
    assert absences(first + 4 * DAY, first + 9 * DAY) == []


@pytest.mark.parametrize("count", [1, 3, 30])
def test_calendar_costs_the_same_however_much_is_entered(owner, django_assert_num_queries, count):
    five_days(owner)
    for number in range(count):
        day = timezone.localdate() + number * DAY
        Closure.objects.create(first=day, last=day, reason="x", by=owner)

    with django_assert_num_queries(4):
        assert len(house_calendar().closed) == count
