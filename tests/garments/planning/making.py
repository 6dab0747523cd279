"""Measures, choices and plans written short."""

import random
from fractions import Fraction

from customers.lengths import Length, parse
from garments import seams
from garments.planning import Choice, Deviation, Step, choices, plan

STEP = parse("1/8")
# Operations and seams of a coat that the random problems borrow; what they do there is made up.
SIDED = [
    ("let-out", "side-seam", "uses"),
    ("take-in", "side-seam", "frees"),
    ("let-out", "underarm-seam", "uses"),
    ("let-out-waist", "side-seam", "uses"),
    ("lengthen-cuff", "cuff", "uses"),
    ("shorten-cuff", "cuff", "frees"),
]
SINGLE = [("let-out", "centre-back", "uses"), ("take-in", "centre-back", "frees")]


def measure(name, found, target, give="1/4", weight=1):
    """`measure("sleeve/L", "25", "25 1/2")`: right within `give` of its target."""
    point, _, side = name.partition("/")
    aim, give = parse(target), parse(give)
    return Deviation(
        point=point,
        side=side,
        found=parse(found),
        target=aim,
        low=aim - give,
        high=aim + give,
        weight=weight,
        name={"L": f"{point}, left", "R": f"{point}, right"}.get(side, point).capitalize(),
    )


def pin(text):
    """`pin("pad-shoulder shoulder-seam R 1/4")`; `-` where there is no side."""
    operation, seam, side, amount = text.split(maxsplit=3)
    return Step(operation, seam, side.strip("-"), parse(amount))


def inlays(kind, **left):
    """What is normally left, but for `side_seam="3/8"`, or `cuff_L="0"`."""
    now = seams.normal_inlays(kind)
    for name, text in left.items():
        seam, _, _side = name.partition("_L") if name.endswith("_L") else name.partition("_R")
        key = seam.replace("_", "-")
        wanted = ["L", "R"] if (key, "L") in now else [""]
        if name.endswith(("_L", "_R")):
            wanted = [name[-1]]
        now |= {(key, side): parse(text) for side in wanted}
    return now


def planned(kind, measures, left=None, **more):
    """A plan to the target in eighths, from the choices of a kind."""
    now = inlays(kind) if left is None else left
    return plan(measures, now, choices(kind), STEP, **{"kind": kind, "to_target": True} | more)


def signed(lines):
    """The lines as a tailor would write them: `let-out side-seam both 1/4`."""
    return [f"{row.operation} {row.seam} {row.side or '-'} {row.amount}" for row in lines]


def problem(seed):
    """A small random problem: measures, inlays and choices that may undo one another."""
    rng = random.Random(seed)
    places = [("waist", ""), ("chest", ""), ("sleeve", "L"), ("sleeve", "R")][: rng.randint(1, 4)]
    measures = [_measure(rng, place) for place in places]
    rows = rng.sample(SIDED, rng.randint(1, 2)) + rng.sample(SINGLE, rng.randint(0, 2))
    left = {
        (seam, side): Length(STEP.nm * rng.randint(0, 3))
        for operation, seam, _ in rows
        for side in (("",) if seam == "centre-back" else ("L", "R"))
    }
    return measures, left, [_choice(rng, row, places) for row in rows]


def _measure(rng, place):
    low, high = sorted(rng.randint(-2, 2) for _ in range(2))
    target = Length(STEP.nm * 100)
    aim = Length(STEP.nm * rng.randint(low, high))
    return Deviation(
        point=place[0],
        side=place[1],
        found=target + Length(STEP.nm * rng.randint(-6, 6) + rng.choice([0, 396_875])),
        target=target + aim,
        low=target + Length(STEP.nm * low),
        high=target + Length(STEP.nm * high),
        weight=rng.randint(1, 3),
    )


def _choice(rng, row, places):
    operation, seam, inlay = row
    middle = [place for place in places if not place[1]]
    times = {place: Fraction(rng.randint(-4, 4), 2) for place in middle}
    sleeves = rng.choice([-1, 0, 1])
    sides = ("",) if seam == "centre-back" else ("L", "R")
    moves = {
        side: times | {place: Fraction(sleeves) for place in places if place[1] == (side or "-")}
        for side in sides
    }
    return Choice(
        operation=operation,
        seam=seam,
        moves={s: {place: t for place, t in of.items() if t} for s, of in moves.items()},
        inlay=inlay,
        most=Length(STEP.nm * rng.randint(1, 3)),
        base_minutes=rng.choice([15, 35, 60]),
        minutes_per_step=rng.randint(0, 5),
        against=seams.operation(operation).against,
    )
