"""Targets from measures, a cut and the customer's wishes; what is missing; a garment compared."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from customers import points
from customers.lengths import Length
from garments.cutting import rules
from garments.cutting.cuts import Aim, Cut
from garments.cutting.finished import POINTS, FinishedPoint
from garments.cutting.rules import Body, Measures, NotTakenError, Part, called

Place = tuple[str, str]
NOTHING: Final = Length(0)
COATS: Final = ("coat", "overcoat")
COAT_LENGTH: Final = "back-length"
NO_FLOOR: Final = (
    "Whether the coat covers the seat is not told: it takes nape to waist, and sitting rise or the"
    " length of side and leg."
)
NO_FIGURES: Final = "This version of the cut has no figures yet."


@dataclass(frozen=True, slots=True)
class Wish:
    """What the customer wants otherwise at one point, both sides alike.

    `accepted` is the name of who takes it on though it goes against the house's standard.
    """

    point: str
    by: Length
    accepted: str = ""


@dataclass(frozen=True, slots=True)
class Target:
    """The finished measure aimed at, from `low` to `high`. `parts` sum up to `length`.

    `wish` is the customer's for this point; `against` when it breaks the cut's limits or a rule of
    the house. Then it moves the target only once somebody accepted it by name.
    """

    point: FinishedPoint
    side: str
    length: Length
    low: Length
    high: Length
    parts: tuple[Part, ...]
    source: str
    wish: Wish | None = None
    against: bool = False

    @property
    def name(self) -> str:
        return self.point.called(self.side)

    @property
    def waits(self) -> bool:
        """Whether a wish against the house's standard waits for a name."""
        return self.wish is not None and self.against and not self.wish.accepted

    def why(self, unit: str = "in") -> str:
        """`Chest 38 in + ease 4 in`: the sum in words."""
        first, *others = [part for part in self.parts if part[1]]
        told = [f"{first[0].capitalize()} {first[1].text(unit)}"]
        for words, length in others:
            told.append(f"{'-' if length < NOTHING else '+'} {words} {abs(length).text(unit)}")
        return " ".join(told)


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the measures lack, or that cannot be so. `value` is the measure in doubt.

    `bars` when a target is lost or wrong by it: the garment is not cut before it is put right.
    """

    point: str
    side: str
    words: str
    value: Length | None = None
    bars: bool = True

    def text(self, unit: str = "in") -> str:
        return self.words.format(value=self.value.text(unit) if self.value is not None else "")


@dataclass(frozen=True, slots=True)
class Aimed:
    """All that can be aimed at, and what cannot for want of a measure."""

    targets: Mapping[Place, Target]
    findings: tuple[Finding, ...]

    @property
    def against(self) -> list[Target]:
        """Targets whose wish is against the house's standard, each point once."""
        return list({t.point.key: t for t in self.targets.values() if t.against}.values())


def targets(measures: Measures, cut: Cut, wishes: Iterable[Wish] = ()) -> Mapping[Place, Target]:
    """The finished measures aimed at, by (point, side). What cannot be known is left out."""
    return aim(measures, cut, wishes).targets


def aim(measures: Measures, cut: Cut, wishes: Iterable[Wish] = ()) -> Aimed:
    """Targets, and a finding for every measure that is missing, unlikely or absurd.

    `measures` by (point, side) as `customers.points` names them. Of two wishes for one point the
    later counts. A cut without figures gives no target and says so.
    """
    wished = {wish.point: wish for wish in wishes if wish.by}
    body, moved = Body(measures), _moved(cut, wished)
    found: dict[Place, Target] = {}
    lacking: dict[Place, list[str]] = {}
    covered = False
    for point in POINTS[cut.kind]:
        for side in point.sides if point.key in cut.points else ():
            try:
                start = rules.OF_KIND[cut.kind][point.key](body, moved, side)
            except NotTakenError as error:
                lacking.setdefault(error.place, []).append(point.called(side).lower())
            else:
                covered |= point.key == COAT_LENGTH and start.floor is not None
                own = wished.get(point.key)
                found[point.key, side] = _target(point, side, start, cut.points[point.key], own)
    findings = [*_doubts(measures, cut), *_lacks(measures, lacking)]
    if not cut.points:
        findings.insert(0, Finding("", "", NO_FIGURES, bars=False))
    if cut.kind in COATS and (COAT_LENGTH, "") in found and not covered:
        findings.append(Finding("sitting-rise", "", NO_FLOOR, bars=False))
    return Aimed(found, tuple(findings))


def compare(target: Target, found: Length) -> Length:
    """How far a garment is over its target, below nothing when under; nothing when inside."""
    return NOTHING if target.low <= found <= target.high else found - target.length


def _inside(aim_: Aim, wish: Wish) -> bool:
    return aim_.least <= aim_.ease + wish.by <= aim_.most


def _moved(cut: Cut, wished: Mapping[str, Wish]) -> Cut:
    """The cut with the wishes that are granted: one point's ease may be part of another's rule."""
    eased = dict(cut.points)
    for key, wish in wished.items():
        own = eased.get(key)
        if own and (wish.accepted or _inside(own, wish)):
            eased[key] = replace(own, ease=own.ease + wish.by)
    return replace(cut, points=eased)


def _target(
    point: FinishedPoint, side: str, start: rules.Start, own: Aim, wish: Wish | None
) -> Target:
    parts: tuple[Part, ...] = (*start.parts, ("ease", own.ease))
    length = sum((part for _, part in parts), NOTHING)
    floor = start.floor
    if floor and length < floor.length:
        parts = (*parts, (floor.why, floor.length - length))
        length = floor.length
    against = False
    if wish:
        too_little = floor is not None and wish.by < NOTHING and length + wish.by < floor.length
        against = too_little or not _inside(own, wish)
        if wish.accepted or not against:
            parts = (*parts, (f"wish ({point.wish(wish.by)})", wish.by))
            length += wish.by
    return Target(
        point=point,
        side=side,
        length=length,
        low=length - own.tolerance,
        high=length + own.tolerance,
        parts=parts,
        source=own.source,
        wish=wish,
        against=against,
    )


def _doubts(measures: Measures, cut: Cut) -> Iterator[Finding]:
    for (key, side), value in measures.items():
        point = points.BY_KEY.get(key)
        if point is None or cut.kind not in point.garments:
            continue
        name = called(key, side).capitalize()
        if rules.absurd(point, value):
            words = (
                f"{name} of {{value}} cannot be right: nothing is aimed at by it. Measure again."
            )
            yield Finding(key, side, words, value)
        elif rules.unlikely(point, value):
            words = f"{name} of {{value}} is unlikely: look at it again."
            yield Finding(key, side, words, value, bars=False)
    if cut.kind == "trousers":
        yield from _upside_down(measures)


def _upside_down(measures: Measures) -> Iterator[Finding]:
    for side in ("L", "R"):
        outside, inside = measures.get(("side-length", side)), measures.get(("leg-length", side))
        if outside is not None and inside is not None and outside <= inside:
            words = f"{called('leg-length', side).capitalize()} of {{value}}"
            yield Finding(
                "leg-length", side, f"{words} is not shorter than the side length.", inside
            )


def _lacks(measures: Measures, lacking: Mapping[Place, list[str]]) -> Iterator[Finding]:
    for (key, side), lost in lacking.items():
        if (key, side) not in measures:
            name = called(key, side).capitalize()
            yield Finding(key, side, f"{name} is not taken: no target for {', '.join(lost)}.")
