"""Which way each operation moves its line, and on which side its amount is meant.

Common practice, no source: checked against what the operations themselves say they do.
"""

import re

import pytest

from garments import seams
from garments.seams.rows import read_data
from garments.seams.ways import WAYS, read_ways, side_words, way_of
from garments.seams.work import OPERATIONS, OperationsError

EVERYWHERE = [
    (kind, operation, seam, side)
    for kind in seams.KINDS
    for operation in seams.operations(kind)
    for seam in operation.seams(kind)
    for side in seams.SIDES
    if operation.takes_amount and not seams.refusals(kind, operation.key, seam, side, seams.EIGHTH)
]


def test_every_amount_says_each_side_or_in_all():
    said = {
        (kind, operation.key, seam, side): side_words(operation, seams.seam(kind, seam), side)
        for kind, operation, seam, side in EVERYWHERE
    }

    assert len(said) > 300
    wrong = {at: words for at, words in said.items() if not re.match(r"each side|in all", words)}
    assert wrong == {}


def test_one_side_is_named_and_no_other():
    for kind, operation, seam, side in EVERYWHERE:
        words = side_words(operation, seams.seam(kind, seam), side)
        named = re.findall("left|right", words)
        assert named == {"L": ["left"], "R": ["right"]}.get(side, []), (operation.key, words)


def test_two_edges_are_those_the_operation_speaks_of():
    two = {key for key, way in WAYS.items() if way.edges == 2}

    assert two == {key for key, row in OPERATIONS.items() if "both edges" in row.does}


def test_a_seam_let_out_on_one_side_never_says_in_all():
    # "in all" on a seam that gives on both its edges would be read as half on each.
    words = side_words(OPERATIONS["let-out"], seams.seam("coat", "side-seam"), "L")

    assert words == "each side of the seam, left only"


@pytest.mark.parametrize(
    ("saying", "sign"),
    [
        (r"Let out|let out .*fork|is let out at", "part"),
        (r"[Tt]aken in", "meet"),
        (r"is let down\.|comes? down|cut down|are? lowered|set lower|cut lower", "down"),
        (r"goes up|comes up|rises|are? raised|set higher|taken up|go up", "up"),
        (r"cut forward|turns forward|goes forward", "forward"),
        (r"goes back|turns back", "back"),
    ],
)
def test_sign_is_what_the_operation_does(saying, sign):
    odd = {
        key: way_of(row).sign
        for key, row in OPERATIONS.items()
        if row.takes_amount and re.search(saying, row.does) and way_of(row).sign != sign
    }

    assert odd == {}


def test_operation_without_amount_has_no_way():
    assert way_of(OPERATIONS["release-lining"]) == ("", "", 1)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        (lambda rows: rows[0]["operations"].remove("let-out"), "let-out"),
        (lambda rows: rows[0]["operations"].append("take-in"), "take-in"),
        (lambda rows: rows[0]["operations"].append("lost-art"), "lost-art"),
        (lambda rows: rows[0]["operations"].append("release-lining"), "release-lining"),
    ],
)
def test_ways_that_miss_or_repeat_are_refused(change, named):
    data = read_data("ways.toml")
    change(data["way"])

    with pytest.raises(OperationsError, match=named):
        read_ways(data, OPERATIONS)
