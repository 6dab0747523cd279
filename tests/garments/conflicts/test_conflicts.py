"""Alterations that spoil one another. Sources stand on each row of `disturbing.toml`: TM 25 (seat
and vents), PS and GG (collar after balance), CPG 67 (under arm and scye), TM 34 (seat and crotch),
VL 58, TH c2, H 78, PE, JB, CPG 42; the rest is arithmetic, or common practice, no source."""

from typing import NamedTuple

import pytest

from garments import seams
from garments.conflicts import AGAINST, MOVES, THRICE, conflicts


class Line(NamedTuple):
    operation: str
    seam: str
    side: str = "both"


def lines(*texts):
    """`lines("let-out side-seam", "take-in side-seam R")`; `-` for a seam without sides."""
    return [Line(*text.replace(" -", " ").split(" ")) for text in texts]


def sorts(kind, *texts, earlier=()):
    return [found.sort for found in conflicts(kind, lines(*texts), earlier=earlier)]


@pytest.mark.parametrize(
    ("kind", "one", "other"),
    [
        ("coat", "let-out side-seam", "take-in side-seam"),
        ("coat", "let-out side-seam L", "take-in-waist side-seam"),
        ("coat", "let-out-waist side-seam", "take-in-waist centre-back -"),
        ("coat", "lengthen-cuff cuff L", "shorten-cuff cuff L"),
        ("coat", "lengthen-cuff cuff R", "shorten-head sleeve-head R"),
        ("coat", "pass-up side-seam", "pass-down side-seam"),
        ("coat", "crooken shoulder-seam", "straighten shoulder-seam"),
        ("coat", "let-down-hem hem", "sink-neck back-neck -"),
        ("overcoat", "let-down-hem hem", "raise-hem hem"),
        ("waistcoat", "raise-opening front-edge -", "lower-opening front-edge -"),
        ("trousers", "let-out seat-seam -", "take-in side-seam"),
    ],
)
def test_two_that_work_against_each_other_are_told(kind, one, other):
    assert sorts(kind, one, other) == sorts(kind, other, one) == [AGAINST]


@pytest.mark.parametrize(
    ("kind", "mover", "moved", "source"),
    [
        ("coat", "let-out-seat side-seam", "take-in vent", "TM 25; FL"),
        ("overcoat", "sink-neck back-neck -", "pass-up side-seam", "PS; GG"),
        ("coat", "pick-up-shoulder shoulder-seam", "deepen-scye scye", "VL 58; TH c2"),
        ("coat", "raise-scye scye L", "rotate-sleeve-back sleeve-head L", "SG; H 78"),
        ("coat", "rotate-sleeve-back sleeve-head L", "shorten-cuff cuff", "H 78; DL"),
        ("coat", "take-in underarm-seam", "advance-scye scye", "CPG 67"),
        ("coat", "sink-neck back-neck -", "redress-collar collar-seam -", "PS; TH c1; BR"),
        (
            "coat",
            "take-in-waist side-seam",
            "move-buttons-in buttons -",
            "SG; common practice, no source",
        ),
        ("coat", "raise-hem hem", "lower-button-point buttons -", "PE"),
        ("waistcoat", "pick-up-shoulder shoulder-seam", "lower-opening front-edge -", "JB"),
        ("trousers", "let-out seat-seam -", "let-out-fork fork", "TM 34"),
        (
            "trousers",
            "close-leg leg-seam",
            "raise-hem hem",
            "CPG 42; TF; common practice, no source",
        ),
    ],
)
def test_what_moves_what_another_sets_is_told(kind, mover, moved, source):
    (told,) = conflicts(kind, lines(moved, mover))

    assert (told.sort, told.source) == (MOVES, source)
    assert told.lines == tuple(lines(mover, moved))


@pytest.mark.parametrize(
    "pair",
    [
        ("let-out side-seam L", "take-in side-seam R"),
        ("lengthen-cuff cuff L", "shorten-cuff cuff R"),
        ("let-out side-seam", "let-out centre-back -"),
        ("let-out side-seam", "lengthen-cuff cuff"),
    ],
)
def test_what_does_not_meet_is_not_told(pair):
    assert sorts("coat", *pair) == []


def test_words_name_both_and_what_they_fight_over():
    (told,) = conflicts("coat", lines("let-out-waist side-seam", "take-in-waist centre-back -"))

    assert told.words == (
        "Let out at waist (side seam) and take in at waist (centre back seam): one gives to the"
        " waist what the other takes."
    )


def test_work_of_the_last_fitting_is_moved():
    last = lines("shorten-cuff cuff")

    (told,) = conflicts("coat", lines("rotate-sleeve-back sleeve-head R"), earlier=[last])

    assert told.words == (
        "Rotate sleeve back (sleeve head) moves what the last fitting set: shorten sleeve at cuff."
        " Look again."
    )
    assert told.source == seams.operation("shorten-cuff").why_source


def test_work_before_the_last_fitting_is_not_asked_about():
    earlier = [lines("shorten-cuff cuff"), lines("leave hem")]

    assert sorts("coat", "rotate-sleeve-back sleeve-head", earlier=earlier) == []


def test_same_seam_at_three_fittings_is_told():
    earlier = [lines("let-out side-seam"), lines("let-out-seat side-seam L")]

    (told,) = conflicts("coat", lines("let-out-waist side-seam R"), earlier=earlier)

    assert told.sort == THRICE
    assert told.words == (
        "Side seam: altered at the two fittings before, and now again. Look for another cause"
        " before it is opened a third time."
    )


@pytest.mark.parametrize(
    "earlier",
    [
        [["let-out side-seam"]],
        [["let-out side-seam"], ["let-out vent"]],
        [["let-out side-seam"], ["leave side-seam"]],
        [["let-out side-seam"], ["let-out side-seam"], []],
    ],
)
def test_fewer_than_three_in_a_row_is_not_told(earlier):
    before = [lines(*texts) for texts in earlier]

    assert THRICE not in sorts("coat", "let-out side-seam", earlier=before)


def test_unknown_line_is_passed_over():
    assert sorts("coat", "mend hem", "let-out pocket", "let-out side-seam") == []


def test_no_operation_fights_itself():
    told = [
        (kind, op.key, seam)
        for kind in seams.KINDS
        for op in seams.operations(kind)
        for seam in op.seams(kind)
        if conflicts(kind, [Line(op.key, seam), Line(op.key, seam)])
    ]

    assert told == []
