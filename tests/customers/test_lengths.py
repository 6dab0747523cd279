"""Outside checks: pint (its inch is 25.4 mm, the 1959 agreement) and Python's own Fraction."""

import time
from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.lengths import NM, Length, LengthError, parse

EIGHTH = Fraction(1, 8)
PINT = pint.UnitRegistry(non_int_type=Fraction)
HALF_38 = 977_900_000
CM_97_8 = 978_000_000

ACCEPTED = [
    # inches, as they are written
    ("38 1/2", HALF_38),
    ("38½", HALF_38),
    ("38 ½", HALF_38),
    ("38-1/2", HALF_38),
    ("38-½", HALF_38),
    ("38.5", HALF_38),
    ("38,5", HALF_38),
    ("38.50", HALF_38),
    ('38 1/2"', HALF_38),
    ('38.5 "', HALF_38),
    ("38 1/2″", HALF_38),
    ("38½”", HALF_38),
    ("38 1/2''", HALF_38),
    ("38 1/2 in", HALF_38),
    ("38 1/2in", HALF_38),
    ("38 1/2 in.", HALF_38),
    ("38 1/2 IN", HALF_38),
    ("38 1/2 ins", HALF_38),
    ("38 1/2 inches", HALF_38),
    ("+38 1/2", HALF_38),
    ("  38 1/2\n", HALF_38),
    ("38   1/2", HALF_38),
    ("38\t1/2", HALF_38),
    ("38\u00a01/2", HALF_38),
    ("38\u202f1/2", HALF_38),
    ("38\u20091/2", HALF_38),
    ("38 1\u20442", HALF_38),
    ("38 1\u22152", HALF_38),
    ("38 1 / 2", HALF_38),
    ("38\u20101/2", HALF_38),
    ("38\u20111/2", HALF_38),
    ("38\u20131/2", HALF_38),
    ("038 1/2", HALF_38),
    ("38 0/8", 965_200_000),
    ("38 4/8", HALF_38),
    ("38", 965_200_000),
    ("1 inch", 25_400_000),
    ("15 3/8in", 390_525_000),
    ("15⅜", 390_525_000),
    ("¾", 19_050_000),
    ("7/8", 22_225_000),
    (".5", 12_700_000),
    ("0", 0),
    ("1/64", 396_875),
    ("38 1/10", 967_740_000),
    ("1⅕", 30_480_000),
    ("120", 3_048_000_000),
    # metric
    ("97.8 cm", CM_97_8),
    ("97,8 cm", CM_97_8),
    ("97.8cm", CM_97_8),
    ("97.8\u202fcm", CM_97_8),
    ("97.8 CM.", CM_97_8),
    ("97.8 centimetres", CM_97_8),
    ("97 1/2 cm", 975_000_000),
    ("978mm", CM_97_8),
    ("978 mm", CM_97_8),
    ("978,0 mm", CM_97_8),
    ("977.9 millimeters", HALF_38),
    ("300 cm", 3_000_000_000),
    ("3000 mm", 3_000_000_000),
    ("0,1 mm", 100_000),
]

REFUSED = [
    ("", "Write the measure, for example"),
    ("   ", "Write the measure, for example"),
    ("\n\t\u202f", "Write the measure, for example"),
    ("-38", "leave out the minus sign"),
    ("-1/4", "leave out the minus sign"),
    ("\u22121/4", "leave out the minus sign"),
    ("- 38.5", "leave out the minus sign"),
    ("1/0", "cannot be over 0"),
    ("38 1/0", "cannot be over 0"),
    ("38 0/0", "cannot be over 0"),
    ("1/-0", "cannot be over 0"),
    ("38 9/8", "9/8 is not less than one: count the whole"),
    ("38 8/8", "8/8 is not less than one: count the whole"),
    ("9/8", "leave a space after them, as in 38 1/2"),
    ("381/2", "leave a space after them, as in 38 1/2"),
    ("38 in cm", "has two units"),
    ("38 in 2 cm", "has two units"),
    ("97 cm 8 mm", "has two units"),
    ('38" cm', "has two units"),
    ('38 in"', "has two units"),
    ("5'10\"", "5 ft 10 in is 70 in"),
    ("5 ft 10", "5 ft 10 in is 70 in"),
    ("5ft", "5 ft 10 in is 70 in"),
    ("3 feet", "5 ft 10 in is 70 in"),
    ("38.5 1/2", "either a decimal or a fraction"),
    ("38,5 1/2", "either a decimal or a fraction"),
    ("38.", "nothing after the point"),
    ("38, cm", "nothing after the point"),
    ("38 - 1/2", "Leave out the dash"),
    ("38 -1/2", "Leave out the dash"),
    ("38- 1/2", "Leave out the dash"),
    ("38\u22121/2", "(minus sign) cannot be read"),
    ("nan", "nan cannot be read"),
    ("inf", "inf cannot be read"),
    ("-Infinity", "-Infinity cannot be read"),
    ("1e3", "1e3 cannot be read"),
    ("0x26", "0x26 cannot be read"),
    ("1_000 mm", "1_000 mm cannot be read"),
    ("٣٨", "(arabic-indic digit three) cannot be read: use the figures 0 to 9"),
    ("\uff13\uff18", "(fullwidth digit three) cannot be read: use the figures 0 to 9"),
    ("38²", "(superscript two) cannot be read: use the figures 0 to 9"),
    ("38 ⅟8", "(fraction numerator one) cannot be read: use the figures 0 to 9"),
    ("Ⅷ", "(roman numeral eight) cannot be read: use the figures 0 to 9"),
    ("38\x00", "A hidden character cannot be read"),
    ("38\n1/2", "A hidden character cannot be read"),
    ("38\u200b1/2", "Zero width space cannot be read"),
    ("38 €", "€ (euro sign) cannot be read"),
    ("121", "at most 120 in"),
    ("120 1/64", "at most 120 in"),
    ("300.1 cm", "at most 300 cm"),
    ("3001 mm", "at most 3000 mm"),
    ("9" * 40, "at most 120 in"),
    ("9" * 41, "too long for one measure"),
    ("38 kg", "kg is no unit used here"),
    ("2 m", "m is no unit used here"),
    ("38 %", "% is no unit used here"),
    ("38 \u0131n", "(latin small letter dotless i) cannot be read"),
    ("1,200 mm", "can be read in two ways"),
    ("38 1/3", "cannot be kept exactly"),
    ("38⅔", "cannot be kept exactly"),
    ("38 1/128", "cannot be kept exactly"),
    ("38.33333333", "cannot be kept exactly"),
    ("½0", "½0 cannot be read"),
    ("38½½", "38½½ cannot be read"),
    ("1/½", "1/½ cannot be read"),
    ("1/2/3", "1/2/3 cannot be read"),
    ("38 40", "38 40 cannot be read"),
    ("1.2.3", "1.2.3 cannot be read"),
    ("1,200.5 mm", "1,200.5 mm cannot be read"),
    ("--1/4", "--1/4 cannot be read"),
    ("thirty-eight", "thirty-eight cannot be read"),
    ("<script>38</script>", "<script>38</script> cannot be read"),
    ("'; DROP TABLE x; --", "Write feet as inches"),
]


def test_texts_tried_are_sixty_each_way():
    assert len({text for text, _ in ACCEPTED}) >= 60
    assert len({text for text, _ in REFUSED}) >= 60


@pytest.mark.parametrize(("text", "nm"), ACCEPTED)
def test_parse_reads_what_a_tailor_writes(text, nm):
    assert parse(text) == Length(nm)


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_parse_refuses_with_a_helpful_sentence(text, message):
    with pytest.raises(LengthError) as refusal:
        parse(text)

    assert message in str(refusal.value)
    assert str(refusal.value).endswith(".")


@pytest.mark.parametrize(("text", "nm"), ACCEPTED)
def test_parse_of_written_unit_ignores_default(text, nm):
    if text.strip()[-1] in '0123456789½⅜¾⅕"':  # no unit, or the mark of inches
        text = text.strip().strip('"') + " in"

    assert parse(text, "cm") == parse(text, "mm") == Length(nm)


def test_parse_without_unit_takes_the_default():
    assert parse("97.8", "cm").nm == CM_97_8
    assert parse("978", "mm").nm == CM_97_8


def test_parse_with_unknown_default_is_our_mistake():
    with pytest.raises(ValueError, match="no such unit: 'yd'"):
        parse("38", "yd")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("+3/8", "+3/8"),
        ("-1/4", "-1/4"),
        ("\u22121/4", "-1/4"),
        ("\u20131/4", "-1/4"),
        ("- ¼", "-1/4"),
        ("-¼", "-1/4"),
        ("-1-1/8", "-1 1/8"),
        ("-1.125", "-1 1/8"),
        ("3/8", "+3/8"),
        ("-0", "0"),
        ("-0 1/2", "-1/2"),
        ("-12,7 mm", "-1/2"),
    ],
)
def test_parse_signed_reads_what_alterations_need(text, shown):
    assert parse(text, signed=True).to("in", EIGHTH, signed=True) == shown


@pytest.mark.parametrize("piece", ["1", " ", "½", "38 ", "\x00"])
def test_parse_refuses_a_megabyte_at_once(piece):
    text = piece * 1_000_000
    start = time.process_time()

    with pytest.raises(LengthError, match="too long for one measure"):
        parse(text)

    assert time.process_time() - start < 0.05


def _read_or_refusal(text, unit, signed):
    try:
        return parse(text, unit, signed=signed)
    except LengthError as refusal:
        return str(refusal)


@given(st.text(max_size=60), st.sampled_from(sorted(NM)), st.booleans())
def test_parse_of_any_text_reads_or_refuses(text, unit, signed):
    result = _read_or_refusal(text, unit, signed)

    is_sentence = isinstance(result, str) and result.endswith(".")
    assert is_sentence or abs(result) <= Length.inches(120)


def test_every_64th_to_120_inches_round_trips():
    for count in range(120 * 64 + 1):
        length = Length(count * 396_875)
        texts = (length.text("in"), length.to("in", Fraction(1, 64)), str(length))
        assert {parse(text) for text in texts} == {length}
        assert parse(f"{length.mm} mm" if length.mm <= 3000 else str(length)) == length


def test_every_tenth_of_millimetre_round_trips():
    for tenths in range(30_001):
        length = Length(tenths * 100_000)
        written = f"{tenths // 10}.{tenths % 10}"
        assert parse(written, "mm") == length == parse(str(length))
        assert parse(length.to("mm", 0.1), "mm") == length
        assert length.mm == Decimal(written)


@given(st.integers(-3_000_000_000, 3_000_000_000))
def test_any_nanometres_read_back_from_str(nm):
    assert parse(str(Length(nm)), signed=True) == Length(nm)


@given(st.integers(0, 120 * 64), st.integers(0, 30_000))
def test_lengths_agree_with_pint(count, tenths):
    inches = PINT.Quantity(Fraction(count, 64), "inch")
    metric = PINT.Quantity(Fraction(tenths, 100), "centimeter")

    assert parse(f"{count // 64} {count % 64}/64").nm == inches.to("nanometer").magnitude
    assert parse(f"{tenths / 100:.2f} cm").nm == metric.to("nanometer").magnitude
    assert Length(count * 396_875).mm == Decimal(str(float(inches.to("millimeter").magnitude)))
