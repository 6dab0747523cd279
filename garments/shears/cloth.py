"""How much cloth a garment takes: an arithmetic of the lay. Pure.

The pieces of a garment are laid in rows across the usable width of the cloth. A row takes the
longest piece in it with its turnings; what does not fit beside goes into a further row. On cloth
with a repeat each row begins where the pattern does, and one repeat more is taken to match by.
The figures below (how wide the pieces lie together, how much turning they need) are common
practice, no source; for an ordinary coat on double width they come to 1.7 m, for trousers to 1.3 m.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from customers.lengths import Length

Place = tuple[str, str]
Finished = Mapping[Place, Length]

SELVEDGES: Final = Length.inches(1)  # both together; they are not cut into
DOUBLE_WIDTH: Final = Length.of_cm(150)
NARROWEST: Final = Length.of_cm(60)
WIDEST: Final = Length.of_cm(200)
LONGEST_PIECE: Final = Length.of_cm(3000)
LARGEST_REPEAT: Final = Length.inches(24)
TOO_LONG: Final = "A length of cloth is more than nothing, and at most 30 m."


class ClothError(ValueError):
    """A length of cloth that cannot be read; the message is a sentence for who typed it."""


@dataclass(frozen=True, slots=True)
class Row:
    """Pieces that lie side by side: the girth they come from, what they need beside and along.

    ``per`` divides the girth: a waistcoat has its fronts alone of this cloth.
    """

    name: str
    girth: Place | None
    beside: Length
    along: tuple[Place, ...]
    turnings: Length
    per: int = 1


_SLEEVES: Final = Row(
    "sleeves, facings and collar",
    None,
    Length.inches(48),
    (("sleeve", "L"), ("sleeve", "R")),
    Length.inches(5),
)
_COAT: Final = (
    Row(
        "backs and foreparts",
        ("chest", ""),
        Length.inches(10),
        (("back-length", ""),),
        Length.inches(5),
    ),
    _SLEEVES,
)
ROWS: Final[Mapping[str, tuple[Row, ...]]] = MappingProxyType(
    {
        "coat": _COAT,
        "overcoat": (
            Row(
                "backs and foreparts",
                ("chest", ""),
                Length.inches(12),
                (("back-length", ""),),
                Length.inches(7),
            ),
            _SLEEVES,
        ),
        "waistcoat": (
            Row(
                "fronts",
                ("chest", ""),
                Length.inches(6),
                (("back-length", ""),),
                Length.inches(9),
                per=2,
            ),
        ),
        "trousers": (
            Row(
                "backs and fronts",
                ("seat", ""),
                Length.inches(11),
                (("side-length", "L"), ("side-length", "R")),
                Length.inches(6),
            ),
        ),
    }
)


@dataclass(frozen=True, slots=True)
class Need:
    """The cloth a garment takes, by what sum, or the finished measures that sum lacks."""

    length: Length | None
    words: str
    lacks: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """What is known of the cloth a garment is cut from; None where nobody said."""

    length: Length | None = None
    width: Length | None = None
    repeat: Length | None = None

    @classmethod
    def of(cls, values: Mapping[str, Any]) -> "Piece":
        """From ``cloth_length``, ``cloth_width`` and ``cloth_repeat``; a key may be missing."""
        return cls(*(values.get(f"cloth_{name}") for name in ("length", "width", "repeat")))

    def values(self) -> dict[str, Length | None]:
        return {
            "cloth_length": self.length,
            "cloth_width": self.width,
            "cloth_repeat": self.repeat,
        }

    def refusals(self) -> dict[str, str]:
        """What no cloth can be, by field, in sentences."""
        wrong = {}
        if self.length is not None and not Length(0) < self.length <= LONGEST_PIECE:
            wrong["cloth_length"] = TOO_LONG
        if self.width is not None and not NARROWEST <= self.width <= WIDEST:
            wrong["cloth_width"] = f"Cloth is from {_both(NARROWEST)} to {_both(WIDEST)} wide."
        if self.repeat is not None and not Length(0) < self.repeat <= LARGEST_REPEAT:
            wrong["cloth_repeat"] = (
                f"A repeat is more than nothing, and at most {_both(LARGEST_REPEAT)}."
            )
        return wrong

    def told(self, unit: str) -> list[str]:
        """``piece of 3.5 m``, ``150 cm wide``, ``repeat 4 cm``: what is known."""
        known = (
            (self.length, "piece of {}", told_length),
            (self.width, "{} wide", Length.text),
            (self.repeat, "repeat {}", Length.text),
        )
        return [words.format(tell(each, unit)) for each, words, tell in known if each is not None]


NO_PIECE: Final = Piece()


def _both(length: Length) -> str:
    return f"{length.text('cm', 1)} ({length.text('in', 1)})"


def needed(
    kind: str, finished: Finished, *, width: Length | None = None, repeat: Length | None = None
) -> Need:
    """How long a piece of ``width`` (150 cm where it is not said) a garment is cut from.

    ``finished`` holds the finished measures aimed at, ``repeat`` the length of the cloth's pattern
    from one place to the next like it. ClothError: a width or repeat no cloth has.
    """
    for refusal in Piece(width=width, repeat=repeat).refusals().values():
        raise ClothError(refusal)
    width, repeat = width or DOUBLE_WIDTH, repeat or Length(0)
    rows = ROWS[kind]
    lacks = tuple(place for row in rows for place in _places(row) if place not in finished)
    if lacks:
        return Need(None, "", lacks)
    total, said = Length(0), []
    for row in rows:
        count = _rows_of(row, finished, width)
        one = max(finished[place] for place in row.along) + row.turnings
        along = _to_repeat(one, repeat)
        total += along * count
        said.append(row.name if count == 1 else f"{row.name} in {count} rows")
    if repeat:
        total += repeat
        said.append("one repeat to match by")
    return Need(total, ", ".join(said))


def _places(row: Row) -> tuple[Place, ...]:
    return (*([row.girth] if row.girth else []), *row.along)


def _rows_of(row: Row, finished: Finished, width: Length) -> int:
    girth = Length(-(-finished[row.girth].nm // row.per)) if row.girth else Length(0)
    return -(-(girth + row.beside).nm // (width - SELVEDGES).nm)


def _to_repeat(length: Length, repeat: Length) -> Length:
    return repeat * -(-length.nm // repeat.nm) if repeat else length


_NUMBER: Final = r"(\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?)"
_UNITS: Final = {
    "m": Length.of_cm(100),
    "cm": Length.of_cm(1),
    "yd": Length.inches(36),
    "in": Length.inches(1),
}
_TEXT: Final = re.compile(
    rf"^{_NUMBER}\s*(m|cm|yd|yds|yards?|in)?(?:\s+{_NUMBER}\s*in)?$", re.ASCII
)


def read_length(text: str, unit: str = "cm") -> Length:
    """A length of cloth as said: ``3.5``, ``3,5 m``, ``350 cm``, ``3 1/2 yd``, ``3 yd 30 in``.

    Without a unit it is metres in a house that measures in cm, else yards. ClothError for what
    cannot be read, for nothing, and for more than 30 m.
    """
    found = _TEXT.match(" ".join(text.lower().split()))
    if found is None:
        raise ClothError("Write the length as 3.5 m or 3 yd 30 in.")
    number, named, inches = found.groups()
    key = "yd" if (named or "").startswith("y") else named or ("yd" if unit == "in" else "m")
    if inches and key != "yd":
        raise ClothError("Write inches only after yards: 3 yd 30 in.")
    try:
        nm = _fraction(number) * _UNITS[key].nm + _fraction(inches or "0") * _UNITS["in"].nm
    except ZeroDivisionError:
        raise ClothError("Write the length as 3.5 m or 3 yd 30 in.") from None
    length = Length(round(nm))
    if not Length(0) < length <= LONGEST_PIECE:
        raise ClothError(TOO_LONG)
    return length


def _fraction(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.replace(",", ".").split()), Fraction(0))


def told_length(length: Length, unit: str) -> str:
    """``1.75 m``, or in a house of inches ``1 yd 33 in``: what is needed is rounded up."""
    if unit != "in":
        cm = -(-length.nm // _UNITS["cm"].nm)
        return f"{cm / 100:.2f} m"
    inches = -(-length.nm // _UNITS["in"].nm)
    yards, rest = divmod(inches, 36)
    said = [f"{yards} yd"] if yards else []
    return " ".join([*said, f"{rest} in"] if rest or not said else said)


def written_length(length: Length, unit: str) -> str:
    """The length as it would be typed: ``3.5 m``, ``3 yd 1/2 in``; `read_length` reads it back."""
    for key in ("yd", "m") if unit == "in" else ("m", "yd"):
        if key == "m" and length.nm % _TENTH_MM == 0:
            whole, rest = divmod(length.nm // _TENTH_MM, 10_000)
            return f"{whole}.{rest:04}".rstrip("0").rstrip(".") + " m"
        if key == "yd" and 64 * length.nm % _UNITS["in"].nm == 0:
            yards, inches = divmod(Fraction(length.nm, _UNITS["in"].nm), 36)
            return f"{yards} yd {_mixed(inches)} in" if inches else f"{yards} yd"
    return f"{length.nm / _UNITS['m'].nm:.4f} m"


_TENTH_MM: Final = Length.of_mm(1).nm // 10


def _mixed(number: Fraction) -> str:
    whole, part = divmod(number, 1)
    return " ".join([str(whole)] * bool(whole or not part) + [str(part)] * bool(part))
