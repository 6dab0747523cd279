"""What the catalogue offers to do about a fault, and how much.

Amounts are checked against figures in the trade's books, named beside each row by the keys of
the catalogue's own list of sources. Rounding to 1/8 in is common practice, no source.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.lengths import Length, parse
from fittings import catalogue
from garments import seams

SHIPPED = catalogue.load()
KEYS = [row.key for row in SHIPPED.faults]
MEASURED = [row.key for row in SHIPPED.faults if row.measured]


def one(rows, **wanted):
    return next(r for r in rows if all(getattr(r, k) == v for k, v in wanted.items()))


@pytest.mark.parametrize("key", KEYS)
def test_every_suggestion_can_be_written_on_a_ticket(key):
    fault, measured = catalogue.fault(key), parse("1/2")
    seen = "R" if fault.sided else ""

    for offer in catalogue.remedies_for(key, fault.kind, side=seen):
        amount = offer.amount_for(measured)
        line = (fault.kind, offer.operation.key, offer.seam, offer.side_for(seen), amount)

        assert seams.refusals(*line) == []


@pytest.mark.parametrize("key", MEASURED)
def test_measured_fault_reaches_an_amount(key):
    fault = catalogue.fault(key)

    amounts = [o.amount_for(parse("1/2")) for o in catalogue.remedies_for(key, fault.kind)]

    assert any(amounts)


@pytest.mark.parametrize(
    ("fault", "measured", "work", "amount", "words"),
    [
        # GG: 5/8 is the limit of lowering a collar; 1/4 the least worth taking it off for.
        ("collar-roll-narrow", "3/8", "sink-neck back-neck", "3/8", "in all"),
        ("collar-roll-narrow", "1", "sink-neck back-neck", "5/8", "in all"),
        ("collar-roll-narrow", "1/8", "sink-neck back-neck", "1/4", "in all"),
        # Arithmetic: 1 in wanting in all is 1/2 at each of two side seams.
        ("waist-x", "1", "let-out side-seam", "1/4", "each side"),
        ("waist-x", "3/4", "let-out side-seam", "1/4", "each side"),
        ("waist-no-shape", "1", "take-in side-seam", "1/4", "each side"),
        # Arithmetic: a centre seam moves on both halves.
        ("back-loose-across", "1", "take-in centre-back", "1/2", "each side of the seam"),
        # VL 58: the front shoulder first, the scye eased after it.
        (
            "scye-creases-and-side-full",
            "3/8",
            "let-down-shoulder shoulder-seam",
            "3/8",
            "each side",
        ),
        # VL 58: the fold across the chest is taken out at the shoulder.
        ("chest-folds-level", "1/2", "pick-up-shoulder shoulder-seam", "1/2", "each side"),
        # TH c2
        ("collar-stands-off", "3/8", "pass-up side-seam", "3/8", "each side"),
        # JF; FL
        ("sleeve-drags-behind", "3/8", "rotate-sleeve-back sleeve-head", "3/8", "each side"),
        # FL; PE
        ("sleeve-too-long", "1/4", "shorten-cuff cuff", "1/4", "each side"),
        # H:IVA: a gore of about 3/8
        ("vest-front-off-chest", "1/2", "put-in-gore neck-edge", "3/8", "each side"),
        # PT3
        ("seat-baggy", "1/2", "shorten-back-rise waistband", "1/2", "in all"),
        # VS 246: the leg seam holds 1/2, of which 1/4 stays inside.
        ("leg-spare-at-fork", "1", "close-leg leg-seam", "1/4", "each side"),
        # H 20: 1 in at the bottom is already a large move.
        ("leg-strains-striding", "2", "open-leg leg-seam", "1", "each side"),
    ],
)
def test_first_suggestion_is_the_usual_alteration(fault, measured, work, amount, words):
    first = catalogue.remedies_for(fault, catalogue.fault(fault).kind)[0]

    assert f"{first.operation.key} {first.seam}" == work
    assert first.amount_for(parse(measured)) == parse(amount)
    assert first.amount_words("") == words


def test_girth_is_altered_on_both_sides_whatever_side_showed_it():
    first = catalogue.remedies_for("lapel-bows", "coat", side="R")[0]

    assert first.operation.key == "let-out"
    assert first.side_for("R") == "both"


def test_low_shoulder_is_altered_on_its_own_side():
    first = catalogue.remedies_for("shoulder-one-low", "coat", side="L")[0]

    assert (first.cause.key, first.side_for("L")) == ("low-shoulder-L", "L")
    assert first.amount_words("L") == "in all, left side only"


def test_sleeve_is_altered_on_the_side_it_was_seen():
    first = catalogue.remedies_for("sleeve-drags-in-front", "coat", side="R")[0]

    assert [first.side_for(side) for side in ("R", "L", "both", "")] == ["R", "L", "both", "both"]


def test_stage_leaves_out_what_comes_too_late():
    late = catalogue.remedies_for("button-too-high", "coat", stage="finished")
    early = catalogue.remedies_for("button-too-high", "coat", stage="baste")

    assert "leave" in {offer.operation.key for offer in late}
    assert "leave" not in {offer.operation.key for offer in early}


@pytest.mark.parametrize("key", KEYS)
def test_same_alteration_is_offered_once(key):
    offers = catalogue.remedies_for(key, catalogue.fault(key).kind)

    places = [(o.remedy.operation, o.seam, o.remedy.side) for o in offers]

    assert len(set(places)) == len(places) > 0


def test_usual_alteration_differs_by_the_fault_seen():
    rows = catalogue.remedies_of("back-balance-long", "coat", "collar-roll-narrow")
    elsewhere = catalogue.remedies_of("back-balance-long", "coat", "back-folds-level")

    assert rows[0].operation == "sink-neck"
    assert elsewhere[0].operation == "pass-down"


@pytest.mark.parametrize(
    ("measured", "amount"),
    [
        (None, None),
        ("0", None),
        ("1/16", "1/8"),
        ("1/8", "1/8"),
        ("3/4", "1/4"),
        ("-1", "1/4"),
        ("1 1/4", "3/8"),
        ("25 mm", "1/4"),
        ("4", "5/8"),
    ],
)
def test_amount_goes_to_the_nearest_eighth(measured, amount):
    row = one(catalogue.remedies_of("waist-tight", "coat"), seam="side-seam")
    length = parse(measured, signed=True) if measured else None

    assert row.factor == Fraction(1, 4)
    assert row.amount_for(length) == (parse(amount) if amount else None)


def test_left_over_says_what_the_alteration_cannot_give():
    row = one(catalogue.remedies_of("waist-tight", "coat"), seam="side-seam")

    assert row.left_over(parse("4")) == parse("3/8")
    assert row.left_over(parse("2")) == row.left_over(None) == Length(0)


@given(
    measured=st.integers(1, 60_000_000).map(Length),
    row=st.sampled_from([row for row in SHIPPED.remedies if row.factor]),
)
def test_amount_is_whole_eighths_within_its_bounds(measured, row):
    amount = row.amount_for(measured)

    assert amount.nm % seams.EIGHTH.nm == 0
    assert row.least <= amount
    assert row.most is None or amount <= row.most


@pytest.mark.parametrize(
    "row",
    [row for row in SHIPPED.remedies if seams.operation(row.operation).inlay == seams.USES],
    ids=lambda row: f"{row.kind}-{row.cause}-{row.operation}",
)
def test_most_stays_within_the_inlay_normally_left(row):
    seam = seams.seam(row.kind, row.seam)

    assert row.most is not None
    assert row.most <= seam.usable(seam.inlay)
