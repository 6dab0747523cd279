"""What a column of a list means: our column names, other words for them, and how a heading is read.

A heading may carry a side and a unit: ``chest (cm)``, ``Wrist L``, ``left wrist in``. The other
words are common practice in houses' own lists, no source; for a point of measure its ISO 8559
name counts as well. What is guessed is shown, and may be changed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from customers.points import BY_KEY, POINTS, Point
from customers.searching import fold
from fittings.lists import words

PERSON, SET, MEASURES, ORDER = "The customer", "The measures", "Points of measure", "An open order"
MEASURE: Final = "measure"
SIDE_NAMES: Final = {"": "", "L": ", left", "R": ", right", "both": ", the same on both sides"}


@dataclass(frozen=True, slots=True)
class Meaning:
    """A column of ours. ``other`` are folded words that mean it as well."""

    key: str
    name: str
    group: str
    other: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the file: its heading, what it means (nothing: left out), its unit if written."""

    heading: str
    means: str = ""
    unit: str = ""


_FIELDS: Final = (
    Meaning("number", "our number", PERSON, ("customer number", "ledger number")),
    Meaning(
        "reference",
        "your reference",
        PERSON,
        (
            "reference",
            "ref",
            "old number",
            "customer no",
            "customer id",
            "card",
            "card number",
            "id",
        ),
    ),
    Meaning("title", "title", PERSON, ("salutation",)),
    Meaning("given_name", "given name", PERSON, ("first name", "forename", "given", "firstname")),
    Meaning("family_name", "family name", PERSON, ("surname", "last name", "family", "lastname")),
    Meaning(
        "name", "whole name", PERSON, ("name", "customer", "customer name", "client", "full name")
    ),
    Meaning("phone", "telephone", PERSON, ("phone", "tel", "mobile", "phone number")),
    Meaning("email", "e-mail", PERSON, ("email", "e mail", "mail", "email address")),
    Meaning("reads_in", "measures read in", PERSON, ("customer unit",)),
    Meaning("notes", "notes", PERSON, ("note", "remarks", "customer notes")),
    Meaning(
        "taken_on",
        "measured on",
        SET,
        (
            "date measured",
            "measure date",
            "date of measures",
            "measured",
            "measurement date",
            "taken on",
            "date taken",
        ),
    ),
    Meaning("taken_by", "measured by", SET, ("measurer", "taken by")),
    Meaning("unit", "measures in", SET, ("unit", "units", "unit of measures")),
    Meaning("set_note", "notes on the measures", SET, ("measure notes", "measures note")),
    Meaning("kind", "garment", ORDER, ("garment type", "garment kind", "article", "item")),
    Meaning("cut", "cut", ORDER, ("cut name", "house cut")),
    Meaning("cloth", "cloth", ORDER, ("fabric", "material")),
    Meaning("cloth_pattern", "cloth pattern", ORDER, ("pattern of the cloth", "cloth design")),
    Meaning("cutter", "cutter", ORDER, ("cut by",)),
    Meaning("ordered_on", "ordered on", ORDER, ("ordered", "order date", "date ordered")),
    Meaning(
        "promised_on",
        "promised on",
        ORDER,
        ("promised", "promise", "due", "due date", "due on", "delivery date", "promise date"),
    ),
    Meaning("stage", "stage", ORDER, ("status", "order status")),
    Meaning("order_notes", "notes on the order", ORDER, ("order notes", "order note")),
)
_OTHER_POINTS: Final = {
    "chest": ("breast",),
    "seat": ("hip", "hips"),
    "nape-to-waist": ("back length to waist", "waist length"),
    "nape-to-full-length": ("full length", "coat length"),
    "half-back": ("half across back",),
    "leg-length": ("inside leg", "inleg", "inside seam"),
    "side-length": ("outside leg", "outleg", "outside seam"),
    "sleeve-to-cuff": ("sleeve", "sleeve length"),
    "sitting-rise": ("rise",),
    "neck": ("collar", "neck size"),
}


def measure_meaning(point: str, side: str) -> str:
    return f"{MEASURE}:{point}:{side}"


def sides_of(point: Point) -> tuple[str, ...]:
    """What a list may say of a point: its sides, and one figure meant for both."""
    return (*point.sides, "both") if point.sided else point.sides


MEANINGS: Final = {
    meaning.key: meaning
    for meaning in (
        *_FIELDS,
        *(
            Meaning(measure_meaning(point.key, side), point.name + SIDE_NAMES[side], MEASURES)
            for point in POINTS
            for side in sides_of(point)
        ),
    )
}
_BY_WORDS: Final = {
    word: field.key for field in _FIELDS for word in (*field.other, fold(field.name))
}
_POINT_BY_WORDS: Final = {
    word: point
    for point in POINTS
    for word in (
        fold(point.name),
        fold(point.key),
        *([fold(point.iso_name)] if point.iso_name else []),
        *_OTHER_POINTS.get(point.key, ()),
    )
}
_UNIT_OF: Final = {word: unit for unit, names in words.UNITS.items() for word in names}
_SIDE_OF: Final = {word: side for side, names in words.SIDES.items() for word in names}
_INCH_MARKS: Final = ('"', "''", "\N{DOUBLE PRIME}", "\N{RIGHT DOUBLE QUOTATION MARK}")


def read_heading(heading: str) -> Column:
    """What a heading most likely means; the whole of it counts before a unit or side is seen."""
    text = heading[:80].strip()
    if key := _BY_WORDS.get(fold(text)):
        return Column(heading, key)
    inch = text.rstrip(" )]").endswith(_INCH_MARKS)
    parts = fold(text).split()
    unit = "in" if inch else ""
    if len(parts) > 1 and parts[-1] in _UNIT_OF and " ".join(parts) not in _POINT_BY_WORDS:
        unit = unit or _UNIT_OF[parts.pop()]
    point, side = _point(parts)
    if point is None:
        return Column(heading)
    if point.sided:
        side = side or "both"
    elif side:
        return Column(heading)  # left and right of what has no sides: ask rather than guess
    return Column(heading, measure_meaning(point.key, side), unit)


def _point(parts: list[str]) -> tuple[Point | None, str]:
    if point := _POINT_BY_WORDS.get(" ".join(parts)):
        return point, ""
    for at in (0, -1):
        if len(parts) > 1 and parts[at] in _SIDE_OF:
            rest = parts[1:] if at == 0 else parts[:-1]
            if point := _POINT_BY_WORDS.get(" ".join(rest)):
                return point, _SIDE_OF[parts[at]]
    return None, ""


def best_columns(heading: Sequence[str]) -> tuple[Column, ...]:
    """What each heading most likely means; of two that mean the same, the first."""
    taken: set[str] = set()
    columns = []
    for text in heading:
        column = read_heading(text)
        if column.means in taken:
            column = Column(text)
        taken |= {column.means} - {""}
        columns.append(column)
    return tuple(columns)


def known_headings(heading: Sequence[str]) -> int:
    """How many cells of a heading mean something to us: what tells the delimiter."""
    return sum(1 for text in heading if read_heading(text).means)


def measure_of(means: str) -> tuple[Point, tuple[str, ...]] | None:
    """The point and the sides a meaning stands for, None when it is no measure."""
    if not means.startswith(f"{MEASURE}:"):
        return None
    _, key, side = means.split(":")
    point = BY_KEY[key]
    return point, (point.sides if side == "both" else (side,))
