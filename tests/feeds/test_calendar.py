"""The file itself, against RFC 5545 and as a library of others, ``icalendar``, reads it."""

import datetime
import re
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.feeds.calendar import Entry, write_calendar

UTC = datetime.UTC
HOUR = datetime.timedelta(hours=1)
# Zones whose clocks change by an hour in the north, an hour elsewhere, and by half an hour in the
# south, with days on which they do in 2026 (IANA time zone database).
CHANGES = [
    ("Europe/London", "2026-03-29"),
    ("Europe/London", "2026-10-25"),
    ("America/New_York", "2026-03-08"),
    ("America/New_York", "2026-11-01"),
    ("Australia/Lord_Howe", "2026-04-05"),
    ("Australia/Lord_Howe", "2026-10-04"),
]


def entry(**values):
    starts_at = values.pop("starts_at", datetime.datetime(2026, 2, 2, 10, tzinfo=UTC))
    usual = {
        "uid": "4f1c2f7e-31b0-4d5e-9d6a-0c5b7a1f2e3d",
        "sequence": 0,
        "changed_at": datetime.datetime(2026, 1, 5, 9, 30, tzinfo=UTC),
        "starts_at": starts_at,
        "ends_at": starts_at + HOUR,
        "summary": "First fitting: T.M. C1004-9",
    }
    return Entry(**usual | values)


def read(body):
    return icalendar.Calendar.from_ical(body).walk("VEVENT")


def unfolded(body):
    """Content lines, unfolded after RFC 5545 3.1, with nothing of our own or the library's."""
    return body.replace(b"\r\n ", b"").decode().split("\r\n")


def test_calendar_reads_back_as_written():
    (event,) = read(write_calendar([entry(location="Front room", description="coat, G1")]))

    assert (event.decoded("dtstart"), event.decoded("dtend")) == (
        datetime.datetime(2026, 2, 2, 10, tzinfo=UTC),
        datetime.datetime(2026, 2, 2, 11, tzinfo=UTC),
    )
    assert [str(event[key]) for key in ("uid", "sequence", "location", "description")] == [
        "4f1c2f7e-31b0-4d5e-9d6a-0c5b7a1f2e3d",
        "0",
        "Front room",
        "coat, G1",
    ]


def test_calendar_has_every_property_that_must_be():
    """RFC 5545: 3.6 PRODID and VERSION once; 3.6.1 UID, DTSTAMP and DTSTART once an event."""
    lines = unfolded(write_calendar([entry(), entry(uid="another")], name="Front room"))
    names = [re.split("[;:]", line)[0] for line in lines]

    assert {name: names.count(name) for name in ("PRODID", "VERSION", "BEGIN", "END", "")} == {
        "PRODID": 1,
        "VERSION": 1,
        "BEGIN": 3,
        "END": 3,
        "": 1,
    }
    assert [names.count(name) for name in ("UID", "DTSTAMP", "DTSTART", "DTEND")] == [2, 2, 2, 2]


@settings(max_examples=40)
@given(st.text(max_size=200), st.text(max_size=200))
def test_lines_stay_within_octets_and_end_properly(summary, description):
    """RFC 5545, 3.1: lines of at most 75 octets without the break, CRLF, no control character."""
    body = write_calendar([entry(summary=summary, description=description)])
    lines = body.split(b"\r\n")

    assert max(map(len, lines)) <= 75
    assert lines[-1] == b""
    assert re.search(rb"[\x00-\x08\x0b-\x1f\x7f]", b"".join(lines)) is None


@settings(max_examples=40)
@given(st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=120))
def test_text_comes_back_as_it_was(text):
    """RFC 5545, 3.3.11: backslash, semicolon, comma and line's end are escaped."""
    (event,) = read(write_calendar([entry(summary=text, description=f"{text}\n;,\\")]))

    assert (str(event["summary"]), str(event["description"])) == (text, f"{text}\n;,\\")


def test_line_break_cannot_forge_a_property():
    lines = unfolded(write_calendar([entry(summary="x\r\nATTACH:http://evil.example\rEND:VEVENT")]))

    assert [line for line in lines if line.startswith(("ATTACH", "END"))] == [
        "END:VEVENT",
        "END:VCALENDAR",
    ]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_every_hour_of_changing_day_is_its_own_moment(zone, day):
    """On a day of 23, 23½, 24½ or 25 hours each quarter is shown by that zone's clock."""
    midnight = datetime.datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone))
    first = midnight.astimezone(UTC)
    moments = [first + number * HOUR / 4 for number in range(104)]
    rows = [
        entry(uid=f"{n:03}", starts_at=at.astimezone(ZoneInfo(zone)))
        for n, at in enumerate(moments)
    ]

    events = read(write_calendar(rows))

    found = [event.decoded("dtstart") for event in events]
    assert found == moments
    shown = [(at.astimezone(ZoneInfo(zone)).strftime("%d %H:%M%z")) for at in found]
    assert shown == [row.starts_at.strftime("%d %H:%M%z") for row in rows]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_length_over_the_change_is_kept(zone, day):
    """A span by the wall from half past midnight to half past three lasts as long as it lasts."""
    midnight = datetime.datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone))
    starts_at, ends_at = midnight.replace(minute=30), midnight.replace(hour=3, minute=30)

    (event,) = read(write_calendar([entry(starts_at=starts_at, ends_at=ends_at)]))

    lasts = event.decoded("dtend") - event.decoded("dtstart")
    assert lasts == ends_at.astimezone(UTC) - starts_at.astimezone(UTC)
    assert lasts != 3 * HOUR


def test_cancelled_booking_says_so_and_frees_the_time():
    """RFC 5545, 3.8.1.11 and 3.8.2.7."""
    (event,) = read(write_calendar([entry(holds=False, sequence=3)]))

    said = [str(event[key]) for key in ("status", "transp", "sequence")]
    assert said == ["CANCELLED", "TRANSPARENT", "3"]


def test_letter_has_method_and_organizer():
    """RFC 5546, 3.2.1 and 3.2.5: PUBLISH and CANCEL name the organizer."""
    body = write_calendar([entry()], method="PUBLISH", organizer="post@house.example")
    calendar = icalendar.Calendar.from_ical(body)

    assert str(calendar["method"]) == "PUBLISH"
    assert str(calendar.walk("VEVENT")[0]["organizer"]) == "mailto:post@house.example"


def test_same_bookings_give_the_same_bytes():
    rows = [entry(), entry(uid="another")]

    assert write_calendar(rows) == write_calendar(reversed(rows))


def test_time_without_zone_is_refused():
    with pytest.raises(ValueError, match="needs its zone"):
        entry(starts_at=datetime.datetime(2026, 2, 2, 10))  # noqa: DTZ001
