"""What holds for any line at all."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings import catalogue
from fittings.callout import LONGEST, WHY, Choice, Slip, read_line
from fittings.callout.vocabulary import words_in
from fittings.catalogue.words import load_words
from garments.models import Kind
from tests.fittings.callout.said import lines, written

KINDS = [kind.value for kind in Kind]
SAYINGS = sorted({said for row in load_words().faults for said in row.say})
ZONES = sorted({said for row in load_words().zones for said in row.say})
SMALL = ["no", "not", "sorry", "scratch that", "same on the left", "rest clean", "clean", "1/2"]
PIECES = st.sampled_from([*SAYINGS, *ZONES, *SMALL, ",", ".", "and", "right", "left", "qwz", "🧵"])
TEXTS = st.one_of(st.text(max_size=80), st.lists(PIECES, max_size=14).map(" ".join))
PARTS = [line["say"] for line in lines("phrases") if "," not in line["say"]]


def read(text, kind="coat", unit="in"):
    return read_line(text, catalogue.load(), kind, unit)


def covered(found):
    """Every place of the text that an entry or a leftover stands for."""
    spans = [each.span for each in (*found.entries, *found.leftovers)]
    return {at for start, end in spans for at in range(start, end)}


@settings(max_examples=150)
@given(TEXTS, st.sampled_from(KINDS), st.sampled_from(["in", "cm"]))
def test_any_text_is_read_and_none_of_it_lost(text, kind, unit):
    found = read(text, kind, unit)

    lost = {at for at, each in enumerate(text) if each.isalnum()} - covered(found)
    assert lost == set()
    assert all(text[slice(*piece.span)] == piece.text for piece in found.leftovers)


@settings(max_examples=60)
@given(TEXTS, st.sampled_from(KINDS))
def test_every_entry_may_be_kept_as_the_catalogue_has_it(text, kind):
    for entry in read(text, kind).entries:
        for choice in entry.choices:
            faults = {row.key: row for row in catalogue.faults(kind, choice.zone)}
            sided = choice.fault and faults[choice.fault].sided
            assert (choice.side in ("L", "R", "both")) == bool(sided)


@settings(max_examples=30)
@given(st.permutations(["collar off 3/8", "right shoulder low 1/4", "vents pull", "back clean"]))
def test_parts_between_commas_may_come_in_any_order(parts):
    found = read(", ".join(parts))

    assert {written(entry) for entry in found.entries} == {
        "collar-stands-off 3/8",
        "shoulder-one-low R 1/4",
        "vent-spreads both",
        "back clean",
    }


@pytest.mark.parametrize("row", load_words().faults, ids=lambda row: row.means)
def test_every_word_for_a_fault_is_heard_with_its_zone(row):
    fault = catalogue.fault(row.means)
    zone = next(
        each.say[0]
        for each in load_words().zones
        if (each.kind, each.means) == (fault.kind, fault.zone)
    )
    heard = {said: read(f"{zone} {said}", fault.kind).entries for said in row.say}

    missed = [
        said
        for said, entries in heard.items()
        if fault.key not in {choice.fault for entry in entries for choice in entry.choices}
    ]
    assert missed == []


@pytest.mark.parametrize(
    "text",
    [
        "collar off 3/8 " * 700,
        "qwz kpl " * 1250,
        "🧵👩🏽‍🦽" * 1500,
        "領子が浮く " * 1600,
        "'; DROP TABLE fittings_observation; -- <script>alert(1)</script> " * 150,
        "9" * 10000,
        "1/0 " * 2500,
        "no not no left no right " * 400,
        "\0\u202e\r\n" * 2500,
    ],
    ids=[
        "repeated",
        "nonsense",
        "emoji",
        "script",
        "code",
        "figures",
        "zero",
        "denials",
        "control",
    ],
)
def test_ten_thousand_letters_are_read_soon_and_kept(text):
    started = time.thread_time()  # whatever else the machine does meanwhile
    found = read(text)
    taken = time.thread_time() - started

    rest = [piece for piece in found.leftovers if piece.why == "too long"]
    assert taken < 10
    assert sum(end - start for start, end in (piece.span for piece in rest)) >= (
        len(text.strip()) - LONGEST if text.strip() else 0
    )


def test_twice_the_line_takes_about_twice_as_long():
    line = "collar off 3/8 right shoulder low quarter vents pull sleeves clean "
    read(line)
    took = {}
    for times in (6, 24):
        started = time.thread_time()
        read(line * times)
        took[times] = time.thread_time() - started

    assert took[24] < 10 * took[6]


def test_word_left_over_says_why():
    found = read("no roll under the collar, left sleeve clean, seat not clean, chest")

    assert [(piece.text, piece.why) for piece in found.leftovers] == [
        ("no roll under the collar", "denied"),
        ("left sleeve clean", "half"),
        ("seat not clean", "unclean"),
        ("chest", "bare"),
    ]
    assert {piece.why for piece in found.leftovers} <= set(WHY)


def test_last_entry_is_taken_back_when_he_says_so():
    found = read("collar off 3/8, seat tight, scratch that")

    assert [written(entry) for entry in found.entries] == ["collar-stands-off 3/8"]
    assert [(piece.text, piece.why) for piece in found.leftovers] == [
        ("seat tight, scratch that", "taken back")
    ]


def test_side_nobody_said_is_asked_and_not_guessed():
    (entry,) = read("sleeve too long").entries

    sides = [Choice("sleeve", "sleeve-too-long", side) for side in ("L", "both", "R")]
    assert (list(entry.choices), entry.sure) == (sides, False)


def test_fault_made_out_of_a_slip_alone_is_asked():
    (entry,) = read("crunhes on the right").entries

    assert (entry.sure, entry.forgiven) == (False, (Slip("crunhes", "crunches"),))


@pytest.mark.parametrize("word", ["likes", "best", "heat", "pocket", "walks"])
def test_word_of_every_day_is_not_taken_for_a_slip(word):
    assert read(f"he {word}").entries == ()


def test_words_are_cut_at_their_apostrophes():
    assert words_in("Doesn\u2019t meet, it's off") == ["doesn't", "meet", "it's", "off"]
