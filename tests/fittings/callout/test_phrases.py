"""What is to be heard of 120 phrases, and of the lines that were kept apart from them."""

import pytest

from tests.fittings.callout.said import heard, lines, written

PHRASES = lines("phrases")


@pytest.mark.parametrize("line", PHRASES, ids=lambda line: line["say"])
def test_phrase_is_heard_as_its_entries(line):
    found = heard(line)

    assert [written(entry) for entry in found.entries] == line["hear"]
    assert " | ".join(piece.text for piece in found.leftovers) == line.get("note", "")


def is_exact(line):
    return [written(entry) for entry in heard(line).entries] == line["hear"]


def test_lines_kept_apart_are_heard_as_before():
    counts = {name: sum(map(is_exact, lines(name))) for name in ("held_out", "heard_once")}

    assert counts == {"held_out": 67, "heard_once": 23}


def is_silently_wrong(line):
    """Whether an entry is sure that no one said: what is asked can still be put right."""
    sure = [written(entry) for entry in heard(line).entries if entry.sure]
    return not set(sure) <= set(line["hear"])


def test_few_lines_kept_apart_are_heard_wrong_without_asking():
    wrong = {name: sum(map(is_silently_wrong, lines(name))) for name in ("held_out", "heard_once")}

    assert wrong == {"held_out": 2, "heard_once": 1}


def test_there_are_120_phrases_and_60_with_slips():
    slips = [line for line in PHRASES if line.get("slips")]

    assert (len(PHRASES), len(slips) >= 60) == (120, True)


@pytest.mark.parametrize("line", [line for line in PHRASES if line.get("slips") and line["hear"]])
def test_phrase_with_a_slip_says_what_was_forgiven(line):
    found = heard(line)

    assert any(entry.forgiven for entry in found.entries)
