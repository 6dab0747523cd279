"""Who is away when on a trip, what is packed when, and what is refused; on changing clocks too."""

import datetime
import uuid
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from fittings.diary.refusals import Refusal
from fittings.diary.slots import Hours, Span
from fittings.travelling.days import DAY, Pattern
from fittings.travelling.journeys import Journey, Journeys, Place

DATE, TIME = datetime.date, datetime.time
LONDON, NEW_YORK = ZoneInfo("Europe/London"), ZoneInfo("America/New_York")
LORD_HOWE = ZoneInfo("Australia/Lord_Howe")  # its clocks change by half an hour
MONDAY = DATE(2026, 12, 7)
ANSEL, ODILE, BELL, HOME = 1, 2, 9, 3
HALF_HOUR = datetime.timedelta(minutes=30)


def house(zone=LONDON, **values):
    """Open nine to six, closed on Sundays, and on what is said to be shut."""
    shut = values.get("shut", {})
    return Hours(
        TIME(9),
        TIME(18),
        zone,
        why_closed=lambda day: shut.get(day) or ("Sunday" if day.weekday() == 6 else ""),
        why_shut=lambda day: shut.get(day, ""),
    )


def trip(first=MONDAY, last=None, **values):
    usual = {
        "key": uuid.UUID(int=1),
        "room": BELL,
        "place": "The Bell",
        "town": "Harwold",
        "fitters": {ANSEL: "Ansel Wren"},
        "pattern": Pattern(first, last or first),
        "opens": TIME(10),
        "closes": TIME(17),
        "there": datetime.timedelta(minutes=90),
        "back": datetime.timedelta(minutes=120),
    }
    return Journey(**usual | values)


def shown(at, zone=LONDON):
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}"


def at(day, time, zone=LONDON):
    return datetime.datetime.combine(day, TIME.fromisoformat(time), zone)


def refused(place, day, time, *trips, hours=None, minutes=30):
    starts = at(day, time)
    span = Span(starts, starts + datetime.timedelta(minutes=minutes))
    now = at(MONDAY - 30 * DAY, "12:00")
    return Journeys(trips).refusal(place, span, hours or house(), now)


IN_HARWOLD = Place(BELL, "Harwold", ANSEL, "Ansel Wren")
AT_HOME = Place(HOME, "", ANSEL, "Ansel Wren")


def test_away_is_from_leaving_until_being_back():
    going = trip(last=MONDAY + 2 * DAY)

    away = going.away(going.pattern.run_on(MONDAY), house())

    assert (shown(away.starts), shown(away.ends)) == ("2026-12-07 08:30", "2026-12-09 19:00")


@pytest.mark.parametrize(
    ("zone", "day", "leaves", "back", "hours"),
    [
        # The night before, clocks go forward in London; there are still six hours of fittings.
        (LONDON, DATE(2026, 3, 29), "2026-03-29 08:30", "2026-03-29 19:00", 10.5),
        (LONDON, DATE(2026, 10, 25), "2026-10-25 08:30", "2026-10-25 19:00", 10.5),
        (NEW_YORK, DATE(2026, 3, 8), "2026-03-08 08:30", "2026-03-08 19:00", 10.5),
        (LORD_HOWE, DATE(2026, 4, 5), "2026-04-05 08:30", "2026-04-05 19:00", 10.5),
    ],
)
def test_trip_on_a_day_clocks_change_keeps_its_times(zone, day, leaves, back, hours):
    going = trip(day)

    away = going.away(going.pattern.run_on(day), house(zone))

    assert (shown(away.starts, zone), shown(away.ends, zone)) == (leaves, back)
    assert (away.ends - away.starts).total_seconds() / 3600 == hours


@pytest.mark.parametrize(
    ("day", "hours"), [(DATE(2026, 3, 28), 33.5), (DATE(2026, 10, 24), 35.5), (MONDAY, 34.5)]
)
def test_trip_over_a_changing_night_is_an_hour_more_or_less(day, hours):
    going = trip(day, day + DAY)

    away = going.away(going.pattern.run_on(day), house())

    assert (away.ends - away.starts).total_seconds() / 3600 == hours


def test_way_through_the_changing_night_is_true_minutes():
    night = trip(DATE(2026, 3, 29), opens=TIME(6), there=datetime.timedelta(hours=8))

    away = night.away(night.pattern.run_on(DATE(2026, 3, 29)), house())

    assert shown(away.starts) == "2026-03-28 21:00"  # by the clock nine hours before six


@pytest.mark.parametrize(
    ("day", "shut", "packed"),
    [
        (MONDAY + DAY, {}, MONDAY),
        (MONDAY, {}, MONDAY - 2 * DAY),  # Sunday is closed
        (MONDAY, {MONDAY - 2 * DAY: "moving"}, MONDAY - 3 * DAY),
    ],
)
def test_garments_are_packed_on_the_last_open_day(day, shut, packed):
    going = trip(day)

    assert going.packing_day(going.pattern.run_on(day), house(shut=shut)) == packed


def test_who_leaves_the_evening_before_packs_before_that():
    going = trip(MONDAY + 2 * DAY, there=datetime.timedelta(hours=14))

    assert going.packing_day(going.pattern.run_on(MONDAY + 2 * DAY), house()) == MONDAY


@pytest.mark.parametrize(("back", "days"), [(120, 0), (6 * 60, 0), (8 * 60, 1)])
def test_garments_are_back_on_the_day_of_the_return(back, days):
    going = trip(back=datetime.timedelta(minutes=back))

    assert going.back_on(going.pattern.run_on(MONDAY), house()) == MONDAY + days * DAY


@pytest.mark.parametrize(
    ("values", "open_then"),
    [
        ({}, True),
        ({"ready": MONDAY - 2 * DAY}, True),  # hangs on the Saturday, when it is packed
        ({"ready": MONDAY - DAY}, False),
        ({"latest": MONDAY + 2 * DAY}, True),
        ({"latest": MONDAY + DAY}, False),  # it is back on the third day only
    ],
)
def test_run_is_offered_only_where_garments_come_in_time(values, open_then):
    going = trip(last=MONDAY + 2 * DAY)

    span = going.hours(house(), **values).on(MONDAY)

    assert (span.ends > span.starts) is open_then


@pytest.mark.parametrize("time", ["08:15", "12:00", "18:45"])
def test_fitter_on_a_trip_is_not_at_the_house(time):
    why = "Ansel Wren is in Harwold from Monday 7 December, 08:30 to 19:00."

    hours = replace(house(), opens=TIME(7), closes=TIME(20))
    assert refused(AT_HOME, MONDAY, time, trip(), hours=hours) == Refusal("fitter", why)


@pytest.mark.parametrize("time", ["08:00", "19:00"])
def test_fitter_is_at_the_house_before_and_after(time):
    hours = replace(house(), opens=TIME(7), closes=TIME(20))

    assert refused(AT_HOME, MONDAY, time, trip(), hours=hours) is None


def test_other_fitters_stay_at_the_house():
    assert refused(replace(AT_HOME, fitter=ODILE), MONDAY, "12:00", trip()) is None


def test_long_trip_tells_until_which_day():
    said = refused(AT_HOME, MONDAY + DAY, "12:00", trip(last=MONDAY + 2 * DAY))

    why = "Ansel Wren is in Harwold from Monday 7 December, 08:30 to Wednesday 9 December, 19:00."
    assert said == Refusal("fitter", why)


@pytest.mark.parametrize(
    ("time", "why"),
    [
        ("10:00", None),
        ("16:30", None),
        ("09:45", "Fittings in Harwold are from 10:00 to 17:00, and this takes 30 minutes."),
        ("16:45", "Fittings in Harwold are from 10:00 to 17:00, and this takes 30 minutes."),
    ],
)
def test_hours_of_the_town_hold_there(time, why):
    said = refused(IN_HARWOLD, MONDAY, time, trip())

    assert said == (why and Refusal("time", why, may_insist=True))


def test_sunday_on_which_the_house_is_closed_is_open_there():
    assert refused(IN_HARWOLD, MONDAY - DAY, "12:00", trip(MONDAY - DAY)) is None


def test_holiday_of_the_house_closes_the_place_too():
    said = refused(IN_HARWOLD, MONDAY, "12:00", trip(), hours=house(shut={MONDAY: "May Day"}))

    why = "No fittings on Monday 7 December 2026: May Day."
    assert said == Refusal("date", why, may_insist=True)


@pytest.mark.parametrize(
    ("repeats", "next_one"), [("", ""), ("weekly", " The next trip is on Monday 14 December.")]
)
def test_day_without_a_trip_names_the_next(repeats, next_one):
    going = trip(pattern=Pattern(MONDAY, MONDAY, repeats))

    said = refused(IN_HARWOLD, MONDAY + DAY, "12:00", going)

    assert said == Refusal("date", f"Nobody is in Harwold that day.{next_one}")


@pytest.mark.parametrize(
    ("day", "time", "field"),
    [(MONDAY, "12:00", None), (MONDAY, "09:00", "time"), (MONDAY + DAY, "12:00", "date")],
)
def test_place_is_refused_with_whoever_goes_there(day, time, field):
    starts = at(day, time)
    span, now = Span(starts, starts + HALF_HOUR), at(MONDAY - 30 * DAY, "12:00")

    said = Journeys([trip()]).refusal_there(BELL, "Harwold", span, house(), now)

    assert (said and said.field) == field


def test_fitter_who_stays_at_home_is_refused_there():
    said = refused(replace(IN_HARWOLD, fitter=ODILE, name="Odile"), MONDAY, "12:00", trip())

    why = "Odile is not in Harwold that day: Ansel Wren is."
    assert said == Refusal("fitter", why)


@pytest.mark.parametrize("place", [AT_HOME, IN_HARWOLD])
def test_past_day_is_over_wherever_it_is(place):
    assert refused(place, MONDAY - 31 * DAY, "12:00", trip()) == Refusal(
        "date", "That day is over."
    )


def test_town_is_found_however_it_is_written():
    trips = Journeys([trip(), trip(town="Selby")])

    assert [row.town for row in trips.of_town(" harwold ")] == ["Harwold"]
    assert trips.of_town("") == []


def test_free_times_end_with_the_way_there():
    going = trip(opens=TIME(14), there=HALF_HOUR)
    free = [
        time
        for time in ("12:30", "13:00", "13:15", "13:30")
        if refused(AT_HOME, MONDAY, time, going) is None
    ]

    assert free == ["12:30", "13:00"]
