"""A length as a value: written out, rounded, added, compared."""

import decimal
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.lengths import Length, LengthError, parse

EIGHTH = Fraction(1, 8)
HALF_38 = 977_900_000
CM_97_8 = 978_000_000


def test_inch_is_the_1959_inch():
    assert Length.inches(1).mm == Decimal("25.4")
    assert parse("1 in") * 5 == parse("12.7 cm")


@pytest.mark.parametrize(
    ("nm", "unit", "step", "shown"),
    [
        (HALF_38, "in", EIGHTH, "38 1/2"),
        (CM_97_8, "in", EIGHTH, "38 1/2"),
        (CM_97_8, "in", 0.125, "38 1/2"),
        (CM_97_8, "in", Decimal("0.125"), "38 1/2"),
        (CM_97_8, "in", Fraction(1, 16), "38 1/2"),
        (CM_97_8, "in", 1, "39"),
        (CM_97_8, "in", 0.1, "38.5"),
        (HALF_38, "cm", 0.1, "97.8"),
        (HALF_38, "cm", Decimal("0.01"), "97.79"),
        (HALF_38, "cm", Decimal("0.5"), "98"),
        (HALF_38, "mm", 1, "978"),
        (HALF_38, "mm", 3, "978"),
        (1_587_500, "in", EIGHTH, "1/8"),  # 1/16: half a step goes away from zero
        (-1_587_500, "in", EIGHTH, "-1/8"),
        (1_587_499, "in", EIGHTH, "0"),
        (-1_587_499, "in", EIGHTH, "0"),
        (500_000, "cm", 0.1, "0.1"),
        (0, "in", EIGHTH, "0"),
        (3_000_000_000, "cm", 0.1, "300"),
    ],
)
def test_to_rounds_to_the_step(nm, unit, step, shown):
    assert Length(nm).to(unit, step) == shown


@given(
    st.integers(-(10**10), 10**10),
    st.sampled_from([("in", EIGHTH), ("in", Fraction(1, 16)), ("cm", 0.1), ("mm", 3)]),
)
def test_rounded_is_never_half_a_step_off(nm, unit_and_step):
    unit, step = unit_and_step

    length = Length(nm).rounded(unit, step)

    assert abs(length - Length(nm)) * 2 <= Length.of(step, unit)
    assert length.rounded(unit, step) == length
    assert (-Length(nm)).rounded(unit, step) == -length


@pytest.mark.parametrize("step", [0, -1, Fraction(-1, 8)])
def test_step_that_is_not_above_zero_refused(step):
    with pytest.raises(ValueError, match="a step is above zero"):
        Length.inches(1).to("in", step)


def test_step_without_a_short_decimal_refused():
    with pytest.raises(ValueError, match="no short decimal"):
        Length.of_cm(0.3).to("cm", Fraction(1, 3))


@pytest.mark.parametrize(
    ("nm", "in_inches", "in_cm", "in_mm", "plain"),
    [
        (HALF_38, "38 1/2 in", "97.8 cm", "978 mm", "38 1/2"),
        (CM_97_8, "38 1/2 in", "97.8 cm", "978 mm", "97.8 cm"),
        (14_684_375, "37/64 in", "1.5 cm", "15 mm", "37/64"),
        (-9_525_000, "-3/8 in", "-1 cm", "-10 mm", "-3/8"),
        (-1, "0 in", "0 cm", "0 mm", "-0.0000001 cm"),
        (0, "0 in", "0 cm", "0 mm", "0"),
    ],
)
def test_text_carries_the_unit(nm, in_inches, in_cm, in_mm, plain):
    length = Length(nm)

    assert (length.text("in"), length.text("cm"), length.text("mm")) == (in_inches, in_cm, in_mm)
    assert str(length) == plain


def test_text_signed_shows_plus_and_minus():
    amounts = (Length.inches(Fraction(3, 8)), -Length.inches(0.25), Length())

    assert [amount.text("in", EIGHTH, signed=True) for amount in amounts] == [
        "+3/8 in",
        "-1/4 in",
        "0 in",
    ]


def test_mm_is_exact_in_any_decimal_context():
    with decimal.localcontext() as context:
        context.prec, context.traps[decimal.Inexact] = 2, True

        assert Length(977_912_345).mm == Decimal("977.912345")
        assert parse("38.015625").mm == Decimal("965.596875")


@given(*[st.integers(-(10**10), 10**10)] * 2, st.integers(-50, 50))
def test_arithmetic_is_that_of_whole_numbers(first, second, times):
    one, other = Length(first), Length(second)

    assert (one + other, one - other, one * times) == (
        Length(first + second),
        Length(first - second),
        Length(first * times),
    )
    assert (times * one, -one, abs(one)) == (
        Length(first * times),
        Length(-first),
        Length(abs(first)),
    )
    assert ((one < other), (one >= other), bool(one)) == (
        first < second,
        first >= second,
        first != 0,
    )


def test_lengths_are_values():
    lengths = {
        parse("38.5"),
        parse("97.79 cm"),
        Length.inches(38.5),
        Length.of_mm(Decimal("977.9")),
    }

    assert lengths == {Length.of_cm(97.79)}
    assert sum([Length(1), Length(2)], Length()) == Length(3)


@pytest.mark.parametrize("wrong", [1, 1.5, "1", None])
def test_length_and_number_do_not_add(wrong):
    with pytest.raises(TypeError):
        Length(1) + wrong
    with pytest.raises(TypeError):
        Length(1) - wrong


@pytest.mark.parametrize("wrong", [1.0, "1", None, Decimal(1)])
def test_length_of_part_nanometres_is_refused(wrong):
    with pytest.raises(TypeError, match="whole number of nanometres"):
        Length(wrong)
    with pytest.raises(TypeError):
        Length(1) * wrong


@pytest.mark.parametrize("value", [float("nan"), float("inf"), Decimal("-Infinity")])
def test_of_value_without_end_is_refused(value):
    with pytest.raises(LengthError, match="not a finite number"):
        Length.of_mm(value)


def test_of_value_between_nanometres_is_refused():
    with pytest.raises(LengthError, match="cannot be kept exactly"):
        Length.inches(Fraction(1, 3))
