"""What a set of measures says of the figure: drop and class, balance, shoulders, left and right.

Every finding stands alone, names the readings it rests on and its source, and is only made when
all of them were taken and lie in the span an adult is likely to be in (`customers.points`). What
could not be told is listed with the measures it lacks.

The proportionate measures are Vincent's, B being the chest girth (Vincent's Systems, about 1903,
page 39 of the scan): depth of scye B/6 + 3, across chest B/4 - 1, front shoulder B/4 + 3 1/2,
over shoulder B/3 + 5. A measure less than 1/4 in from them is as proportionate: two takings of a
length differ by as much. What a deviation means is derived here from the causes he and others
give (Cutter's Practical Guide 1898; Hertzer 1892), and his figures are of men of usual build: in
a stout man the chest alone misleads, so eye and balance decide, not these words.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from customers.lengths import Length
from customers.points import BY_KEY, POINTS

Key = tuple[str, str]
Measures = Mapping[Key, Length]

NOISE: Final = Length.inches(Fraction(1, 4))
GIRTH_NOISE: Final = Length.inches(Fraction(3, 8))
CHEST: Final = ("chest", "")
WAIST: Final = ("waist", "")
SCYE: Final = ("depth-of-scye", "")
FRONT: Final = ("front-shoulder", "")
ACROSS: Final = ("across-chest", "")
SIDE_NAMES: Final = {"": "", "L": "left", "R": "right"}

VINCENT: Final = "Vincent's Systems of Cutting, about 1903, p. 39"
POSTURE: Final = f"{VINCENT}; read after The Cutter's Practical Guide, 1898, p. 67, and Hertzer"
JIS: Final = "JIS L 4004:2001, men"
GB: Final = "GB/T 1335.1, men; B and C from memory, one page read prints 8 to 11 and 4 to 7"
ARMY: Final = "US Army TM 10-227, p. 9: a usual drop is 4 to 7 in"
SIDES: Final = "ISO 20685 limits (Woodhead, p. 41), rounded to the tape: 1/4 in, girths 3/8 in"

# Drop in centimetres; the standard has no class at 2.
JIS_CLASSES: Final = {
    "J": 20,
    "JA": 18,
    "Y": 16,
    "YA": 14,
    "A": 12,
    "AB": 10,
    "B": 8,
    "BB": 6,
    "BE": 4,
    "E": 0,
}
JIS_ABOVE_J: Final = 1  # as far as J reaches towards JA
JIS_BELOW_E: Final = 2  # as far as E reaches towards BE
GB_CLASSES: Final = {"Y": (17, 22), "A": (12, 16), "B": (7, 11), "C": (2, 6)}
USUAL_DROP: Final = (Length.inches(4), Length.inches(7))

# Part of the chest, and inches added.
PROPORTIONS: Final = {
    "depth-of-scye": (Fraction(1, 6), Fraction(3)),
    "across-chest": (Fraction(1, 4), Fraction(-1)),
    "front-shoulder": (Fraction(1, 4), Fraction(7, 2)),
    "over-shoulder": (Fraction(1, 3), Fraction(5)),
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the measures say. `amount` is signed where there is a more and a less."""

    key: str
    words: str
    amount: Length | None
    rests_on: tuple[Key, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Gap:
    """A thing that cannot be told, and the readings it lacks."""

    prevents: str
    lacks: tuple[Key, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Figure:
    """What a set says, what it cannot say for want of measures, and what was not relied on."""

    findings: tuple[Finding, ...]
    missing: tuple[Gap, ...]
    set_aside: tuple[Key, ...]

    def find(self, key: str) -> Finding | None:
        return next((finding for finding in self.findings if finding.key == key), None)

    @property
    def set_aside_names(self) -> list[str]:
        return [_name(key) for key in self.set_aside if key[0] in BY_KEY]

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(finding.key for finding in self.findings)


@dataclass(frozen=True, slots=True)
class _Body:
    """The readings relied on, and the unit that words are written in."""

    measures: Measures
    unit: str

    def has(self, *keys: Key) -> bool:
        return all(key in self.measures for key in keys)

    def deviation(self, key: Key) -> Length | None:
        """Taken less proportionate, None unless both the point and the chest were taken."""
        if not self.has(CHEST, key):
            return None
        return self.measures[key] - proportionate(key[0], self.measures[CHEST])

    def text(self, length: Length) -> str:
        # To the eighth or the millimetre: nobody chalks a ninety-sixth.
        return abs(length).text(self.unit, Fraction(1, 8) if self.unit == "in" else Fraction(1, 10))


Findings = Iterator[Finding]


def read(measures: Measures, *, unit: str = "in") -> Figure:
    """What these measures say, by (point, side "L", "R" or ""); words are written in `unit`.

    Readings outside an adult's likely span, and keys that are no point, are set aside.
    """
    relied = {key: length for key, length in measures.items() if _likely(key, length)}
    body = _Body(relied, unit)
    readers: tuple[Callable[[_Body], Findings], ...] = (
        _drop,
        _balance,
        _shoulders,
        _chest,
        _sides,
    )
    return Figure(
        findings=tuple(finding for reader in readers for finding in reader(body)),
        missing=tuple(_gaps(body)),
        set_aside=tuple(key for key in measures if key not in relied),
    )


def proportionate(point: str, chest: Length) -> Length:
    """Vincent's direct measure for this chest, to the nanometre. KeyError for other points."""
    part, inches = PROPORTIONS[point]
    return Length(round(chest.nm * part + inches * Length.inches(1).nm))


def jis_class(drop: Length) -> str | None:
    """The class whose drop is nearest; half-way goes to the smaller drop, which leaves room.

    None beyond the ends: more than 21 cm, or a waist more than 2 cm over the chest.
    """
    cm = Fraction(drop.nm, Length.of_cm(1).nm)
    if not -JIS_BELOW_E <= cm <= JIS_CLASSES["J"] + JIS_ABOVE_J:
        return None
    return min(JIS_CLASSES, key=lambda name: (abs(cm - JIS_CLASSES[name]), JIS_CLASSES[name]))


def gb_class(drop: Length) -> str | None:
    """The class of the drop in whole centimetres, half a centimetre going to the smaller drop.

    None below 2 and above 22 cm.
    """
    whole = -((Length.of_cm(1).nm - 2 * drop.nm) // (2 * Length.of_cm(1).nm))
    return next((name for name, (low, high) in GB_CLASSES.items() if low <= whole <= high), None)


def _likely(key: Key, length: Length) -> bool:
    point = BY_KEY.get(key[0])
    return point is not None and key[1] in SIDE_NAMES and point.low <= length <= point.high


def _drop(body: _Body) -> Findings:
    if not body.has(CHEST, WAIST):
        return
    drop = body.measures[CHEST] - body.measures[WAIST]
    low, high = USUAL_DROP
    usual = f"{body.text(low).split()[0]} to {body.text(high)}"
    if drop < Length():
        words = f"The waist is {body.text(drop)} over the chest: a corpulent figure."
    elif drop < low:
        words = f"Drop {body.text(drop)}, less than the usual {usual}."
    elif drop > high:
        words = f"Drop {body.text(drop)}, more than the usual {usual}: unusual, not wrong."
    else:
        words = f"Drop {body.text(drop)}, chest less waist: a usual one."
    yield Finding("drop", words, drop, (CHEST, WAIST), ARMY)
    classes = (("jis", JIS, "JIS", jis_class(drop)), ("gb", GB, "GB/T", gb_class(drop)))
    for key, source, scheme, name in classes:
        said = f"{scheme} class {name}." if name else f"No {scheme} class: the drop is outside all."
        yield Finding(f"{key}-class", said, drop, (CHEST, WAIST), source)


# What back (depth of scye) and front (front shoulder) say together: -1 short, 0 as proportionate,
# 1 long. A long front is not always a short back, so each is also judged alone.
_BALANCE: Final = {
    (0, 0): ("proportionate", "Back and front are as proportionate."),
    (-1, 1): ("erect", "Erect: the back is short by {back}, the front long by {front}."),
    (1, -1): ("stooping", "Stooping: the back is long by {back}, the front short by {front}."),
    (1, 0): (
        "head-forward",
        "The back alone is long, by {back}: the head may be carried forward.",
    ),
    (-1, 0): ("short-back", "The back alone is short, by {back}; the front is as proportionate."),
    (0, 1): ("long-front", "The front alone is long, by {front}; the back is as proportionate."),
    (0, -1): ("short-front", "The front alone is short, by {front}; the back is as proportionate."),
    (1, 1): ("long-both", "Back and front are both long, by {back} and {front}: deep scyes."),
    (-1, -1): ("short-both", "Back and front are both short, by {back} and {front}: high scyes."),
}
_ALONE: Final = {
    (SCYE, -1): ("back-short", "The back is short by {amount}."),
    (SCYE, 1): ("back-long", "The back is long by {amount}."),
    (FRONT, -1): ("front-short", "The front is short by {amount}."),
    (FRONT, 1): ("front-long", "The front is long by {amount}."),
}


def _balance(body: _Body) -> Findings:
    back, front = body.deviation(SCYE), body.deviation(FRONT)
    if back is not None and front is not None:
        signs = (_sign(back), _sign(front))
        key, words = _BALANCE[signs]
        said = words.format(back=body.text(back), front=body.text(front))
        yield Finding(key, said, _off_balance(back, front), (CHEST, SCYE, FRONT), POSTURE)
        return
    for place, deviation in ((SCYE, back), (FRONT, front)):
        if deviation is not None and _sign(deviation):
            key, words = _ALONE[place, _sign(deviation)]
            said = words.format(amount=body.text(deviation))
            yield Finding(key, said, deviation, (CHEST, place), VINCENT)


def _off_balance(back: Length, front: Length) -> Length:
    """Front against back where they go apart, else the one that deviates, else nothing."""
    if _sign(back) * _sign(front) < 0:
        return front - back
    return next((length for length in (back, front) if _sign(length)), Length())


def _shoulders(body: _Body) -> Findings:
    """Square or sloping, each side alone; only when back and front do not account for it."""
    back, front = body.deviation(SCYE), body.deviation(FRONT)
    if back is None or front is None:
        return
    for side in SIDE_NAMES:
        place = ("over-shoulder", side)
        over = body.deviation(place)
        if over is None:
            continue
        shoulder = f"{SIDE_NAMES[side]} shoulder".strip().capitalize()
        key, words = _slope(over, balanced=not (_sign(back) or _sign(front)))
        said = f"{shoulder} {words.format(amount=body.text(over))}"
        yield Finding(
            f"{key}-{side}" if side else key, said, over, (CHEST, SCYE, FRONT, place), POSTURE
        )


def _slope(over: Length, *, balanced: bool) -> tuple[str, str]:
    if not balanced:
        # The measure runs from the back scye to the front one: both lengths are part of it, so
        # even one that is as proportionate says nothing of the slope.
        return "slope-open", "slope not told: back or front is off too."
    slopes = {
        -1: ("sloping", "sloping by {amount}."),
        0: ("usual-slope", "of the usual slope."),
        1: ("square", "square by {amount}."),
    }
    return slopes[_sign(over)]


def _chest(body: _Body) -> Findings:
    across = body.deviation(ACROSS)
    if across is None or not _sign(across):
        return
    full = across > Length()
    key, words = ("prominent-chest", "Full") if full else ("narrow-chest", "Narrow")
    said = f"{words} across the chest, by {body.text(across)} on the half."
    yield Finding(key, said, across, (CHEST, ACROSS), VINCENT)


def _sides(body: _Body) -> Findings:
    for point in POINTS:
        left, right = (point.key, "L"), (point.key, "R")
        if not body.has(left, right):
            continue
        apart = body.measures[right] - body.measures[left]
        if abs(apart) < (GIRTH_NOISE if point.kind == "girth" else NOISE):
            continue
        more, less = ("right", "left") if apart > Length() else ("left", "right")
        if point.key == "over-shoulder":
            words = f"The {less} shoulder is the lower, by {body.text(apart)} over the shoulder."
        else:
            words = f"{point.name}: {more} more than {less} by {body.text(apart)}."
        yield Finding(f"sides-{point.key}", words, apart, (left, right), SIDES)


_NEEDS: Final = (
    ("drop and class", (CHEST, WAIST)),
    ("erect or stooping", (CHEST, SCYE, FRONT)),
    ("full or narrow across the chest", (CHEST, ACROSS)),
)
_SLOPE: Final = "square or sloping"


def _gaps(body: _Body) -> Iterator[Gap]:
    for prevents, needed in _NEEDS:
        if lacks := tuple(key for key in needed if key not in body.measures):
            yield _gap(prevents, lacks)
    lacks = tuple(key for key in (CHEST, SCYE, FRONT) if key not in body.measures)
    sides = [side for side in SIDE_NAMES if ("over-shoulder", side) in body.measures]
    if sides in (["L"], ["R"]):
        other = ("over-shoulder", "R" if sides == ["L"] else "L")
        yield _gap("which shoulder is the lower", (other,))
    over = () if sides else (("over-shoulder", "L"), ("over-shoulder", "R"))
    if lacks or over:
        yield _gap(_SLOPE, (*lacks, *over))


def _gap(prevents: str, lacks: tuple[Key, ...]) -> Gap:
    *most, last = [_name(key).lower() for key in lacks]
    named = f"{', '.join(most)} and {last}" if most else last
    return Gap(prevents, lacks, f"{prevents.capitalize()}: not told without {named}.")


def _name(key: Key) -> str:
    return f"{BY_KEY[key[0]].name} {SIDE_NAMES.get(key[1], '')}".strip()


def _sign(deviation: Length) -> int:
    if abs(deviation) < NOISE:
        return 0
    return 1 if deviation > Length() else -1
