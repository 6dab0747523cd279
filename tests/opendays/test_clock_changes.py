"""Slots on the days the clocks change, in three zones, against python-dateutil's own rules."""

import datetime
from zoneinfo import ZoneInfo

import pytest
from dateutil import tz

from fittings.diary.slots import Hours, next_free
from fittings.opendays.closings import Closing, OpenDays

DAY = datetime.timedelta(days=1)
QUARTER = datetime.timedelta(minutes=15)
MIDNIGHT, SIX, NINE, TEN = (datetime.time(hour) for hour in (0, 6, 9, 10))
# The nights of 2027 on which clocks change: the European Union's, the United States' and New South
# Wales's rules (Lord Howe moves by half an hour), from memory; python-dateutil knows them too.
CHANGES = [
    ("Europe/London", "2027-03-28"),
    ("Europe/London", "2027-10-31"),
    ("America/New_York", "2027-03-14"),
    ("America/New_York", "2027-11-07"),
    ("Australia/Lord_Howe", "2027-04-04"),
    ("Australia/Lord_Howe", "2027-10-03"),
]


def offered(zone, first, week, *, closings=(), days=1):
    """The free times by the wall's clock, with an empty diary."""
    opens, closes = zip(*week.values(), strict=True)
    open_days = OpenDays(week, closings)
    hours = Hours(min(opens), max(closes), ZoneInfo(zone), week, open_days.why_closed)
    since = hours.whole_day(first).starts
    times = next_free([], [[]], since=since, days=days, hours=hours, length=QUARTER)
    return [at.astimezone(ZoneInfo(zone)) for at in times]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_night_slots_are_those_the_clock_shows_once(zone, day):
    first = datetime.date.fromisoformat(day)
    wall = tz.gettz(zone)
    quarters = [
        datetime.datetime.combine(first, MIDNIGHT, wall) + number * QUARTER for number in range(24)
    ]
    once = [at for at in quarters if tz.datetime_exists(at) and not tz.datetime_ambiguous(at)]

    times = offered(zone, first, dict.fromkeys(range(7), (MIDNIGHT, SIX)))

    assert [f"{at:%H:%M}" for at in times] == [f"{at:%H:%M}" for at in once]
    assert len(once) < len(quarters)  # the clocks did change


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_day_slots_keep_the_weekdays_hours_across_the_change(zone, day):
    first = datetime.date.fromisoformat(day) - DAY
    week = dict.fromkeys(range(7), (NINE, TEN))
    week[(first + DAY).weekday()] = (TEN, datetime.time(11))

    times = offered(zone, first, week, days=3)

    clocks = [f"{at:%d %H:%M}" for at in times if at.minute == 0]
    hours = ((first, 9), (first + DAY, 10), (first + 2 * DAY, 9))
    assert clocks == [f"{day:%d} {hour:02}:00" for day, hour in hours]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_closed_day_of_the_change_offers_nothing(zone, day):
    first = datetime.date.fromisoformat(day)
    closed = Closing(first, first, "stocktaking")

    times = offered(zone, first, dict.fromkeys(range(7), (NINE, TEN)), closings=[closed], days=2)

    assert {at.date() for at in times} == {first + DAY}
