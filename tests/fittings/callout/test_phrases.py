"""What is to be heard of 160 lines: `phrases.toml`, and those kept apart, `held_out.toml`."""

import pytest

from tests.fittings.callout.said import heard, lines, written

PHRASES = lines("phrases")
HELD_OUT = lines("held_out")


@pytest.mark.parametrize("line", PHRASES, ids=lambda line: line["say"])
def test_phrase_is_heard_as_its_entries(line):
    found = heard(line)

    assert [written(entry) for entry in found.entries] == line["hear"]
    assert " | ".join(piece.text for piece in found.leftovers) == line.get("note", "")


@pytest.mark.parametrize("line", HELD_OUT, ids=lambda line: line["say"])
def test_line_kept_apart_is_heard_as_its_entries(line):
    assert [written(entry) for entry in heard(line).entries] == line["hear"]


def test_there_are_120_phrases_and_60_with_slips():
    slips = [line for line in PHRASES if line.get("slips")]

    assert (len(PHRASES) >= 120, len(slips) >= 60, len(HELD_OUT)) == (True, True, 42)


@pytest.mark.parametrize("line", [line for line in PHRASES if line.get("slips") and line["hear"]])
def test_phrase_with_a_slip_says_what_was_forgiven(line):
    found = heard(line)

    assert any(entry.forgiven for entry in found.entries)
