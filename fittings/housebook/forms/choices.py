"""What may be chosen, in words, for a kind of garment."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from fittings.catalogue import HOW_COMMON, STAGES, STRENGTHS, Catalogue
from fittings.housebook.words import STRENGTH_WORDS
from garments import seams

CHOOSE: Final = ("", "Choose")
STEPS: Final = [
    (step, f"{STRENGTH_WORDS[step]}: {odds:.0%} of the times it is there")
    for step, odds in sorted(STRENGTHS.items(), key=lambda each: -each[1])
]
COMMON: Final = [
    (step, f"{step.replace('-', ' ')}: {part:.0%} of garments")
    for step, part in sorted(HOW_COMMON.items(), key=lambda each: -each[1])
]
SIDES: Final = [("", "either side"), ("L", "left only"), ("R", "right only")]
WORK_SIDES: Final = [("", "as seen"), ("L", "left"), ("R", "right"), ("both", "both sides")]
FACTORS: Final = [
    ("", "takes no amount"),
    ("1/4", "a quarter of what was measured"),
    ("1/2", "half of what was measured"),
    ("3/4", "three quarters of what was measured"),
    ("1", "all of what was measured"),
    ("2", "twice what was measured"),
]
Choices = list[tuple[str, Any]]


def in_order(stages: Iterable[str]) -> tuple[str, ...]:
    chosen = set(stages)
    return tuple(stage for stage in STAGES if stage in chosen)


def causes_of(book: Catalogue, kind: str) -> Choices:
    rows = sorted((row.name, row.key) for row in book.causes if kind in row.kinds)
    return [CHOOSE, *((key, name) for name, key in rows)]


def faults_of(book: Catalogue, kind: str) -> Choices:
    """The faults of a kind under their zones."""
    groups: list[tuple[str, Sequence[tuple[str, str]]]] = [
        (zone.name, [(row.key, row.label) for row in book.faults_of(kind, zone.key)])
        for zone in book.zones_of(kind)
    ]
    return [CHOOSE, *groups]


def shown_by(book: Catalogue, kind: str, cause: str) -> Choices:
    """The faults of a kind that a cause shows as."""
    shown = {row.fault for row in book.links if row.cause == cause}
    return [(row.key, row.label) for row in book.faults_of(kind) if row.key in shown]


def work_of(kind: str) -> Choices:
    """Each operation of a kind with the seams it is done at."""
    return [
        CHOOSE,
        *(
            (
                op.name,
                [(f"{op.key}:{at}", _at(kind, op.name, at)) for at in op.seams(kind)],
            )
            for op in seams.operations(kind)
        ),
    ]


def _at(kind: str, operation: str, seam: str) -> str:
    return f"{operation}: {seams.seam(kind, seam).name.lower()}"
