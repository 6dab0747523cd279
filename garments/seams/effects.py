"""What an operation does to the measures of the finished garment, read from `effects.toml`.

The arithmetic. The amount of an operation is how far the sewn line moves on each side said. A sewn
line joins two edges and moves on both: a seam let out by x gives 2x, the left and the right one
4x, so both side seams let out 1/4 in, both edges, give 1 in of girth. At a seam that joins a left
and a right half (centre back, seat seam) x each side of the seam is 2x. A measure of one leg or
one sleeve gets 2x from its own seam; where it is kept once for the pair (thigh, cuff) the file
says what both sides by x come to, and one side alone counts half. A measure down the middle (back
length, opening) moves x with both sides, half of it with one: it is read at the middle.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from customers.lengths import Length, parse
from garments.cutting.finished import POINTS
from garments.seams.rows import SEAMS, UnknownKeyError, read_data, seam
from garments.seams.work import OPERATIONS, operation

Place = tuple[str, str]
WHOLE_DENOMINATOR: Final = 2  # one side of two


@dataclass(frozen=True, slots=True)
class Effect:
    """Effect of an operation at a seam: `moves` by point, per unit of amount on every side there.

    `most` is how far the trade lets the line move there, None where only the cloth says it.
    `proposed`: whether a measure alone is reason enough; the rest is for the eye to ask for.
    """

    operation: str
    seam: str
    moves: Mapping[str, Fraction]
    most: Length | None
    proposed: bool
    why: str
    source: str


def effect_at(kind: str, operation_key: str, seam_key: str) -> Effect:
    """UnknownKeyError where the operation is not done at that seam of that kind."""
    operation(operation_key), seam(kind, seam_key)
    try:
        return EFFECTS[kind, operation_key, seam_key]
    except KeyError:
        raise UnknownKeyError(
            f"“{operation_key}” is not done at the seam “{seam_key}” of a {kind}."
        ) from None


def moves(kind: str, operation_key: str, seam_key: str, side: str) -> dict[Place, Fraction]:
    """How far each finished measure moves for one unit of amount: {(point, side): times}.

    `side` is the line's. A sided measure moves with its own side; an operation without sides
    moves both. Measures that do not move are left out.
    """
    found = effect_at(kind, operation_key, seam_key)
    one = side in ("L", "R")
    sides = (side,) if one else ("L", "R")
    sided = {point.key for point in POINTS[kind] if point.sided}
    moved: dict[Place, Fraction] = {}
    for point, times in found.moves.items():
        if point in sided:
            moved |= {(point, each): times for each in sides}
        else:
            moved[point, ""] = times / WHOLE_DENOMINATOR if one else times
    return moved


def moved_by(times: Fraction, amount: Length) -> Length:
    """`times` the amount, exact to the nanometre, halves to the even one."""
    return Length(round(times * amount.nm))


def _read() -> dict[tuple[str, str, str], Effect]:
    rows: dict[tuple[str, str, str], Effect] = {}
    for row in read_data("effects.toml")["effect"]:
        for kind in row["kinds"]:
            # A row that names no seam is for all the places no row above has named.
            places = row.get("seams") or OPERATIONS[row["operation"]].seams(kind)
            for place in places:
                rows.setdefault((kind, row["operation"], place), _effect(row, kind, place))
    overcoat = {
        ("overcoat", op, place): e for (kind, op, place), e in rows.items() if kind == "coat"
    }
    return rows | overcoat


def _effect(row: Mapping[str, Any], kind: str, place: str) -> Effect:
    points = {point.key for point in POINTS[kind]}
    if place not in SEAMS[kind] or not row["moves"].keys() <= points:
        raise ValueError(f"effects.toml: {row['operation']} at {place} of a {kind} cannot be so.")
    return Effect(
        operation=row["operation"],
        seam=place,
        moves=MappingProxyType({key: Fraction(times) for key, times in row["moves"].items()}),
        most=parse(row["most"]) if "most" in row else None,
        proposed=row.get("proposed", bool(row["moves"])),
        why=row["why"],
        source=row["source"],
    )


EFFECTS: Final = _read()
