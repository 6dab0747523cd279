"""Seams, the inlay normally left in them, what can be done to them and what that does.

Pure data, read once from `data/seams.toml`, `data/operations.toml` and `data/effects.toml`, with
the look-ups around it. An amount is the distance the sewn line moves, never negative: the
direction is the operation's. On a sided seam it is meant each side; at a seam that joins a left
and a right half (centre back, seat seam) each side of the seam; at the one collar, waistband or
row of buttons, in all. What an amount comes to in the girth: `garments.seams.effects`.
"""

from garments.seams.effects import EFFECTS, Effect, effect_at, moved_by, moves
from garments.seams.inlays import inlay_after, shortfall
from garments.seams.naming import named_at, place_name, work_name
from garments.seams.ordering import working_order
from garments.seams.refusing import MOST, needs_side, refusals, refusals_by_field
from garments.seams.rows import (
    KINDS,
    SIDE_NAMES,
    SIDES,
    Seam,
    UnknownKeyError,
    UnknownKindError,
    UnknownOperationError,
    UnknownSeamError,
    normal_inlays,
    read_as,
    seam,
    seams,
)
from garments.seams.work import (
    EIGHTH,
    FREES,
    NONE,
    USES,
    Operation,
    OperationsError,
    block_reason,
    operation,
    operations,
    read_operations,
)

__all__ = [
    "EFFECTS",
    "EIGHTH",
    "FREES",
    "KINDS",
    "MOST",
    "NONE",
    "SIDES",
    "SIDE_NAMES",
    "USES",
    "Effect",
    "Operation",
    "OperationsError",
    "Seam",
    "UnknownKeyError",
    "UnknownKindError",
    "UnknownOperationError",
    "UnknownSeamError",
    "block_reason",
    "effect_at",
    "inlay_after",
    "moved_by",
    "moves",
    "named_at",
    "needs_side",
    "normal_inlays",
    "operation",
    "operations",
    "place_name",
    "read_as",
    "read_operations",
    "refusals",
    "refusals_by_field",
    "seam",
    "seams",
    "shortfall",
    "work_name",
    "working_order",
]
