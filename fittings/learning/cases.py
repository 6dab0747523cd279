"""What the house can learn from: a cause taken at one look, and what became of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from fittings.learning.weights import VERDICTS


class Book(Protocol):
    """What the catalogue says of one kind of garment; a ``fittings.diagnosis.Network`` is one."""

    @property
    def priors(self) -> Mapping[str, float]: ...
    @property
    def links(self) -> Mapping[tuple[str, str], float]: ...
    @property
    def leaks(self) -> Mapping[str, float]: ...


@dataclass(frozen=True, slots=True)
class Work:
    """One alteration for the cause: the faults it was to cure, and what the next look said of it.

    ValueError for a verdict there is not.
    """

    operation: str
    faults: frozenset[str]
    verdict: str

    def __post_init__(self) -> None:
        if self.verdict not in VERDICTS:
            raise ValueError(f"A verdict is one of {', '.join(VERDICTS)}, not {self.verdict!r}.")


@dataclass(frozen=True, slots=True)
class Case:
    """A garment at one look: the cause the fitter took, and what became of its alterations.

    ``day`` is the day they were judged, in whole days from anywhere. ``seen`` are the faults
    present, ``clean`` those looked for and not there; a fault in neither was not looked at and
    counts nowhere. ``beside``: the other causes taken at the same look.
    """

    day: int
    kind: str
    cause: str
    seen: frozenset[str]
    clean: frozenset[str]
    work: tuple[Work, ...]
    beside: frozenset[str] = frozenset()

    @property
    def answered(self) -> frozenset[str]:
        """The faults put down to this cause."""
        return frozenset().union(*(work.faults for work in self.work))
