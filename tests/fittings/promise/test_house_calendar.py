"""The working calendar against numpy.busday_offset, numpy.busday_count and the holidays package."""

import datetime
from random import Random
from zoneinfo import ZoneInfo

import holidays
import numpy as np
import pytest

from fittings.promise import Away, HouseCalendar, Period, days_of
from fittings.promise.public_holidays import public_holidays
from tests.fittings.promise.benches import DAY, LONDON, NINE_TO_SIX, TODAY, WEEKDAYS, workroom

CASES = 2_000
PLACES = [("GB", "SCT"), ("GB", "ENG"), ("US", "NY"), ("DE", "BY"), ("IT", ""), ("JP", "")]


def some_calendar(rng):
    """Hours on some weekdays, holidays of some country, a closed fortnight."""
    weekdays = sorted(rng.sample(range(7), rng.randrange(2, 7)))
    country, part = rng.choice(PLACES)
    first = datetime.date(2026, 1, 1) + rng.randrange(300) * DAY
    return HouseCalendar(
        dict.fromkeys(weekdays, NINE_TO_SIX),
        LONDON,
        closed=days_of([Period(first, first + 13 * DAY)]),
        public_holidays=public_holidays(country, part, years=range(2025, 2029)),
    )


def as_numpy(calendar):
    return np.busdaycalendar(
        weekmask=[weekday in calendar.hours for weekday in range(7)],
        holidays=sorted(calendar.closed | calendar.public_holidays),
    )


def random_cases(seed):
    """Two thousand days and numbers of open days, over twenty calendars."""
    rng = Random(seed)
    for _ in range(20):
        calendar = some_calendar(rng)
        days = [datetime.date(2026, 1, 1) + rng.randrange(730) * DAY for _ in range(CASES // 20)]
        yield calendar, days, [rng.randrange(-60, 61) for _ in days]


def test_open_days_shift_as_numpy_shifts():
    different = []
    for calendar, days, counts in random_cases(6):
        for roll, sign in (("forward", 1), ("backward", -1)):
            side = [(d, n) for d, n in zip(days, counts, strict=True) if (n >= 0) == (sign > 0)]
            theirs = np.busday_offset(
                [d for d, _ in side], [n for _, n in side], roll=roll, busdaycal=as_numpy(calendar)
            ).tolist()
            ours = [calendar.shift(day, count) for day, count in side]
            different += [pair for pair in zip(ours, theirs, strict=True) if pair[0] != pair[1]]

    assert different == []


def test_open_days_count_as_numpy_counts():
    for calendar, days, counts in random_cases(7):
        ends = [day + count * DAY for day, count in zip(days, counts, strict=True)]
        # Backwards numpy counts (end, first] and we [end, first): days are swapped to compare.
        pairs = [sorted(pair) for pair in zip(days, ends, strict=True)]
        theirs = np.busday_count(
            [first for first, _ in pairs], [end for _, end in pairs], busdaycal=as_numpy(calendar)
        ).tolist()

        assert [calendar.count(first, end) for first, end in pairs] == theirs


def test_count_backwards_is_the_negative():
    assert WEEKDAYS.count(TODAY + 9 * DAY, TODAY) == -7


def test_public_holidays_are_the_days_of_the_package():
    rng = Random(8)
    for country, part in PLACES:
        years = range(2020, 2036)
        ours = public_holidays(country, part, years=years)
        theirs = holidays.country_holidays(country, subdiv=part or None, years=years)
        days = [datetime.date(2020, 1, 1) + rng.randrange(5_800) * DAY for _ in range(CASES // 6)]

        assert [day in ours for day in days] == [day in theirs for day in days]


def test_scotland_keeps_a_holiday_england_does_not():
    # Bank holidays of 2026 as the United Kingdom's government lists them, from memory.
    second_of_january = datetime.date(2026, 1, 2)

    assert second_of_january in public_holidays("GB", "SCT", years=[2026])
    assert second_of_january not in public_holidays("GB", "ENG", years=[2026])


@pytest.mark.parametrize(
    ("zone", "shorter", "longer", "change"),
    [
        ("Europe/London", datetime.date(2026, 3, 29), datetime.date(2026, 10, 25), 60),
        ("America/New_York", datetime.date(2026, 3, 8), datetime.date(2026, 11, 1), 60),
        ("Australia/Lord_Howe", datetime.date(2026, 10, 4), datetime.date(2026, 4, 5), 30),
    ],
)
def test_night_hours_change_with_the_clocks(zone, shorter, longer, change):
    nights = dict.fromkeys(range(7), (datetime.time(0), datetime.time(8)))
    calendar = HouseCalendar(nights, ZoneInfo(zone))

    assert calendar.minutes(shorter) == 480 - change
    assert calendar.minutes(longer) == 480 + change
    assert calendar.minutes(TODAY) == 480


@pytest.mark.parametrize("zone", ["Europe/London", "America/New_York", "Australia/Lord_Howe"])
def test_day_hours_stay_through_the_year(zone):
    calendar = HouseCalendar(dict.fromkeys(range(7), NINE_TO_SIX), ZoneInfo(zone))

    assert {calendar.minutes(TODAY + number * DAY) for number in range(366)} == {540}
    assert {calendar.opening(TODAY + n * DAY).starts.utcoffset() for n in range(366)} == {0 * DAY}


def test_closed_day_has_no_opening():
    assert WEEKDAYS.opening(datetime.date(2026, 3, 7)) is None


def test_bench_is_short_on_half_day():
    hours = {**WEEKDAYS.hours, 5: (datetime.time(9), datetime.time(13))}
    room = workroom(HouseCalendar(hours, LONDON), hands=2)

    assert room.hands("cutter", datetime.date(2026, 3, 7).toordinal()) == (2, 240)
    assert room.hands("cutter", datetime.date(2026, 3, 6).toordinal()) == (2, 420)


def test_maker_away_leaves_one_at_the_bench():
    away = Away("cutter 0", Period(TODAY, TODAY + DAY))
    room = workroom(hands=2, away=(away,))

    found = [room.hands("cutter", (TODAY + number * DAY).toordinal())[0] for number in range(3)]

    assert found == [1, 1, 2]
