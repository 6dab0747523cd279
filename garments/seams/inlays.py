"""What an operation does to the inlay of its seam."""

from collections.abc import Mapping

from customers.lengths import Length
from garments.seams.rows import Seam, UnknownKeyError
from garments.seams.work import FREES, NONE, USES, operation


def inlay_after(
    left: Mapping[str, Length], operation_key: str, amount: Length, side: str
) -> dict[str, Length]:
    """The inlay at one seam once the operation is done there, by side ("L", "R" or "").

    `left` is what is in the seam now. The whole `amount` moves on each side stated, never half of
    it. May come out below what must stay inside, or below zero: `shortfall` says by how much.
    UnknownKeyError for a side that `left` does not hold.
    """
    sign = {USES: -1, FREES: 1, NONE: 0}[operation(operation_key).inlay]
    touched = _sides_touched(left, side)
    return {
        where: inlay + amount * sign if where in touched else inlay for where, inlay in left.items()
    }


def shortfall(
    at: Seam, left: Mapping[str, Length], operation_key: str, amount: Length, side: str
) -> dict[str, Length]:
    """How much cloth is missing, by side; empty when the seam holds enough.

    What must stay inside counts as missing. An operation that uses no inlay never falls short.
    """
    if operation(operation_key).inlay != USES:
        return {}
    after = inlay_after(left, operation_key, amount, side)
    touched = _sides_touched(left, side)
    return {
        where: at.keep - inlay
        for where, inlay in after.items()
        if where in touched and inlay < at.keep
    }


def _sides_touched(left: Mapping[str, Length], side: str) -> frozenset[str]:
    """The sides an operation moves. One that has no sides moves the whole of a sided seam."""
    whole = side == "both" or (not side and "" not in left)
    touched = frozenset(("L", "R") if whole else (side,))
    if not touched <= set(left):
        raise UnknownKeyError(f"The seam has no inlay entered for side “{side}”.")
    return touched
