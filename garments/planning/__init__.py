"""An alteration plan: which seams, by how much, so that every measure comes within its tolerance.

    plan(deviations, inlays, choices(kind), step) -> Plan
    effect_of(lines, deviations, inlays, choices(kind), step) -> Effect

Exact, by a mixed integer programme; never beyond an inlay; in working order, with why.
"""

from garments.planning.choosing import choices
from garments.planning.effect import Effect, LineEffect, Measured, effect_of
from garments.planning.planner import plan
from garments.planning.rows import (
    Answer,
    Choice,
    Deviation,
    Left,
    Plan,
    PlanLine,
    PlanningError,
    Step,
    point_name,
)

__all__ = [
    "Answer",
    "Choice",
    "Deviation",
    "Effect",
    "Left",
    "LineEffect",
    "Measured",
    "Plan",
    "PlanLine",
    "PlanningError",
    "Step",
    "choices",
    "effect_of",
    "plan",
    "point_name",
]
