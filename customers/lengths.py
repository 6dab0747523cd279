"""Exact lengths, read and written the way a tailor does.

A length is a whole number of nanometres. One inch is 25.4 mm exactly (international yard and
pound agreement, 1959), so 1/64 in (396 875 nm) and 0.1 mm (100 000 nm) are both whole, and sums
in SQL, where SQLite would keep a decimal as a float, stay exact.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final, Self

NM: Final = {"in": 25_400_000, "cm": 10_000_000, "mm": 1_000_000}
# Three metres, to the next ten inches where inches are written.
LONGEST: Final = {"in": 120, "cm": 300, "mm": 3000}
LONGEST_TEXT: Final = 40
LONGEST_POINT: Final = 12  # decimal places
UNIT_NAMES: Final = {
    "in": (
        "in",
        "ins",
        "inch",
        "inches",
        '"',
        "''",
        "\N{DOUBLE PRIME}",
        "\N{RIGHT DOUBLE QUOTATION MARK}",
    ),
    "cm": ("cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"),
    "mm": ("mm", "mms", "millimetre", "millimetres", "millimeter", "millimeters"),
}
_UNIT_OF: Final = {name: unit for unit, names in UNIT_NAMES.items() for name in names}
_VULGAR: Final = {c: unicodedata.normalize("NFKC", c) for c in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
# What tablets and word processors put in place of the plain key.
_PLAIN: Final = str.maketrans(
    {
        "\N{FRACTION SLASH}": "/",
        "\N{DIVISION SLASH}": "/",
        "\N{HYPHEN}": "-",
        "\N{NON-BREAKING HYPHEN}": "-",
        "\N{EN DASH}": "-",
    }
)
_READABLE: Final = re.compile(r"[ -~\N{DOUBLE PRIME}\N{RIGHT DOUBLE QUOTATION MARK}]")
_SHAPE: Final = re.compile(
    r"(?P<sign>[+-]?) ?"
    r"(?:(?P<point>[0-9]*[.,][0-9]+)"
    r"|(?P<whole>[0-9]+)(?:[ -](?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+))?"
    r"|(?P<part>[0-9]+) ?/ ?(?P<parts>[0-9]+))"
    r" ?(?P<unit>[^0-9]*)"
)
_THOUSANDS: Final = re.compile(r"[1-3],[0-9]{3}")
_LIKE: Final = "write it like 38 1/2, 38.5 or 97.8 cm."
_OVER_ZERO: Final = "A fraction cannot be over 0: write 1/2, 3/8 and so on."
_JOINED: Final = "if the first figures are whole inches, leave a space after them, as in 38 1/2"
# Why a text has no shape of a length, the first that fits.
_REASONS: Final = (
    (
        re.compile(r"'|\bft\b|\bfeet\b|\bfoot\b|[0-9]ft\b"),
        "Write feet as inches: 5 ft 10 in is 70 in.",
    ),
    (
        re.compile(r"[.,][0-9]+[ -][0-9]+ ?/"),
        "Write either a decimal or a fraction, not both: 38.5 or 38 1/2.",
    ),
    (
        re.compile(r"[0-9][.,](?![0-9])"),
        "There is nothing after the point: write 38 or 38.5.",
    ),
    (
        re.compile(r"[0-9] - ?[0-9]|[0-9] ?- [0-9]|[0-9] -[0-9]"),
        "Leave out the dash, so that it is not taken for a minus: 38 1/2.",
    ),
    (
        re.compile(r"/ ?-?0+(?![0-9])"),
        _OVER_ZERO,
    ),
)

Number = int | float | Decimal | Fraction


class LengthError(ValueError):
    """A text or number that is no length; the message is a sentence for the person who typed it."""


@dataclass(frozen=True, order=True, slots=True)
class Length:
    """A whole number of nanometres; negative for what an alteration takes away."""

    nm: int = 0

    def __post_init__(self) -> None:
        if not isinstance(self.nm, int):
            raise TypeError(f"a Length is a whole number of nanometres, not {self.nm!r}")

    @classmethod
    def of(cls, value: Number, unit: str) -> Self:
        """`value` in `unit`, taken as it prints (0.1 is a tenth). LengthError if no whole nm."""
        try:
            exact = Fraction(str(value)) * NM[unit]
        except ValueError as error:
            raise LengthError(f"{value} is not a finite number.") from error
        if exact.denominator != 1:
            raise LengthError(f"{value} {unit} cannot be kept exactly: go to the nearest 1/64 in.")
        return cls(exact.numerator)

    @classmethod
    def inches(cls, value: Number) -> Self:
        return cls.of(value, "in")

    @classmethod
    def of_cm(cls, value: Number) -> Self:
        return cls.of(value, "cm")

    @classmethod
    def of_mm(cls, value: Number) -> Self:
        return cls.of(value, "mm")

    @property
    def mm(self) -> Decimal:
        """Millimetres, exact under any decimal context."""
        return Decimal(_point_text(self._in_unit("mm")))

    def __add__(self, other: Self) -> Self:
        return type(self)(self.nm + other.nm) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: Self) -> Self:
        return type(self)(self.nm - other.nm) if isinstance(other, Length) else NotImplemented

    def __mul__(self, times: int) -> Self:
        return type(self)(self.nm * times) if isinstance(times, int) else NotImplemented

    __rmul__ = __mul__

    def __neg__(self) -> Self:
        return type(self)(-self.nm)

    def __abs__(self) -> Self:
        return type(self)(abs(self.nm))

    def __bool__(self) -> bool:
        return self.nm != 0

    def __str__(self) -> str:
        """`38 1/2` for a whole number of 64ths of an inch, else `97.8 cm`; parse reads it back."""
        if self._is_64ths():
            return _fraction_text(self._in_unit("in"))
        return f"{_point_text(self._in_unit('cm'))} cm"

    def to(self, unit: str, step: Number, *, signed: bool = False) -> str:
        """The length in `unit` to the nearest `step`, without the unit: `38 1/2`, `97.8`, `+3/8`.

        Inches in halves, quarters ... are written as fractions, all else as decimals.
        """
        exact = _nearest(self._in_unit(unit), step)
        by_halves = unit == "in" and _is_power_of_two(Fraction(str(step)).denominator)
        text = _fraction_text(exact) if by_halves else _point_text(exact)
        return f"+{text}" if signed and exact > 0 else text

    def text(self, unit: str, step: Number | None = None, *, signed: bool = False) -> str:
        """The length with its unit: `38 1/2 in`, `97.8 cm`, `978 mm`, signed `+3/8 in`.

        Without a step: inches as they were written if in 64ths, else to 1/8; metric to 1 mm.
        """
        return _text(self, unit, step, signed=signed)

    def rounded(self, unit: str, step: Number) -> Self:
        """The nearest multiple of `step` in `unit`, halves away from zero."""
        return type(self).of(_nearest(self._in_unit(unit), step), unit)

    def _in_unit(self, unit: str) -> Fraction:
        return Fraction(self.nm, NM[unit])

    def _is_64ths(self) -> bool:
        return (self._in_unit("in") * 64).denominator == 1


# A page of measures writes the same few hundred lengths again and again.
@lru_cache(maxsize=8192)
def _text(length: Length, unit: str, step: Number | None, *, signed: bool) -> str:
    if step is None:
        inch_step = Fraction(1, 64 if length._is_64ths() else 8)  # noqa: SLF001 - of this module
        step = {"in": inch_step, "cm": Fraction(1, 10), "mm": Fraction(1)}[unit]
    return f"{length.to(unit, step, signed=signed)} {unit}"


def parse(text: str, unit: str = "in", *, signed: bool = False) -> Length:
    """Read `38 1/2`, `38½`, `38-1/2`, `38.5"`, `97,8 cm`, `978mm`; without a unit it is `unit`.

    `signed` allows a length below zero. Raises LengthError with a sentence for the person typing.
    """
    if unit not in NM:
        raise ValueError(f"no such unit: {unit!r}")
    plain, typed = _plain(text), text.strip()
    shape = _SHAPE.fullmatch(plain)
    if shape is None:
        raise LengthError(_known_reason(plain) or f"{typed} cannot be read: {_LIKE}")
    written = _unit(shape["unit"], plain) or unit
    value = _value(shape, written)
    if value > LONGEST[written]:
        raise LengthError(
            f"{typed} is longer than any measure of a person:"
            f" at most {LONGEST[written]} {written} can be kept."
        )
    if shape["sign"] == "-" and value and not signed:
        raise LengthError("A measure cannot be less than nothing: leave out the minus sign.")
    return _exact(-value if shape["sign"] == "-" else value, written, typed)


def _plain(text: str) -> str:
    """The text with plain spaces, slashes and dashes, and `½` as ` 1/2 `."""
    # The bound comes first: nothing below ever sees a megabyte.
    if len(text) > LONGEST_TEXT:
        raise LengthError("That is too long for one measure: write it like 38 1/2 or 97.8 cm.")
    text = "".join(" " if unicodedata.category(c) == "Zs" or c == "\t" else c for c in text.strip())
    if not text:
        raise LengthError("Write the measure, for example 38 1/2 or 97.8 cm.")
    # A true minus sign may only stand in front; between figures it would mean taking away.
    text = re.sub(r"^\N{MINUS SIGN}", "-", text).translate(_PLAIN)
    text = re.sub(rf"(-?) *([{''.join(_VULGAR)}])", _spell_out, text)
    for character in text:
        if not _READABLE.match(character):
            raise LengthError(_unreadable(character))
    return re.sub(" +", " ", text).strip()


def _spell_out(match: re.Match[str]) -> str:
    # The space behind keeps a digit that follows, as in "½0", out of the fraction.
    return f"{match[1] or ' '}{_VULGAR[match[2]].translate(_PLAIN)} "


def _unreadable(character: str) -> str:
    name = unicodedata.name(character, "a hidden character").lower()
    shown = f"{character} ({name})" if character.isprintable() else name.capitalize()
    if character.isnumeric():
        return f"{shown} cannot be read: use the figures 0 to 9."
    return f"{shown} cannot be read: {_LIKE}"


def _known_reason(plain: str) -> str | None:
    words = re.findall(r"[a-z]+|[\"\N{DOUBLE PRIME}\N{RIGHT DOUBLE QUOTATION MARK}]", plain.lower())
    if len([word for word in words if word in _UNIT_OF]) > 1:
        return f"{plain} has two units: write one measure in one unit."
    reasons = (sentence for pattern, sentence in _REASONS if pattern.search(plain.lower()))
    return next(reasons, None)


def _unit(written: str, plain: str) -> str | None:
    """The unit that was written, None if none was. LengthError for any other word."""
    name = written.strip().lower().removesuffix(".")
    if not written.strip():
        return None
    if name not in _UNIT_OF:
        raise LengthError(
            _known_reason(plain) or f"{written.strip()} is no unit used here: write in, cm or mm."
        )
    return _UNIT_OF[name]


def _value(shape: re.Match[str], unit: str) -> Fraction:
    if shape["point"]:
        if unit == "mm" and _THOUSANDS.fullmatch(shape["point"]):
            raise LengthError(
                f"{shape['point']} mm can be read in two ways:"
                " leave out the comma, or use a point for the decimal."
            )
        return Fraction(shape["point"].replace(",", "."))
    if shape["part"]:
        return _part(shape["part"], shape["parts"], _JOINED)
    whole = int(shape["whole"])
    if not shape["over"]:
        return Fraction(whole)
    return whole + _part(
        shape["over"], shape["under"], "count the whole ones with the first figures"
    )


def _part(over: str, under: str, advice: str) -> Fraction:
    if int(under) == 0:
        raise LengthError(_OVER_ZERO)
    if int(over) >= int(under):
        raise LengthError(f"{over}/{under} is not less than one: {advice}.")
    return Fraction(int(over), int(under))


def _exact(value: Fraction, unit: str, typed: str) -> Length:
    nm = value * NM[unit]
    if nm.denominator != 1:
        raise LengthError(
            f"{typed} cannot be kept exactly: write the nearest eighth, sixteenth ... down to"
            " 1/64 in, or the nearest tenth of a millimetre."
        )
    return Length(nm.numerator)


def _nearest(value: Fraction, step: Number) -> Fraction:
    exact_step = Fraction(str(step))
    if exact_step <= 0:
        raise ValueError(f"a step is above zero, not {step}")
    steps = int(abs(value) / exact_step + Fraction(1, 2))
    return (steps if value >= 0 else -steps) * exact_step


def _is_power_of_two(number: int) -> bool:
    return number & (number - 1) == 0


def _fraction_text(value: Fraction) -> str:
    sign = "-" if value < 0 else ""
    whole, part = divmod(abs(value), 1)
    words = [str(whole)] if whole or not part else []
    return sign + " ".join([*words, str(part)] if part else words)


def _point_text(value: Fraction) -> str:
    """The exact decimal, no zero left at its end: on a ticket 1.0 is too soon read as 10."""
    places = 0
    while (value * 10**places).denominator != 1:
        places += 1
        if places > LONGEST_POINT:
            raise ValueError(f"{value} has no short decimal")
    digits = str(abs(value.numerator) * 10**places // value.denominator).rjust(places + 1, "0")
    sign = "-" if value < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else sign + digits
