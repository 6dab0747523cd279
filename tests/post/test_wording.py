"""Words with places in brackets, the hours in which they go out, and the waits between tries."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.post.hours import SendingHours, next_wait
from fittings.post.wording import ALLOWED, PLACES, Words, fill, shipped, wrong_in

TIME = datetime.time.fromisoformat
SIX = {name: f"<{name}>" for name in PLACES}


@pytest.mark.parametrize("kind", ALLOWED)
def test_shipped_words_hold_known_places_only(kind):
    words = shipped()[kind]

    assert [wrong_in(text, kind) for text in (words.subject, words.body, words.short)] == [[]] * 3
    assert len(words.subject) <= 150
    assert len(words.short) <= 600


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[wardrobe]", "There is no place “[wardrobe]”: choose one of the list."),
        ("[before]", "“[before]” is not known in this message: choose one of the list."),
        ("[Day]", "“[Day]” is no place: brackets stand only around one of the words."),
        ("[day", "“[” is no place: brackets stand only around one of the words."),
        ("day]", "“]” is no place: brackets stand only around one of the words."),
        ("[ day ]", "“[ day ]” is no place: brackets stand only around one of the words."),
        (
            "[day.__class__]",
            "“[day.__class__]” is no place: brackets stand only around one of the words.",
        ),
    ],
)
def test_unknown_place_is_told_by_name(text, said):
    assert wrong_in(f"Dear {text},", "reminder") == [said]


@pytest.mark.parametrize(
    "code", ["{{ customer }}", "{% debug %}", "{0.__class__}", "%(day)s", "$day"]
)
def test_code_is_mere_text(code):
    words = Words(code, code, code)

    assert wrong_in(code, "reminder") == []
    assert words.filled(SIX) == words


@settings(max_examples=50)
@given(st.text("[]day \n", max_size=30))
def test_filled_in_text_is_never_read_again(name):
    assert fill("Dear [customer], [day]", {"customer": name, "day": "Monday"}) == (
        f"Dear {name}, Monday"
    )


def test_subject_becomes_one_line():
    words = Words("For [customer]\n[day]", "", "").filled({"customer": "A\r\nBcc: b@c", "day": "x"})

    assert words.subject == "For A Bcc: b@c x"


@pytest.mark.parametrize(
    ("opens", "closes", "span"),
    [
        ("09:00", "18:00", "from 09:00 to 18:00"),
        ("06:00", "23:00", "from 08:00 to 21:00"),
        ("21:30", "23:00", "never: the house is open by night alone"),
    ],
)
def test_hours_are_the_house_hours_without_the_night(opens, closes, span):
    assert str(SendingHours.of_house(TIME(opens), TIME(closes))) == span


@pytest.mark.parametrize(
    ("at", "held"),
    [("08:59", False), ("09:00", True), ("17:59", True), ("18:00", False), ("03:00", False)],
)
def test_hours_hold_from_opening_until_closing(at, held):
    hours = SendingHours.of_house(TIME("09:00"), TIME("18:00"))

    assert hours.hold(datetime.datetime.fromisoformat(f"2026-02-02 {at}")) is held


def test_waits_grow_and_come_to_an_end():
    waits = [next_wait(tries) for tries in range(1, 7)]

    assert waits[-1] is None
    assert waits[:-1] == sorted(set(waits[:-1]))
