"""What a ticket says, before it is set on paper."""

import pytest

from customers.lengths import parse
from garments.models import Alteration
from garments.tickets import alteration_words


def words(operation, seam, side="", amount=None, *, before=None, after=None, **given):
    alteration = Alteration(
        operation=operation, seam=seam, side=side, amount=parse(amount) if amount else None
    )
    inlay = [parse(text, signed=True) if text else None for text in (before, after)]
    return alteration_words(alteration, *inlay, given.get("kind", "coat"), given.get("unit", "in"))


@pytest.mark.parametrize(
    ("line", "said", "other"),
    [
        (("let-out", "side-seam", "both", "3/8"), "3/8 in each side", "9.5 mm"),
        (("let-out", "side-seam", "L", "3/8"), "3/8 in each side of the seam, left only", "9.5 mm"),
        (
            ("let-out", "side-seam", "R", "1 1/4"),
            "1 1/4 in each side of the seam, right only",
            "31.8 mm",
        ),
        (("raise-hem", "hem", "R", "1/2"), "1/2 in, in all, right side only", "12.7 mm"),
        (("let-out", "centre-back", "", "1/4"), "1/4 in each side of the seam", "6.4 mm"),
        (("sink-neck", "back-neck", "", "1/4"), "1/4 in, in all", "6.4 mm"),
        (("move-buttons-in", "buttons", "", "3/64"), "3/64 in, in all", "1.2 mm"),
        (("remake-canvas", "canvas", "both"), "both sides", ""),
        (("release-lining", "lining", "L"), "left side only", ""),
        (("redress-collar", "collar-seam"), "", ""),
    ],
)
def test_amount_says_on_which_side_it_is_meant(line, said, other):
    read = words(*line)

    assert (read.amount_and_side, read.other) == (said, other)


# 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("typed", "unit", "large", "small"),
    [
        ("3/8", "in", "3/8 in", "9.5 mm"),
        ("3/8", "cm", "0.95 cm", "3/8 in"),
        ("1 cm", "cm", "1 cm", "3/8 in"),
        ("9.6 mm", "cm", "0.96 cm", "3/8 in"),
        ("1 cm", "in", "3/8 in", "10 mm"),
        ("2 1/2", "cm", "6.35 cm", "2 1/2 in"),
    ],
)
def test_amount_is_given_in_both_units(typed, unit, large, small):
    read = words("let-out", "side-seam", "both", typed, unit=unit)

    assert (read.amount, read.other) == (large, small)


@pytest.mark.parametrize(
    ("before", "after", "said", "short"),
    [
        ("1", "5/8", "inlay 1 in before, 5/8 in after", False),
        ("1", "3/8", "inlay 1 in before, 3/8 in after", False),
        ("1", "1/4", "inlay 1 in, 1/4 in left, 3/8 in must stay", True),
        ("1", "0", "inlay 1 in, 0 in left, 3/8 in must stay", True),
        ("1", "-1/4", "inlay 1 in, 3/8 in must stay", True),
        ("0", "-1/4", "no inlay, 3/8 in must stay", True),
        ("-1/8", "1/8", "no inlay before, 1/8 in after", False),
        ("1/4", "1", "inlay 1/4 in before, 1 in after", False),
        ("1/4", "1/4", "inlay 1/4 in, not touched", False),
        (None, None, "", False),
    ],
)
def test_inlay_is_never_printed_below_nothing(before, after, said, short):
    read = words("let-out", "side-seam", "both", "3/8", before=before, after=after)

    assert (read.inlay, read.short) == (said, short)
    assert "-" not in read.inlay


def test_words_name_operation_seam_and_what_it_does():
    read = words("let-down-hem", "hem", "both", "1/2", kind="trousers")

    assert (read.operation, read.seam, read.does) == (
        "Let down hem",
        "bottom",
        "The hem is let down.",
    )
