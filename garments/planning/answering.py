"""What is honest to say when altering is not enough: live with it, a new piece, or a remake.

A coat that hangs in balance is not spoilt by 1/4 to 1/2 in (H 91): up to the lesser of the two is
left to the customer. Which piece carries a measure, and how much cloth of double width (150 cm) a
new one takes: common practice, no source.
"""

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from customers.lengths import Length, parse
from garments.planning.rows import NOTHING, Answer, Left, Place

LIVED_WITH: Final = parse("1/4")
FORE, BACK = "foreparts", "back"
_COAT: Final = MappingProxyType(
    {
        "chest": (FORE,),
        "waist": (FORE,),
        "seat": (FORE,),
        "back-width": (BACK,),
        "shoulder": (FORE, BACK),
        "sleeve": ("sleeves",),
        "cuff": ("sleeves",),
        "back-length": (FORE, BACK),
        "front-balance": (FORE,),
        "button-height": (FORE,),
        "scye-depth": (FORE, BACK),
    }
)
_LEGS: Final = ("topsides", "undersides")
PIECES: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = MappingProxyType(
    {
        "coat": _COAT,
        "overcoat": _COAT,
        "waistcoat": MappingProxyType(
            {"chest": (BACK,), "waist": (BACK,), "back-length": (FORE, BACK), "opening": (FORE,)}
        ),
        "trousers": MappingProxyType(
            {
                "waist": ("undersides",),
                "seat": ("undersides",),
                "thigh": ("undersides",),
                "knee": ("undersides",),
                "bottom": ("undersides",),
                "rise": _LEGS,
                "inside-leg": _LEGS,
                "side-length": _LEGS,
            }
        ),
    }
)
# A pair of each, or the one back; a waistcoat's back is lining.
CLOTH: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "coat": {FORE: "90 cm", BACK: "85 cm", "sleeves": "70 cm"},
        "overcoat": {FORE: "125 cm", BACK: "120 cm", "sleeves": "75 cm"},
        "waistcoat": {FORE: "65 cm", BACK: "0 cm"},
        "trousers": {"topsides": "115 cm", "undersides": "115 cm"},
    }
)


def answer_for(
    left: Sequence[Left],
    short: Sequence[Left],
    stopped: Collection[Place],
    *,
    kind: str,
    cloth_left: Length | None,
    unit: str,
) -> Answer:
    """The answer to what stays wrong; `short` are the pins that the cloth did not reach.

    `stopped` are the measures that a seam would bring nearer, were it not for what is cut or must
    match.
    """
    if not left and not short:
        return Answer("", (), NOTHING, "")
    worst = max((abs(row.beyond) for row in (*left, *short)), default=NOTHING)
    if worst <= LIVED_WITH:
        words = (
            f"At most {worst.text(unit)} stays outside: show it to the customer. So little does"
            " not spoil a garment that hangs in balance."
        )
        return Answer("accept", (), NOTHING, words)
    small = [row for row in left if row.beyond < NOTHING and row.place not in stopped]
    if not small:
        words = (
            "No new piece is asked for: see first what stops the seams, or have the customer"
            " accept it."
        )
        return Answer("accept", (), NOTHING, words)
    table = PIECES.get(kind, {})
    named = dict.fromkeys(piece for row in small for piece in table.get(row.place[0], ()))
    if not named:
        return Answer("piece", (), NOTHING, "Only a new piece gives what is wanting.")
    return _cut_again(tuple(named), kind, cloth_left, unit)


def _cut_again(pieces: tuple[str, ...], kind: str, cloth_left: Length | None, unit: str) -> Answer:
    need = sum((parse(CLOTH[kind][piece]) for piece in pieces), NOTHING)
    names = " and ".join(pieces)
    if len(pieces) > 1:
        words = f"{names.capitalize()} would all be cut again: a remake is the honest answer."
        return Answer("remake", pieces, need, words)
    wanted = f"New {names} give it: about {need.text(unit)} of double width is wanted"
    if not need:
        return Answer("piece", pieces, need, f"A new {names} gives it, of lining.")
    if cloth_left is None:
        return Answer("piece", pieces, need, f"{wanted}; ask how much is left of the cloth.")
    if cloth_left >= need:
        return Answer("piece", pieces, need, f"{wanted}, {cloth_left.text(unit)} is left.")
    words = f"{wanted}, only {cloth_left.text(unit)} is left: without more of it, a remake."
    return Answer("remake", pieces, need, words)
