"""What each finished measure starts from, before its ease: the rules of a garment, one by one.

A rule gives the parts whose sum is the start, and what the whole may not come under (`floor`).
Rules: a sleeve is the measure to the cuff less the half back (VS 60); a coat is as long as half
of nape to floor (FL, NW1) and covers the seat (JF); its button is at the natural waist (JF);
rise is side length less leg length (VS 60); a slim leg catches the calf (PT2). That the fork lies
a rise below the waist takes the waistband to sit at the waist. The rest is common practice, no
source.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from customers.lengths import Length
from customers.points import BY_KEY, Point
from garments.cutting.cuts import Cut
from garments.cutting.finished import SIDE_WORDS

Measures = Mapping[tuple[str, str], Length]
Part = tuple[str, Length]
WIDENED: Final = 4  # a span is widened by a quarter of its ends: beyond, it is no such measure


class NotTakenError(Exception):
    """A measure the rule needs is missing, or cannot be what it is said to be."""

    def __init__(self, point: str, side: str) -> None:
        super().__init__(point, side)
        self.place = point, side


@dataclass(frozen=True, slots=True)
class Floor:
    """The length that a finished measure may not come under, and why."""

    length: Length
    why: str


@dataclass(frozen=True, slots=True)
class Start:
    """What ease is added to: parts that sum up to it."""

    parts: tuple[Part, ...]
    floor: Floor | None = None


def absurd(point: Point, value: Length) -> bool:
    """Whether a value is so far outside the point's span that no target is made of it."""
    low, high = point.low.nm, point.high.nm
    return not low - low // WIDENED <= value.nm <= high + high // WIDENED


def unlikely(point: Point, value: Length) -> bool:
    return not point.low <= value <= point.high


@dataclass(frozen=True, slots=True)
class Body:
    """A customer's measures, asked for one by one."""

    measures: Measures

    def get(self, point: str, side: str = "") -> Length | None:
        value = self.measures.get((point, side))
        return None if value is None or absurd(BY_KEY[point], value) else value

    def need(self, point: str, side: str = "") -> Length:
        value = self.get(point, side)
        if value is None:
            raise NotTakenError(point, side)
        return value

    def larger(self, point: str) -> Length:
        """The larger side: what is not made to each side must go round both."""
        return max(self.need(point, "L"), self.need(point, "R"))


def called(point: str, side: str = "") -> str:
    """`half back, left`: a measure's name in a reason."""
    words = BY_KEY[point].name.lower()
    return f"{words}, {SIDE_WORDS[side]}" if side else words


Rule = Callable[[Body, Cut, str], Start]


def _plain(point: str, *, sided: bool = False) -> Rule:
    """The measure itself."""

    def rule(body: Body, _cut: Cut, side: str) -> Start:
        at = side if sided else ""
        return Start(((called(point, at), body.need(point, at)),))

    return rule


def _larger(point: str) -> Rule:
    def rule(body: Body, _cut: Cut, _side: str) -> Start:
        return Start(((f"{called(point)}, the larger", body.larger(point)),))

    return rule


def _floored(point: str, figure: str, why: str) -> Rule:
    """The measure, and never less than it with the figure of a rule."""

    def rule(body: Body, cut: Cut, _side: str) -> Start:
        value = body.need(point)
        return Start(((called(point), value),), Floor(value + cut.rule(figure), why))

    return rule


def _chest(body: Body, cut: Cut, _side: str) -> Start:
    drape = ("drape in front", cut.rule("drape-front")), ("drape behind", cut.rule("drape-back"))
    return Start(((called("chest"), body.need("chest")), *drape))


def _back_width(body: Body, cut: Cut, _side: str) -> Start:
    halves = [(called("half-back", side), body.need("half-back", side)) for side in ("L", "R")]
    return Start((*halves, ("drape behind", cut.rule("drape-back"))))


def _sleeve(body: Body, cut: Cut, side: str) -> Start:
    """To the wrist bone, where the shirt cuff sits; what the shoulder gains, the sleeve loses."""
    shoulder = cut.points.get("shoulder")
    return Start(
        (
            (called("sleeve-to-cuff", side), body.need("sleeve-to-cuff", side)),
            (called("half-back", side), -body.need("half-back", side)),
            ("the ease of the shoulder", -shoulder.ease if shoulder else Length(0)),
            ("linen shown", -cut.rule("linen")),
        )
    )


def _coat_length(body: Body, cut: Cut, _side: str) -> Start:
    half = Length(body.need("nape-to-floor").nm // 2)
    rise, to_waist = _rise_of(body), body.get("nape-to-waist")
    floor = None
    if rise is not None and to_waist is not None:
        floor = Floor(to_waist + rise + cut.rule("seat-cover"), "to cover the seat")
    return Start((("half of nape to floor", half),), floor)


def _rise_of(body: Body) -> Length | None:
    """Side length less leg length, the longer side; sitting rise where they were not taken."""
    found = []
    for side in ("L", "R"):
        outside, inside = body.get("side-length", side), body.get("leg-length", side)
        if outside is not None and inside is not None and outside > inside:
            found.append(outside - inside)
    return max(found) if found else body.get("sitting-rise")


def _rise(body: Body, _cut: Cut, _side: str) -> Start:
    rise = _rise_of(body)
    if rise is None:
        raise NotTakenError("sitting-rise", "")
    return Start((("side length less leg length, or sitting rise", rise),))


def _thigh(body: Body, cut: Cut) -> tuple[Part, ...]:
    aim = cut.points.get("thigh")
    ease = aim.ease if aim else Length(0)
    return (("thigh, the larger", body.larger("thigh")), ("ease of the thigh", ease))


def _over_calf(body: Body, cut: Cut) -> Floor | None:
    calf = body.get("calf")
    return None if calf is None else Floor(calf + cut.rule("calf-clear"), "to clear the calf")


def _knee(body: Body, cut: Cut, _side: str) -> Start:
    named = body.get("knee")
    parts = ((called("knee") + ", as agreed", named),) if named is not None else _knee_of(body, cut)
    return Start(parts, _over_calf(body, cut))


def _knee_of(body: Body, cut: Cut) -> tuple[Part, ...]:
    return (*_thigh(body, cut), ("thigh to knee", -cut.rule("taper-knee")))


def _bottom(body: Body, cut: Cut, _side: str) -> Start:
    named, knee = body.get("bottom"), body.get("knee")
    if named is not None:
        parts: tuple[Part, ...] = ((called("bottom") + ", as agreed", named),)
    else:
        above = ((called("knee"), knee),) if knee is not None else _knee_of(body, cut)
        parts = (*above, ("knee to bottom", -cut.rule("taper-bottom")))
    return Start(parts)


_COAT: Final = {
    "chest": _chest,
    "waist": _floored("waist", "sits-buttoned", "to sit down buttoned"),
    "seat": _floored("seat", "vents-hang", "for the vents to hang"),
    "back-width": _back_width,
    "shoulder": _plain("shoulder-length", sided=True),
    "sleeve": _sleeve,
    "back-length": _coat_length,
    "front-balance": _plain("front-shoulder"),
    "button-height": _plain("nape-to-waist"),
    "cuff": _larger("wrist"),
    "scye-depth": _plain("depth-of-scye"),
}
OF_KIND: Final[Mapping[str, Mapping[str, Rule]]] = MappingProxyType(
    {
        "coat": _COAT,
        "overcoat": _COAT,
        "waistcoat": {
            "chest": _plain("chest"),
            "waist": _floored("waist", "sits-buttoned", "to sit down buttoned"),
            "back-length": _plain("nape-to-waist"),
            "opening": _plain("waistcoat-opening"),
        },
        "trousers": {
            "waist": _plain("trouser-waist"),
            "seat": _plain("seat"),
            "rise": _rise,
            "thigh": _larger("thigh"),
            "knee": _knee,
            "bottom": _bottom,
            "inside-leg": _plain("leg-length", sided=True),
            "side-length": _plain("side-length", sided=True),
        },
    }
)
