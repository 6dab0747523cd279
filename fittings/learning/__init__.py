"""What the house has learnt from its own judged alterations, beside what the books say. Pure.

``learn(cases, books) -> Learnt`` gives remedy success, causes' priors and the strengths of links,
each with the catalogue's value, the house's cases and an interval; ``weights`` says what a case
weighs and why. ``calibration`` measures whether what was proposed came true as often as it said.
"""

from fittings.learning.cases import Book, Case, Work
from fittings.learning.figures import NOTHING, Chance, Figure, Frequency, Learnt, Record, Row
from fittings.learning.teaching import learn

__all__ = [
    "NOTHING",
    "Book",
    "Case",
    "Chance",
    "Figure",
    "Frequency",
    "Learnt",
    "Record",
    "Row",
    "Work",
    "learn",
]
