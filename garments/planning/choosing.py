"""Everything that may be done to a kind of garment, as the planner takes it."""

from functools import cache

from garments import seams
from garments.planning.rows import Choice


@cache
def choices(kind: str) -> tuple[Choice, ...]:
    """All operations of a kind at all their seams, those that take an amount, in working order.

    UnknownKindError for a kind that does not exist.
    """
    return tuple(
        _choice(kind, op, key)
        for op in seams.operations(kind)
        if op.takes_amount
        for key in op.seams(kind)
    )


def _choice(kind: str, op: seams.Operation, key: str) -> Choice:
    at = seams.seam(kind, key)
    effect = seams.effect_at(kind, op.key, key)
    sides = ("L", "R") if op.sided and at.sided else ("",)
    return Choice(
        operation=op.key,
        seam=key,
        moves={side: seams.moves(kind, op.key, key, side) for side in sides},
        inlay=op.inlay,
        keep=at.keep,
        most=min(effect.most or seams.MOST, seams.MOST),
        base_minutes=op.base_minutes,
        minutes_per_step=op.minutes_per_eighth,
        against=op.against,
        blocks=op.blocks,
        instead=op.instead,
        proposed=effect.proposed,
    )
