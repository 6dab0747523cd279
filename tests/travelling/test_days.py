"""On which days trips take place: against RFC 5545's recurrences, and what was called off.

dateutil's ``rrule`` reads the rules of RFC 5545, 3.3.10: INTERVAL of weeks, and BYDAY=1MO to 4MO or
-1MO of months. It is the reference; ours is asked for every day of the same years.
"""

import datetime
import random

import pytest
from dateutil.rrule import MONTHLY, WEEKLY, rrule, weekday

from fittings.travelling.days import DAY, Pattern, Run

DATE = datetime.date
CASES = 2_000
MONDAY = DATE(2026, 12, 7)
LAST = DATE(2026, 11, 30)  # Monday of its month


def random_pattern(rng):
    first = DATE(2024, 1, 1) + rng.randrange(1_200) * DAY
    repeats = rng.choice(["weekly", "monthly"])
    every = rng.randint(1, 26) if repeats == "weekly" else 1
    most = every * 7 - 2 if repeats == "weekly" else 13
    until = first + rng.randrange(400) * DAY if rng.random() < 0.5 else None
    return Pattern(first, first + rng.randint(0, min(13, most)) * DAY, repeats, every, until)


def reference(pattern, since, to):
    start = datetime.datetime.combine(pattern.first, datetime.time())
    rule = {"dtstart": start, "until": datetime.datetime.combine(pattern.until or to, start.time())}
    if pattern.repeats == "weekly":
        found = rrule(WEEKLY, interval=pattern.every, **rule)
    else:
        nth = (pattern.first.day - 1) // 7 + 1
        found = rrule(MONTHLY, byweekday=weekday(start.weekday(), nth if nth < 5 else -1), **rule)
    more = pattern.last - pattern.first
    starts = [at.date() for at in found if since - more <= at.date() <= to]
    return [Run(day, day + more) for day in starts]


def test_runs_are_those_of_the_calendar_standard():
    rng = random.Random(1903)
    wrong = []
    for _ in range(CASES):
        pattern = random_pattern(rng)
        since = pattern.first + rng.randint(-60, 500) * DAY
        to = since + rng.randint(0, 200) * DAY
        if list(pattern.runs(since, to)) != reference(pattern, since, to):
            wrong.append((pattern, since, to))

    assert wrong == []


def test_single_trip_takes_place_once():
    once = Pattern(MONDAY, MONDAY + 2 * DAY)

    days = [day for day in range(-5, 400) if once.run_on(MONDAY + day * DAY)]

    assert days == [0, 1, 2]


@pytest.mark.parametrize(
    ("first", "months"),
    [
        (DATE(2026, 12, 7), ["2026-12-07", "2027-01-04", "2027-02-01"]),
        # The fifth Monday stands for the last one of every month.
        (DATE(2026, 11, 30), ["2026-11-30", "2026-12-28", "2027-01-25"]),
        (DATE(2027, 1, 29), ["2027-01-29", "2027-02-26", "2027-03-26"]),
    ],
)
def test_monthly_trips_keep_their_weekday(first, months):
    monthly = Pattern(first, first, "monthly")

    found = [f"{run.first}" for run in monthly.runs(first, first + 70 * DAY)]

    assert found == months


def test_run_called_off_leaves_the_others():
    weekly = Pattern(MONDAY, MONDAY, "weekly", off=frozenset({MONDAY + 7 * DAY}))

    found = [(run.first - MONDAY).days for run in weekly.runs(MONDAY, MONDAY + 21 * DAY)]

    assert found == [0, 14, 21]


@pytest.mark.parametrize("values", [{"until": MONDAY + 8 * DAY}, {"ends": MONDAY + 9 * DAY}])
def test_nothing_begins_after_the_end(values):
    weekly = Pattern(MONDAY, MONDAY + DAY, "weekly", **values)

    found = [(run.first - MONDAY).days for run in weekly.runs(MONDAY, MONDAY + 90 * DAY)]

    assert found == [0, 7]
    assert weekly.next_run(MONDAY + 9 * DAY, 90 * DAY) is None


def test_run_under_way_is_still_the_next():
    weekly = Pattern(MONDAY, MONDAY + 2 * DAY, "weekly", every=4)

    assert weekly.next_run(MONDAY + 2 * DAY, 30 * DAY) == Run(MONDAY, MONDAY + 2 * DAY)
    assert weekly.next_run(MONDAY + 3 * DAY, 30 * DAY).first == MONDAY + 28 * DAY


@pytest.mark.parametrize(
    ("pattern", "said"),
    [
        (Pattern(MONDAY, MONDAY), ""),
        (Pattern(MONDAY, MONDAY, "weekly"), "every week, Monday"),
        (Pattern(MONDAY, MONDAY, "weekly", 4), "every 4 weeks, Monday"),
        (Pattern(MONDAY, MONDAY, "monthly"), "every month, the first Monday"),
        (Pattern(LAST, LAST, "monthly"), "every month, the last Monday"),
    ],
)
def test_pattern_is_spoken(pattern, said):
    assert str(pattern) == said
