"""The pattern's memory: what past garments of one customer and kind needed, for the next pattern.

    remember(kind, garments, on, unit) -> Memory

Pure. Each past garment says of each place of the pattern what it needed: what was carried into
its pattern, and what was altered on it beyond that and judged a cure. Opposite alterations cancel.
The garments are put together place by place (`estimating`), and the answer is rounded to what a
tape shows: 1/8 in, or 3 mm in a house that measures in centimetres.
"""

from garments.memory.estimating import (
    HALF_LIFE,
    LEAST_WEIGHT,
    NOISE,
    PRIOR_GARMENTS,
    Estimate,
    estimate,
    huber,
    weight,
)
from garments.memory.families import FAMILIES, NO_CHANGE, Family, operation_at, way_of, why_not
from garments.memory.needs import BETTER, Carried, Done, LeftOut, Past, Place, needs_of, places_of
from garments.memory.remembering import (
    Memory,
    Need,
    Seen,
    Sure,
    change_words,
    remember,
    told_amount,
)

__all__ = [
    "BETTER",
    "FAMILIES",
    "HALF_LIFE",
    "LEAST_WEIGHT",
    "NOISE",
    "NO_CHANGE",
    "PRIOR_GARMENTS",
    "Carried",
    "Done",
    "Estimate",
    "Family",
    "LeftOut",
    "Memory",
    "Need",
    "Past",
    "Place",
    "Seen",
    "Sure",
    "change_words",
    "estimate",
    "huber",
    "needs_of",
    "operation_at",
    "places_of",
    "remember",
    "told_amount",
    "way_of",
    "weight",
    "why_not",
]
