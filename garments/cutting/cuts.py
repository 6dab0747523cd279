"""A cut as data: ease by point with its limits and tolerance, and the figures of the house's rules.

The data is a plain mapping of texts, as JSON or TOML keep it:

    {"points": {"chest": {"ease": "4 in", "least": "3 in", "most": "5 in",
                          "tolerance": "1/2 in", "source": "..."}},
     "rules": {"linen": {"value": "1/2 in", "source": "..."}}}

A point left out is not aimed at. What contradicts itself is refused with a sentence to each figure.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Final

from customers.lengths import Length, LengthError, parse
from garments.cutting.finished import DATA, POINTS, FinishedPoint, finished_point

FIGURES: Final = ("ease", "least", "most", "tolerance")
# Beyond these a figure is mistyped: the house's own limits, no source.
LEAST_EASE, MOST_EASE = Length.inches(-6), Length.inches(30)
NARROWEST, WIDEST = Length.inches(0.0625), Length.inches(2)
LONGEST_SOURCE: Final = 120

Data = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that a rule of the house goes by: what it is, and between what it must lie."""

    key: str
    name: str
    how: str
    least: Length
    most: Length


def _figure(key: str, name: str, how: str, least: int, most: int) -> Figure:
    return Figure(key, name, how, Length.inches(least), Length.inches(most))


_SITS: Final = _figure(
    "sits-buttoned", "Sits down buttoned", "The least ease at the waist that lets a man sit.", 0, 12
)
_COAT: Final = (
    _figure("linen", "Linen shown", "How much of the shirt cuff is seen below the sleeve.", -2, 2),
    _figure("drape-front", "Drape in front", "Fulness over the chest, both sides in all.", 0, 4),
    _figure("drape-back", "Drape behind", "Fulness behind the scyes, both sides in all.", 0, 4),
    _SITS,
    _figure("vents-hang", "Vents hang", "The least ease at the seat with the vents closed.", 0, 12),
    _figure("seat-cover", "Seat cover", "How far below the fork the coat ends at least.", -3, 24),
)
RULES: Final[Mapping[str, tuple[Figure, ...]]] = MappingProxyType(
    {
        "coat": _COAT,
        "overcoat": _COAT,
        "waistcoat": (_SITS,),
        "trousers": (
            _figure(
                "taper-knee", "Thigh to knee", "The knee is so much less than the thigh.", 0, 14
            ),
            _figure("taper-bottom", "Knee to bottom", "The bottom is so much less again.", -6, 10),
            _figure("calf-clear", "Clear of the calf", "Knee and bottom over the calf.", -3, 8),
        ),
    }
)
# The ease that a figure is the least of: a wish within the limits never breaks the rule.
FLOORS: Final = MappingProxyType({"waist": "sits-buttoned", "seat": "vents-hang"})


@dataclass(frozen=True, slots=True)
class Aim:
    """Ease at one point. A wish may move it from `least` to `most`; `tolerance` is either way."""

    ease: Length
    least: Length
    most: Length
    tolerance: Length
    source: str


@dataclass(frozen=True, slots=True)
class Rule:
    """The house's figure for one of its rules, and whence it is."""

    value: Length
    source: str


@dataclass(frozen=True, slots=True)
class Cut:
    """One version of a cut for one kind of garment, read and found without contradiction."""

    kind: str
    points: Mapping[str, Aim]
    rules: Mapping[str, Rule]

    def rule(self, key: str) -> Length:
        """The figure of a rule; nothing where the cut leaves it out."""
        return self.rules[key].value if key in self.rules else Length(0)


class CutError(ValueError):
    """A cut's data is contradictory or unreadable. `found` has sentences by `point-figure`."""

    def __init__(self, found: Mapping[str, list[str]]) -> None:
        super().__init__(" ".join(said for sentences in found.values() for said in sentences))
        self.found = found


def read_cut(kind: str, data: Data) -> Cut:
    """Read a version's data. CutError names every figure that is wrong, all at once."""
    found: dict[str, list[str]] = {}
    points, rules = _table(data, "points"), _table(data, "rules")
    _refuse_unknown(points, {point.key for point in POINTS[kind]}, found)
    _refuse_unknown(rules, {figure.key for figure in RULES[kind]}, found)
    cut = Cut(
        kind=kind,
        points={
            point.key: aim
            for point in POINTS[kind]
            if (aim := _read_aim(point, points.get(point.key), found))
        },
        rules={
            figure.key: rule
            for figure in RULES[kind]
            if (rule := _read_rule(figure, rules.get(figure.key), found))
        },
    )
    for key, sentence in _contradictions(cut):
        found.setdefault(key, []).append(sentence)
    if found:
        raise CutError(found)
    return cut


def data_of(cut: Cut) -> dict[str, Any]:
    """The cut as plain data again: ``read_cut`` reads it back the same."""
    return {
        "points": {
            key: {name: exact(getattr(aim, name)) for name in FIGURES} | {"source": aim.source}
            for key, aim in cut.points.items()
        },
        "rules": {
            key: {"value": exact(rule.value), "source": rule.source}
            for key, rule in cut.rules.items()
        },
    }


@cache
def house_cuts() -> Mapping[str, Mapping[str, Cut]]:
    """The cuts that come with the program, by name and kind of garment."""
    files = sorted((DATA / "cuts").glob("*.toml"))
    return MappingProxyType(
        {file.stem: _house_cut(file.read_text(encoding="utf-8")) for file in files}
    )


def house_cut(name: str, kind: str) -> Cut:
    """KeyError for a cut that does not come with the program, or not for that kind."""
    return house_cuts()[name][kind]


def _house_cut(text: str) -> Mapping[str, Cut]:
    return MappingProxyType(
        {kind: read_cut(kind, rows) for kind, rows in tomllib.loads(text).items()}
    )


def exact(length: Length) -> str:
    """A length as a figure keeps it: nothing is rounded, and the unit is always written."""
    text = str(length)
    return text if text.endswith("cm") else f"{text} in"


def _table(data: Data, name: str) -> Mapping[str, Any]:
    rows = data.get(name, {}) if isinstance(data, Mapping) else None
    if not isinstance(rows, Mapping):
        raise CutError({name: ["The figures of this cut cannot be read."]})
    return rows


def _refuse_unknown(rows: Mapping[str, Any], known: set[str], found: dict[str, list[str]]) -> None:
    for key in rows.keys() - known:
        found[key] = [f"“{key}” is no figure of this garment."]


def _read_aim(point: FinishedPoint, row: Any, found: dict[str, list[str]]) -> Aim | None:
    if row is None:
        return None
    lengths = {name: _length(f"{point.key}-{name}", row, name, found) for name in FIGURES}
    read = {name: length for name, length in lengths.items() if length is not None}
    if len(read) < len(FIGURES):
        return None
    return Aim(**read, source=_source(point.key, row, found))


def _read_rule(figure: Figure, row: Any, found: dict[str, list[str]]) -> Rule | None:
    if row is None:
        return None
    value = _length(f"{figure.key}-value", row, "value", found)
    return None if value is None else Rule(value, _source(figure.key, row, found))


def _length(key: str, row: Any, name: str, found: dict[str, list[str]]) -> Length | None:
    text = row.get(name, "") if isinstance(row, Mapping) else ""
    try:
        return parse(str(text), signed=True)
    except LengthError as error:
        found.setdefault(key, []).append(str(error))
        return None


def _source(key: str, row: Mapping[str, Any], found: dict[str, list[str]]) -> str:
    source = str(row.get("source", "")).strip()
    if not source or len(source) > LONGEST_SOURCE:
        found.setdefault(f"{key}-source", []).append(
            f"Say where the figure is from, in at most {LONGEST_SOURCE} letters: "
            "“common practice, no source” will do."
        )
    return source


def _contradictions(cut: Cut) -> Iterator[tuple[str, str]]:
    for key, aim in cut.points.items():
        name = finished_point(cut.kind, key).name.lower()
        yield from ((f"{key}-{figure}", said) for figure, said in _of_aim(cut, key, aim, name))
    for figure in RULES[cut.kind]:
        rule = cut.rules.get(figure.key)
        if rule and not figure.least <= rule.value <= figure.most:
            yield (
                f"{figure.key}-value",
                f"{figure.name}: from {exact(figure.least)} to {exact(figure.most)}.",
            )
    yield from _missing_rules(cut)


def _of_aim(cut: Cut, key: str, aim: Aim, name: str) -> Iterator[tuple[str, str]]:
    if not LEAST_EASE <= aim.ease <= MOST_EASE:
        yield "ease", f"An ease from {exact(LEAST_EASE)} to {exact(MOST_EASE)} can be kept."
    if aim.least > aim.ease:
        yield "least", f"The least ease at the {name} is more than its ease, {exact(aim.ease)}."
    if aim.most < aim.ease:
        yield "most", f"The most ease at the {name} is less than its ease, {exact(aim.ease)}."
    if not NARROWEST <= aim.tolerance <= WIDEST:
        yield "tolerance", f"Give or take from {exact(NARROWEST)} to {exact(WIDEST)}."
    floor = FLOORS.get(key, "")
    if floor in cut.rules and aim.least < cut.rule(floor):
        rule = next(figure for figure in RULES[cut.kind] if figure.key == floor)
        asks = f"“{rule.name.lower()}” asks: {exact(cut.rule(floor))}"
        yield "least", f"The least ease at the {name} is less than {asks}."


# Trousers need no ease to sit buttoned in: their waist goes by its own ease.
_NEEDS: Final = MappingProxyType(
    {
        "sleeve": ("linen",),
        "chest": ("drape-front", "drape-back"),
        "back-width": ("drape-back",),
        "waist": ("sits-buttoned",),
        "seat": ("vents-hang",),
        "back-length": ("seat-cover",),
        "knee": ("taper-knee", "calf-clear"),
        "bottom": ("taper-knee", "taper-bottom"),
    }
)


def _missing_rules(cut: Cut) -> Iterator[tuple[str, str]]:
    needed = {rule for key in cut.points for rule in _NEEDS.get(key, ())}
    for figure in RULES[cut.kind]:
        if figure.key in needed and figure.key not in cut.rules:
            yield f"{figure.key}-value", f"Write the figure for “{figure.name.lower()}”."
