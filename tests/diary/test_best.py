"""Which free times are offered first: the rule of ``best``, by hand and against its own words."""

import datetime
from zoneinfo import ZoneInfo

import pytest

from fittings.diary.best import Free, choose, leaves_hole
from fittings.diary.lasting import Purpose, minutes_for
from fittings.diary.slots import Span

LONDON = ZoneInfo("Europe/London")
ANSEL, ODILE = 1, 2


def at(text):
    return datetime.datetime.fromisoformat(f"2030-02-{text}").replace(tzinfo=datetime.UTC)


def span(starts, ends):
    return Span(at(f"04 {starts}"), at(f"04 {ends}"))


@pytest.mark.parametrize(
    ("purpose", "garments", "minutes"),
    [
        ("measure", 0, 45),
        ("measure", 5, 45),  # a figure is measured once
        ("first-fitting", 1, 45),
        ("first-fitting", 2, 60),
        ("forward-fitting", 3, 60),
        ("final-look", 1, 15),
        ("return-look", 4, 75),
        ("first-fitting", 40, 120),
    ],
)
def test_more_garments_take_longer_up_to_two_hours(purpose, garments, minutes):
    assert minutes_for(purpose, garments) == minutes


def test_every_purpose_has_its_usual_minutes():
    assert [minutes_for(purpose) for purpose in Purpose] == [45, 45, 30, 15, 30]


@pytest.mark.parametrize(
    ("starts", "ends", "hole"),
    [
        ("09:00", "09:45", False),
        ("09:15", "10:00", True),  # a quarter lost after opening
        ("09:30", "10:00", False),
        ("10:15", "11:00", True),  # and one before the next
        ("10:30", "11:00", True),
        ("10:45", "11:15", False),  # wall to wall
    ],
)
def test_hole_is_less_than_half_an_hour_left(starts, ends, hole):
    busy = [span("10:00", "10:45"), span("11:15", "18:00")]
    busy = busy if starts == "10:45" else [span("11:15", "18:00")]

    assert leaves_hole(span(starts, ends), busy, span("09:00", "18:00")) is hole


def test_fitter_who_knows_the_customer_comes_first():
    free = [Free(at("04 09:00"), ODILE), Free(at("05 09:00"), ANSEL)]

    assert [row.fitter for row in choose(free, LONDON, known=ANSEL)] == [ANSEL, ODILE]


def test_time_without_a_hole_comes_before_an_earlier_one():
    free = [Free(at("04 09:15"), ANSEL, hole=True), Free(at("04 13:00"), ANSEL)]

    assert choose(free, LONDON, most=1) == [Free(at("04 13:00"), ANSEL)]


def test_three_lie_two_hours_apart_whoever_fits():
    free = [Free(at(f"04 {hour:02}:00"), who) for hour in range(9, 18) for who in (ANSEL, ODILE)]

    hours = [row.starts.hour for row in choose(free, LONDON)]

    assert hours == [9, 11, 13]


def test_earlier_week_is_kept_before_the_next():
    before = [Free(at("04 09:00"), ODILE)]

    chosen = choose([Free(at("11 09:00"), ANSEL)], LONDON, known=ANSEL, before=before)

    assert [row.fitter for row in chosen] == [ODILE, ANSEL]
