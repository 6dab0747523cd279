"""Minutes owed against the bench's minutes: by hand, and played through minute by minute."""

import datetime
import random

import numpy as np
import pytest

from garments.workroom.load import DayLoad, Owed, told, weigh

MONDAY = datetime.date(2026, 2, 2)
DAY = datetime.timedelta(days=1)


def eight_hours(day):
    return 480 if day.weekday() < 5 else 0


def test_weigh_adds_what_is_late_to_today_by_hand():
    owed = [Owed(MONDAY - DAY, 100), Owed(MONDAY, 400), Owed(MONDAY + 2 * DAY, 300)]

    found = weigh(owed, eight_hours, MONDAY)

    # Until this evening 100 + 400 against 480: 20 too much. By Wednesday 800 against 1440.
    assert (found.late_tickets, found.late_minutes) == (1, 100)
    assert found.days == (
        DayLoad(MONDAY, 1, 400, 500, 480, 480),
        DayLoad(MONDAY + 2 * DAY, 1, 300, 800, 480, 1440),
    )
    assert [(row.short, row.spare) for row in found.days] == [(20, 0), (0, 640)]
    assert (found.today.owed_hours, found.today.bench_hours) == (9, 8)


def test_weigh_gives_a_closed_day_nothing():
    saturday = MONDAY + 5 * DAY

    found = weigh([Owed(saturday, 60)], eight_hours, saturday)

    assert (found.today.bench, found.today.short) == (0, 60)


def test_weigh_without_hours_compares_with_nothing():
    found = weigh([Owed(MONDAY, 9999)], None, MONDAY)

    assert (found.today.bench, found.today.bench_by, found.today.short) == (None, None, 0)


def test_weigh_of_nothing_owed_is_today_empty():
    assert weigh([], eight_hours, MONDAY).days == (DayLoad(MONDAY, 0, 0, 0, 480, 480),)


def unfinished_by(owed, evening):
    """Minutes of what is due by an evening left undone by it, worked minute by minute.

    Always on what is due first: no order leaves less (Jackson, 1955).
    """
    left = sorted((row.due_on, row.minutes) for row in owed)
    left = [[due, minutes] for due, minutes in left]
    day = MONDAY
    while day <= evening:
        for _ in range(eight_hours(day)):
            work = next((row for row in left if row[1]), None)
            if work is None:
                break
            work[1] -= 1
        day += DAY
    return sum(minutes for due, minutes in left if due <= evening)


@pytest.mark.parametrize("seed", range(12))
def test_weigh_equals_days_worked_minute_by_minute(seed):
    rng = random.Random(seed)
    owed = [
        Owed(MONDAY + rng.randint(-3, 12) * DAY, rng.randint(5, 700))
        for _ in range(rng.randint(1, 14))
    ]

    found = weigh(owed, eight_hours, MONDAY)

    assert [row.short for row in found.days] == [unfinished_by(owed, row.day) for row in found.days]


def test_weigh_equals_cumulated_sums_of_numpy():
    rng = np.random.default_rng(4)
    due = rng.integers(0, 30, 200)
    minutes = rng.integers(1, 300, 200)
    owed = [Owed(MONDAY + int(d) * DAY, int(m)) for d, m in zip(due, minutes, strict=True)]

    found = weigh(owed, eight_hours, MONDAY)

    asked = np.cumsum(np.bincount(due, weights=minutes, minlength=30))
    days = [(row.day - MONDAY).days for row in found.days]
    assert [row.owed_by for row in found.days] == asked[days].tolist()


@pytest.mark.parametrize(
    ("minutes", "words"), [(0, "0 min"), (45, "45 min"), (60, "1 h"), (145, "2 h 25 min")]
)
def test_minutes_are_told_in_hours(minutes, words):
    assert told(minutes) == words
