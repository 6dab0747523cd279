"""Which seams a main piece has an edge in: cut again, it brings their inlays back.

Common practice, no source. ``*`` stands for the side of the piece, ``both`` for left and right.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from customers.lengths import Length
from garments import seams

Place = tuple[str, str]

_COAT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "forepart": "underarm-seam.* shoulder-seam.* gorge.* scye.* front-edge.* hem.*",
        "back": "centre-back side-seam.both shoulder-seam.both back-neck vent.both hem.both",
        "side body": "side-seam.* underarm-seam.* scye.* hem.*",
        "sleeve": "sleeve-head.* hindarm.* forearm.* cuff.*",
        "collar": "collar-seam",
    }
)
_EDGES: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "coat": _COAT,
        "overcoat": _COAT,
        "waistcoat": {
            "forepart": "side-seam.* shoulder-seam.* neck-edge.* scye.* front-edge.* hem.*",
            "back": "centre-back side-seam.both shoulder-seam.both back-neck scye.both strap.both",
        },
        "trousers": {
            "topside": "side-seam.* leg-seam.* fork.* fly hem.*",
            "underside": "seat-seam side-seam.* leg-seam.* fork.* hem.*",
            "waistband": "waistband.both waistband",
        },
    }
)
_SIDES: Final = {"left": "L", "right": "R"}


def inlays_of_piece(kind: str, piece: str) -> dict[Place, Length]:
    """What is normally left in the seams of a piece such as ``left sleeve``, by (seam, side)."""
    first, _, rest = piece.partition(" ")
    name, own = (rest, _SIDES[first]) if first in _SIDES else (piece, "")
    sides = {"*": own, "both": "LR", "": ""}
    normal = seams.normal_inlays(kind)
    places = [
        (seam, side)
        for edge in _EDGES[kind][name].split()
        for seam, _, which in [edge.partition(".")]
        for side in sides[which] or [""]
    ]
    return {place: normal[place] for place in places if place in normal}
