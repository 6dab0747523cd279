"""The best of a small problem by trying every combination of amounts, in whole nanometres."""

from itertools import combinations

import numpy as np

from tests.garments.planning.making import STEP


def best(measures, inlays, choices):
    """The least (weighted nm outside the tolerances, places opened, minutes)."""
    moves = [move for choice in choices for move in _moves(choice, measures, inlays)]
    if not moves:
        return _outside(measures, []), 0, 0
    amounts = np.indices([cap + 1 for *_, cap in moves]).reshape(len(moves), -1)
    allowed = _allowed(moves, amounts, inlays)
    amounts = amounts[:, allowed]
    outside = _outside(measures, [(c, s, amounts[i]) for i, (c, s, _) in enumerate(moves)])
    opened = sum(
        np.any([amounts[i] > 0 for i, (c, s, _) in enumerate(moves) if place in _places(c, s)], 0)
        for place in {place for c, s, _ in moves for place in _places(c, s)}
    )
    minutes = sum(
        len(_places(c, s)) * (c.base_minutes * (steps > 0) + c.minutes_per_step * steps)
        for (c, s, _), steps in zip(moves, amounts, strict=True)
    )
    order = np.lexsort((minutes, opened, outside))
    return tuple(int(values[order[0]]) for values in (outside, opened, minutes))


def scored(plan, measures):
    """The same three figures of a plan."""
    outside = 0
    for row in measures:
        nm = row.found.nm + sum(
            line.gives[row.place].nm for line in plan.lines if row.place in line.gives
        )
        outside += row.weight * max(row.low.nm - nm, nm - row.high.nm, 0)
    return outside, plan.seams_opened, plan.minutes


def _moves(choice, measures, inlays):
    """(choice, side, most steps): each side by itself only where sided measures differ."""
    if choice.sides == ("",):
        sides = [""]
    else:
        moved = {place for side in "LR" for place in choice.moves[side]}
        outs = {m.side: m.found - m.target for m in measures if m.side and m.place in moved}
        alike = len(outs) != 1 and len(set(outs.values())) < 2
        sides = ["both"] if alike else sorted(outs)
    for side in sides:
        room = [inlays[place].nm // STEP.nm for place in _places(choice, side)]
        cap = choice.most.nm // STEP.nm
        yield choice, side, min(cap, *room) if choice.inlay == "uses" else cap


def _places(choice, side):
    return [(choice.seam, each) for each in ("LR" if side == "both" else [side])]


def _allowed(moves, amounts, inlays):
    fine = np.ones(amounts.shape[1], bool)
    for (i, (one, at, _)), (j, (other, there, _)) in combinations(enumerate(moves), 2):
        if not set(_places(one, at)) & set(_places(other, there)):
            continue
        if {one.inlay, other.inlay} == {"uses", "frees"} or other.operation in one.against:
            fine &= (amounts[i] == 0) | (amounts[j] == 0)
    for place, left in inlays.items():
        using = [
            i for i, (c, s, _) in enumerate(moves) if c.inlay == "uses" and place in _places(c, s)
        ]
        if using:
            fine &= amounts[using].sum(0) <= left.nm // STEP.nm
    return fine


def _outside(measures, done):
    outside = 0
    for row in measures:
        nm = row.found.nm
        for choice, side, steps in done:
            times = sum(
                choice.moves[each].get(row.place, 0)
                for each in ("LR" if side == "both" else [side])
            )
            nm = nm + steps * int(times * STEP.nm)
        outside = outside + row.weight * np.maximum(
            np.maximum(row.low.nm - nm, nm - row.high.nm), 0
        )
    return outside
