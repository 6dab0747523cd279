"""Gross mistakes in a set of measures: asked about before saving, never refused.

Five questions: is a reading outside what an adult is likely to measure; do two readings fit each
other; do all fit one body (`customers.bodies`); do left and right; has it changed since the earlier
set. Every question speaks of the
reading and never of the body: a changed figure is no finding of health.

Limits with a figure from `bdims` (507 active adults, Heinz and others, 2003, inches here) lie
outside all of them, since a house also cuts for people less active; all others are common
practice, no source. One point is asked about once, and what an earlier set already holds within
an inch is not asked again.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from customers.bodies import Oddity, oddities
from customers.lengths import Length
from customers.points import BY_KEY, POINTS

Key = tuple[str, str]
Measures = Mapping[Key, Length]

SAME: Final = Length.inches(1)
SIDES_DIFFER: Final = Length.inches(1)
CHANGED: Final = Length.inches(3)
CHANGED_PART: Final = 5  # or a fifth of the earlier reading: three inches is nothing on a wrist
GIRTHS_AGREE: Final = Length.inches(Fraction(3, 8))
LENGTHS_AGREE: Final = Length.inches(Fraction(1, 4))
CM_PER_INCH: Final = Fraction(254, 100)

# The same side of both, or one of the two has no sides.
_COMPARED_SIDES: Final = (
    *((side, side) for side in ("", "L", "R")),
    *((side, "") for side in ("L", "R")),
    *(("", side) for side in ("L", "R")),
)
_SIDE_NAMES: Final = {"L": "left", "R": "right", "": ""}


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question about one reading, in plain words."""

    point: str
    side: str
    question: str


@dataclass(frozen=True, slots=True)
class Relation:
    """How much (inches) one reading may exceed another, and what to ask outside that."""

    larger: str
    smaller: str
    least: float
    most: float
    below: str
    above: str = "is one of the two misread?"
    same: str = ""

    def question(self, difference: Length) -> str | None:
        if difference < Length.inches(self.least):
            return self.below
        if difference > Length.inches(self.most):
            return self.above
        return self.same or None if not difference else None


_SWAPPED: Final = "were the two changed over?"
_TYPED_TWICE: Final = "was one typed into the place of the other?"
_CONTINUED: Final = "the second is taken on from the first and must be longer; is one misread?"

RELATIONS: Final = (
    # bdims -1.7 to 13.0
    Relation("chest", "waist", -2, 15, _SWAPPED, same=_TYPED_TWICE),
    # bdims -2.9 to 14.4
    Relation("seat", "waist", -4, 17, _SWAPPED, same=_TYPED_TWICE),
    # bdims -6.2 to 11.6
    Relation("seat", "chest", -8, 13, "is one of the two misread?"),
    # bdims 12.0 to 22.0
    Relation("seat", "thigh", 9, 28, "was the seat typed into the thigh?"),
    # bdims 17.9 to 32.6
    Relation("chest", "upper-arm", 15, 42, "is one of the two misread?"),
    # bdims 5.2 to 16.5
    Relation("thigh", "upper-arm", 3, 20, _SWAPPED),
    # bdims 4.5 to 14.1
    Relation("thigh", "calf", 3, 18, _SWAPPED),
    # bdims 3.5 to 9.8
    Relation("upper-arm", "wrist", 2.5, 12, _SWAPPED),
    # bdims 5.2 to 11.2
    Relation("calf", "wrist", 3.5, 14, _SWAPPED),
    # bdims 21.1 to 39.8
    Relation("height", "chest", 10, 46, "is one of the two misread?"),
    Relation("chest", "neck", 14, 42, "is one of the two misread?"),
    Relation("neck", "wrist", 4, 14, _SWAPPED),
    Relation("neck", "upper-arm", -4, 11, "is one of the two misread?"),
    # bdims -12.9 to 4.1, its navel girth taken for the trouser waist
    Relation("waist", "trouser-waist", -15, 9, "is one of the two misread?"),
    Relation("nape-to-full-length", "nape-to-waist", 5, 40, _CONTINUED),
    Relation("nape-to-floor", "nape-to-waist", 28, 55, "is one of the two misread?"),
    Relation("nape-to-floor", "nape-to-full-length", 2, 46, "does the coat end on the floor?"),
    Relation("height", "nape-to-floor", 6, 16, "the head lies between them; is one misread?"),
    Relation("waistcoat-length", "waistcoat-opening", 3, 28, _SWAPPED),
    Relation("sleeve-to-cuff", "sleeve-to-elbow", 6, 18, _CONTINUED),
    Relation(
        *("across-chest", "half-back", -3, 4),
        below="both are halves; was the whole back written down?",
        above="both are halves; was the whole written down?",
    ),
    Relation("sleeve-to-elbow", "half-back", 7, 20, "the sleeve is taken from the centre back."),
    Relation("side-length", "leg-length", 6, 18, "the rise lies between them; is one misread?"),
    Relation("height", "side-length", 20, 38, "is one of the two misread?"),
    Relation("front-shoulder", "depth-of-scye", 0, 8, _SWAPPED),
    Relation("over-shoulder", "depth-of-scye", 3, 15, _SWAPPED),
)


def doubts(measures: Measures, earlier: Measures | None = None, *, unit: str = "in") -> list[Doubt]:
    """What to ask before these measures are saved, one question a reading, in order of taking.

    Keys are (point, side "L", "R" or ""); `unit` is the one the readings were typed in.
    """
    before: Measures = earlier or {}
    asked: dict[Key, Doubt] = {}
    for find in (_outside_span, _out_of_relation, _unlike_the_rest, _sides_apart, _changed):
        for key, question in find(measures, before, unit):
            asked.setdefault(key, Doubt(*key, question))
        # A reading in doubt says nothing against the ones it is compared with.
        measures = {key: length for key, length in measures.items() if key not in asked}
    order = {point.key: place for place, point in enumerate(POINTS)}
    return sorted(asked.values(), key=lambda doubt: (order[doubt.point], doubt.side))


def readings_apart(measures: Measures, second: Measures, *, unit: str = "in") -> list[Doubt]:
    """What to ask when a point was taken twice and the readings do not agree.

    Two readings of one skilled hand may differ by 9 mm on a large girth and 4 to 5 mm on a length
    (ISO 20685, maximum allowable errors, as printed in Woodhead, Anthropometry, Apparel Sizing
    and Design, p. 41); on the tape that is 3/8 in and 1/4 in.
    """
    apart = []
    for key, again in second.items():
        first = measures.get(key)
        girth = BY_KEY[key[0]].kind == "girth"
        if first is not None and abs(first - again) > (GIRTHS_AGREE if girth else LENGTHS_AGREE):
            named = f"{_named(key, first, unit)}, then {again.text(unit)}."
            apart.append(Doubt(*key, f"{named} Which is right? Take it a third time."))
    return apart


Questions = Iterator[tuple[Key, str]]
Finder = Callable[[Measures, Measures, str], Questions]


def _outside_span(measures: Measures, before: Measures, unit: str) -> Questions:
    for key, length in measures.items():
        point = BY_KEY[key[0]]
        if point.low <= length <= point.high or _known(key, length, before):
            continue
        small = length < point.low
        bound = (
            f"less than {point.low.text(unit)}" if small else f"more than {point.high.text(unit)}"
        )
        yield (
            key,
            f"{_named(key, length, unit)} is {bound}, rare in an adult. {_slip(key, length, unit)}",
        )


def _slip(key: Key, length: Length, unit: str) -> str:
    """The likeliest slip of the finger that puts this reading outside the span."""
    small = length < BY_KEY[key[0]].low
    if small and unit != "in" and _fits(key, length.nm * CM_PER_INCH):
        return "Were inches typed as centimetres?"
    if not small and unit == "in" and _fits(key, length.nm / CM_PER_INCH):
        return "Were centimetres typed as inches?"
    if small and _fits(key, Fraction(length.nm * 10)):
        return "Was a figure left out, or the decimal point put one place too far left?"
    if not small and _fits(key, Fraction(length.nm, 10)):
        return "Was a figure typed twice, or a decimal point left out?"
    return "Is it as the tape said?"


def _fits(key: Key, nm: Fraction) -> bool:
    point = BY_KEY[key[0]]
    return point.low.nm <= nm <= point.high.nm


def _out_of_relation(measures: Measures, before: Measures, unit: str) -> Questions:
    doubtful: set[Key] = set()
    for relation in RELATIONS:
        for key, other in _pairs(relation, measures):
            length, against = measures[key], measures[other]
            question = relation.question(length - against)
            # One slip spoils every comparison it is part of: ask about the first.
            if question is None or doubtful & {key, other}:
                continue
            if not (_known(key, length, before) and _known(other, against, before)):
                doubtful |= {key, other}
                named = f"{_named(key, length, unit)}, {_named(other, against, unit).lower()}"
                yield key, f"{named}: {question}"


def _pairs(relation: Relation, measures: Measures) -> Iterator[tuple[Key, Key]]:
    for side, other_side in _COMPARED_SIDES:
        key, other = (relation.larger, side), (relation.smaller, other_side)
        if key in measures and other in measures:
            yield key, other


def _unlike_the_rest(measures: Measures, before: Measures, unit: str) -> Questions:
    """The likeliest slip among readings that do not fit one body; one slip, one question."""
    sides: dict[str, list[Key]] = {}
    for key, length in measures.items():
        # What is confirmed outside the span says nothing: the model knows no such body.
        if BY_KEY[key[0]].low <= length <= BY_KEY[key[0]].high:
            sides.setdefault(key[0], []).append(key)
    # Left and right as one: each alone would tell the other what to expect.
    cm = {point: _mean_cm(measures, keys) for point, keys in sides.items()}
    for oddity in oddities(cm):
        named = [*sides[oddity.point], *sides.get(oddity.other, ())]
        asked = list(measures) if oddity.why == "together" else named
        if not all(_known(key, measures[key], before) for key in asked):
            key = _least_usual(measures, sides[oddity.point], oddity)
            yield key, _odd_text(measures, key, sides.get(oddity.other, []), oddity, unit)
            return


def _mean_cm(measures: Measures, keys: list[Key]) -> float:
    return sum(measures[key].nm for key in keys) / len(keys) / Length.of_cm(1).nm


def _least_usual(measures: Measures, keys: list[Key], oddity: Oddity) -> Key:
    usual = oddity.usual_cm * Length.of_cm(1).nm
    return max(keys, key=lambda key: abs(measures[key].nm - usual))


def _odd_text(measures: Measures, key: Key, others: list[Key], oddity: Oddity, unit: str) -> str:
    named = _named(key, measures[key], unit)
    if oddity.why == "swapped":
        other = _named(others[0], measures[others[0]], unit).lower()
        return f"{named}, {other}: {_SWAPPED}"
    if oddity.why == "together":
        return f"{named} fits least into measures seldom met together. Is each as the tape said?"
    usual = Length(round(oddity.usual_cm * Length.of_cm(1).nm))
    about = usual.text(unit, Fraction(1, 2) if unit == "in" else 1)
    return (
        f"{named} is {oddity.why} beside the other measures, which go with about {about}."
        " Is it as the tape said?"
    )


def _sides_apart(measures: Measures, before: Measures, unit: str) -> Questions:
    for (point, side), left in measures.items():
        right = measures.get((point, "R"))
        if side != "L" or right is None or abs(left - right) <= SIDES_DIFFER:
            continue
        if _known((point, "L"), left, before) and _known((point, "R"), right, before):
            continue
        named = f"{BY_KEY[point].name}: left {left.text(unit)}, right {right.text(unit)}."
        yield (point, "R"), f"{named} Do the sides differ by {abs(left - right).text(unit)}?"


def _changed(measures: Measures, before: Measures, unit: str) -> Questions:
    for key, length in measures.items():
        was = before.get(key)
        if was is None or BY_KEY[key[0]].style:
            continue
        change = abs(length - was)
        if change > CHANGED or change * CHANGED_PART > was:
            named = f"{_named(key, length, unit)}, and it was {was.text(unit)} before."
            yield key, f"{named} Is it as the tape said?"


def _known(key: Key, length: Length, before: Measures) -> bool:
    return key in before and abs(before[key] - length) <= SAME


def _named(key: Key, length: Length, unit: str) -> str:
    side = _SIDE_NAMES[key[1]]
    return " ".join(word for word in (BY_KEY[key[0]].name, side, length.text(unit)) if word)
