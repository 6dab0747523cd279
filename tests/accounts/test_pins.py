"""Which PINs nobody should have, and how long a sign-in lasts: plain rules, no house."""

from dataclasses import replace

import pytest

from fittings.accounts.limits import Sitting
from fittings.accounts.pins import why_weak

BY_PIN = Sitting(way="pin", began=1000, seen=1000, idle=1200, longest=40_000)
BY_PASSWORD = replace(BY_PIN, way="password", proved=1000)


@pytest.mark.parametrize(
    ("pin", "why"),
    [
        ("274915", ""),
        ("112358", ""),
        ("27491", "A PIN has 6 digits."),
        ("2749150", "A PIN has 6 digits."),
        ("27491x", "A PIN has 6 digits."),
        ("٢٧٤٩١٥", "A PIN has 6 digits."),
        (
            "777777",
            "The same digit again and again, or digits in a row, are the first to be tried.",
        ),
        (
            "123456",
            "The same digit again and again, or digits in a row, are the first to be tried.",
        ),
        (
            "210987",
            "The same digit again and again, or digits in a row, are the first to be tried.",
        ),
        ("113131", "Use at least 3 different digits."),
        ("274274", "The same half twice is quickly guessed."),
    ],
)
def test_pin_easily_guessed_is_told_why(pin, why):
    assert why_weak(pin) == why


@pytest.mark.parametrize(
    ("seen", "now", "over"),
    [
        (1000, 2199, False),
        (1000, 2200, True),
        (40_900, 40_999, False),
        (40_900, 41_000, True),
        (1000, 945, False),  # a clock put right by a minute
        (1000, 900, True),
    ],
)
def test_sitting_ends_by_idleness_by_length_and_by_clock(seen, now, over):
    assert replace(BY_PIN, seen=seen).is_over(now) is over


def test_touch_is_noted_once_a_minute():
    assert [BY_PIN.touched(now).seen for now in (1059, 1060)] == [1000, 1060]


@pytest.mark.parametrize(
    ("sitting", "now", "owners_pages", "keys"),
    [
        (BY_PIN, 1000, False, False),
        (replace(BY_PIN, proved=1000), 1899, True, True),
        (replace(BY_PIN, proved=1000), 1900, False, False),
        (BY_PASSWORD, 1899, True, True),
        (BY_PASSWORD, 1900, True, False),
        (replace(BY_PASSWORD, proved=2000), 1900, True, False),
    ],
)
def test_what_a_sitting_opens_follows_how_it_began(sitting, now, owners_pages, keys):
    opens = (sitting.is_proven(now), sitting.is_proven(now, fresh=True))

    assert opens == (owners_pages, keys)
