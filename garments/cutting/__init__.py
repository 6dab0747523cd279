"""The finished measures a garment is aimed at: body measure, ease and house rule, each with why.

    read_cut(kind, data) -> Cut                      CutError says what contradicts what
    targets(measures, cut, wishes) -> {(point, side): Target}
    aim(measures, cut, wishes) -> Aimed              the same with what is missing or absurd

Every target is the sum of its parts: the why is that sum in words. Lengths are exact, so it does
not matter in which unit a measure or a figure of the cut was written.
"""

from garments.cutting.aiming import (
    Aimed,
    Finding,
    Target,
    Wish,
    aim,
    compare,
    targets,
)
from garments.cutting.cuts import (
    FIGURES,
    RULES,
    Aim,
    Cut,
    CutError,
    Figure,
    Rule,
    data_of,
    exact,
    house_cut,
    house_cuts,
    read_cut,
)
from garments.cutting.finished import POINTS, FinishedPoint, finished_point

__all__ = [
    "FIGURES",
    "POINTS",
    "RULES",
    "Aim",
    "Aimed",
    "Cut",
    "CutError",
    "Figure",
    "Finding",
    "FinishedPoint",
    "Rule",
    "Target",
    "Wish",
    "aim",
    "compare",
    "data_of",
    "exact",
    "finished_point",
    "house_cut",
    "house_cuts",
    "read_cut",
    "targets",
]
