"""The sign of which way a line moves, as one SVG path in the plane of a view (see `drawing`).

Arrows are told apart by shape and direction alone: a ticket is printed in black. `part` and `meet`
lie across the seam, `longer` and `shorter` along it. Forward and back at the middle line point at
the reader or away: a ring with a dot or a cross, as physics draws them (common practice).
"""

from math import copysign
from typing import Final

from garments.seams.ways import LEVEL

Vector = tuple[float, float]

UP, DOWN = (0.0, -1.0), (0.0, 1.0)
PAIRS: Final = {  # of sign: whether it runs along the seam, and whether it points away from it
    "part": (False, True),
    "meet": (False, False),
    "longer": (True, True),
    "shorter": (True, False),
}
# By view: 1 where forward is away from the middle line of the drawing, -1 where it is towards it.
FORWARD: Final = {"front": -1, "back": 1}
MIDDLE: Final = 4.0  # nearer to the middle line than this there is no left or right to point to
APART = 1.25  # lengths of an arrow between two signs of one seam
HEAD, HALF, SHAFT, GAP = 0.5, 0.26, 0.08, 0.16  # parts of the arrow's length


def arrow(sign: str, view: str, seam: str, at: Vector, length: float) -> str:
    """The path of a `sign` of `garments.seams.ways` at a point of a seam; empty for no sign.

    `length` is that of one arrow, in units of the drawing.
    """
    if not sign:
        return ""
    if sign in PAIRS:
        along, away = PAIRS[sign]
        level = (seam in LEVEL) == along
        ways = ((1.0, 0.0), (-1.0, 0.0)) if level else (UP, DOWN)
        return "".join(_one(at, way, length, away=away) for way in ways)
    way = _towards(sign, view, at[0])
    if way is None:
        return _ring(at, length, towards=(sign == "forward") == (view == "front"))
    return _one(at, way, length, away=True)


def beside(seam: str, at: Vector, nth: int, length: float) -> Vector:
    """Where the `nth` sign at a point of a seam stands, counted from nought: along the seam."""
    # Towards the middle or up first, then the other way by turns: 1, -1, 2, -2 ...
    shift = (nth + 1) // 2 * (1 if nth % 2 else -1) * APART * length
    x, y = at
    return (x - copysign(shift, x * shift), y) if seam in LEVEL else (x, y - shift)


def _towards(sign: str, view: str, x: float) -> Vector | None:
    """The direction of a single arrow; None when it stands upright on the page."""
    if sign in ("up", "down"):
        return UP if sign == "up" else DOWN
    if view == "side":  # the wearer's left side: the front is on the viewer's left
        return (-1.0, 0.0) if sign == "forward" else (1.0, 0.0)
    if abs(x) < MIDDLE:
        return None
    out = copysign(1.0, x)
    if sign in ("forward", "back"):
        turn = FORWARD[view] if sign == "forward" else -FORWARD[view]
        return (out * turn, 0.0)
    return (out if sign == "outward" else -out, 0.0)


def _one(at: Vector, way: Vector, length: float, *, away: bool) -> str:
    """One filled arrow on the side of the point that `way` names, away from it or at it."""
    near, far = GAP * length, (1 + GAP) * length
    tail, tip = (near, far) if away else (far, near)
    neck = tip - HEAD * length if away else tip + HEAD * length
    shaft, half = SHAFT * length, HALF * length
    outline = [
        (tail, shaft),
        (neck, shaft),
        (neck, half),
        (tip, 0.0),
        (neck, -half),
        (neck, -shaft),
        (tail, -shaft),
    ]
    (x, y), (dx, dy) = at, way
    points = [(x + dx * t - dy * s, y + dy * t + dx * s) for t, s in outline]
    return "M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in points) + "Z"


def _ring(at: Vector, length: float, *, towards: bool) -> str:
    """A ring with a dot (at the reader) or a cross (away), drawn by its outlines."""
    r, thin = length * 0.42, length * 0.3
    rings = _disc(at, r) + _disc(at, thin, hole=True)
    if towards:
        return rings + _disc(at, length * 0.14)
    x, y, arm, bar = *at, thin * 0.72, length * 0.045
    strokes = ((1.0, 1.0), (1.0, -1.0))
    return rings + "".join(
        f"M{x - dx * arm - dy * bar:.1f} {y - dy * arm + dx * bar:.1f}"
        f"L{x + dx * arm - dy * bar:.1f} {y + dy * arm + dx * bar:.1f}"
        f"L{x + dx * arm + dy * bar:.1f} {y + dy * arm - dx * bar:.1f}"
        f"L{x - dx * arm + dy * bar:.1f} {y - dy * arm - dx * bar:.1f}Z"
        for dx, dy in strokes
    )


def _disc(at: Vector, r: float, *, hole: bool = False) -> str:
    """A circle as two arcs; a hole runs the other way round, so that it stays white."""
    x, y, turn = *at, 0 if hole else 1
    left, right = f"{x - r:.1f} {y:.1f}", f"{x + r:.1f} {y:.1f}"
    arc = f"A{r:.1f} {r:.1f} 0 1 {turn} "
    return f"M{left}{arc}{right}{arc}{left}Z"
