"""The house's clock and what is free, also on the two nights when the clocks change.

The nights: the United Kingdom changes at 01:00 UTC on the last Sundays of March and October
(Summer Time Act 1972 and Order 2002, from memory), which the IANA zone Europe/London says as well.
"""

import datetime
from itertools import islice
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.diary.slots import (
    ClockError,
    Hours,
    Span,
    free_starts,
    moment,
    next_free,
    next_quarter,
)

UTC = datetime.UTC
LONDON = ZoneInfo("Europe/London")
SPRING, AUTUMN = datetime.date(2030, 3, 31), datetime.date(2030, 10, 27)
MONDAY = datetime.date(2030, 2, 4)
HALF_HOUR = datetime.timedelta(minutes=30)
NINE_TO_SIX = Hours(datetime.time(9), datetime.time(18), LONDON)
ALL_NIGHT = Hours(datetime.time(0), datetime.time(6), LONDON)


def utc(text):
    return datetime.datetime.fromisoformat(text).replace(tzinfo=UTC)


def span(starts, ends):
    return Span(utc(f"2030-02-04 {starts}"), utc(f"2030-02-04 {ends}"))


def clock(times):
    return [at.astimezone(LONDON).strftime("%H:%M") for at in times]


@pytest.mark.parametrize(
    ("day", "time", "expected"),
    [
        (MONDAY, "10:00", "2030-02-04 10:00"),
        (datetime.date(2030, 7, 1), "10:00", "2030-07-01 09:00"),
        (SPRING, "00:59", "2030-03-31 00:59"),
        (SPRING, "02:00", "2030-03-31 01:00"),
        (AUTUMN, "00:59", "2030-10-26 23:59"),
        (AUTUMN, "02:00", "2030-10-27 02:00"),
    ],
)
def test_moment_is_what_the_clock_shows(day, time, expected):
    assert moment(day, datetime.time.fromisoformat(time), LONDON) == utc(expected)


@pytest.mark.parametrize("time", ["01:00", "01:30", "01:45"])
def test_hour_left_out_in_spring_is_refused(time):
    with pytest.raises(ClockError, match=f"there is no {time}"):
        moment(SPRING, datetime.time.fromisoformat(time), LONDON)


@pytest.mark.parametrize("time", ["01:00", "01:30", "01:45"])
def test_hour_that_comes_twice_is_refused(time):
    with pytest.raises(ClockError, match=f"{time} comes twice"):
        moment(AUTUMN, datetime.time.fromisoformat(time), LONDON)


@pytest.mark.parametrize(
    ("day", "hours"), [(MONDAY, 24), (SPRING, 23), (AUTUMN, 25)], ids=["usual", "spring", "autumn"]
)
def test_day_is_as_long_as_its_clock(day, hours):
    whole = NINE_TO_SIX.whole_day(day)

    assert whole.ends - whole.starts == datetime.timedelta(hours=hours)


def test_house_that_closes_before_it_opens_is_shut():
    opening = Hours(datetime.time(18), datetime.time(9), LONDON).on(MONDAY)

    assert opening.starts == opening.ends


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ("10:00", "10:00"),
        ("10:00:01", "10:15"),
        ("10:14:59.5", "10:15"),
        ("10:46", "11:00"),
        ("23:50", "24:00"),
    ],
)
def test_next_quarter_never_lies_before(now, expected):
    midnight = utc("2030-02-04 00:00")
    hours, minutes = map(int, expected.split(":"))

    wanted = midnight + datetime.timedelta(hours=hours, minutes=minutes)
    assert next_quarter(utc(f"2030-02-04 {now}")) == wanted


def test_free_starts_leave_room_for_the_whole_length():
    busy = [span("09:30", "10:00"), span("10:45", "11:00")]

    starts = free_starts(busy, [[]], within=span("09:00", "11:30"), length=HALF_HOUR)

    assert clock(starts) == ["09:00", "10:00", "10:15", "11:00"]


def test_free_starts_need_one_room_for_the_whole_length():
    first, second = [span("09:00", "09:45")], [span("09:45", "12:00")]

    starts = free_starts([], [first, second], within=span("09:00", "11:00"), length=HALF_HOUR)

    # At 09:30 each room is free for a quarter, neither for the half hour.
    assert clock(starts) == ["09:00", "09:15", "09:45", "10:00", "10:15", "10:30"]


def test_house_without_rooms_has_no_free_time():
    assert list(free_starts([], [], within=span("09:00", "11:00"), length=HALF_HOUR)) == []


def test_next_free_goes_on_to_the_next_day():
    since = utc("2030-02-04 17:20")
    times = next_free([], [[]], since=since, days=2, hours=NINE_TO_SIX, length=HALF_HOUR)

    assert list(islice(times, 2)) == [utc("2030-02-04 17:30"), utc("2030-02-05 09:00")]


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (SPRING, ["00:00", "00:30", "02:00", "02:30", "03:00"]),
        (AUTUMN, ["00:00", "00:30", "02:00", "02:30", "03:00"]),
    ],
)
def test_next_free_offers_only_times_a_person_can_name(day, expected):
    since = ALL_NIGHT.on(day).starts
    times = next_free([], [[]], since=since, days=1, hours=ALL_NIGHT, length=HALF_HOUR)

    named = [shown for shown in clock(times) if shown.endswith(("00", "30"))]
    assert named[:5] == expected


quarters = st.integers(0, 40)


@given(
    st.lists(st.tuples(quarters, st.integers(1, 6)), max_size=6),
    st.lists(st.lists(st.tuples(quarters, st.integers(1, 6)), max_size=4), max_size=3),
    st.integers(1, 6),
)
def test_free_starts_are_all_that_fit_and_no_other(fitter, rooms, length):
    opens = utc("2030-02-04 09:00")
    within = Span(opens, opens + datetime.timedelta(minutes=15 * 40))

    def spans(rows):
        return [
            Span(
                opens + datetime.timedelta(minutes=15 * first),
                opens + datetime.timedelta(minutes=15 * (first + count)),
            )
            for first, count in rows
        ]

    found = free_starts(
        spans(fitter),
        [spans(room) for room in rooms],
        within=within,
        length=datetime.timedelta(minutes=15 * length),
    )

    # Counted in another way: sets of quarters.
    taken = [
        {first + n for first, count in rows for n in range(count)} for rows in (fitter, *rooms)
    ]
    expected = []
    for first in range(40 - length + 1):
        wished = set(range(first, first + length))
        if not wished & taken[0] and any(not wished & room for room in taken[1:]):
            expected.append(opens + datetime.timedelta(minutes=15 * first))
    assert list(found) == expected
