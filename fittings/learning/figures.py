"""What was learnt: the catalogue's value, worth some cases, together with the house's own cases."""

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from scipy.special import betaincinv, gammaincinv

LEVEL = 0.95


class Row(NamedTuple):
    """Which figure. A remedy has all four keys; a link no operation; a cause's prior neither.

    ``kind`` is empty but for a prior: a fault belongs to one kind of garment.
    """

    cause: str
    fault: str = ""
    operation: str = ""
    kind: str = ""

    @property
    def what(self) -> str:
        return "remedy" if self.operation else "link" if self.fault else "prior"

    @property
    def columns(self) -> dict[str, str]:
        """By the names the ledger and the addresses have for them."""
        return dict(zip(self._fields, self, strict=True))


@dataclass(frozen=True)
class Figure(ABC):
    """One probability of the catalogue, ``book``, with what the house's own ``cases`` say of it.

    ``left_out``: the owner lets it learn nothing, so that ``value`` is the catalogue's.
    """

    book: float
    cases: int = 0
    left_out: bool = False

    @property
    @abstractmethod
    def learnt(self) -> float:
        """The catalogue's value and the house's cases together, 0 to 1."""

    def interval(self, level: float = LEVEL) -> tuple[float, float]:
        """The equal-tailed interval the probability lies in at ``level``, 0 to 1."""
        tail = (1 - level) / 2
        return self._quantile(tail), self._quantile(1 - tail)

    @abstractmethod
    def _quantile(self, at: float) -> float:
        """Where the distribution of the probability has the share ``at`` below it."""

    @property
    def value(self) -> float:
        """What the diagnosis goes by, 0 to 1."""
        return self.book if self.left_out else self.learnt

    @property
    def apart(self) -> float:
        """How far the house is from the books: learnt minus catalogue, -1 to 1."""
        return self.learnt - self.book


@dataclass(frozen=True)
class Chance(Figure):
    """How often it happens, of how often it could, as a Beta distribution.

    Beta(book * worth + good, (1 - book) * worth + bad): ``worth`` is the cases the catalogue's
    value stands for; ``good`` and ``bad`` what the house's say for and against, in parts of cases.
    """

    worth: float = 0.0
    good: float = 0.0
    bad: float = 0.0

    @property
    def learnt(self) -> float:
        return self._alpha / (self._alpha + self._beta)

    def _quantile(self, at: float) -> float:
        return float(betaincinv(self._alpha, self._beta, at))

    @property
    def _alpha(self) -> float:
        return self.book * self.worth + self.good

    @property
    def _beta(self) -> float:
        return (1 - self.book) * self.worth + self.bad


@dataclass(frozen=True)
class Frequency(Figure):
    """How often a cause occurs: the catalogue's odds times ``found`` over ``expected``.

    The ratio is Gamma(worth + found, worth + expected): the catalogue is worth ``worth`` cases
    found where as many were expected. On the odds, so that it stays a probability whatever comes.
    """

    worth: float = 0.0
    found: float = 0.0
    expected: float = 0.0

    @property
    def ratio(self) -> float:
        """How many times as often as by the books."""
        return (self.worth + self.found) / (self.worth + self.expected)

    @property
    def learnt(self) -> float:
        return self._times(self.ratio)

    def _quantile(self, at: float) -> float:
        shape = float(gammaincinv(self.worth + self.found, at))
        return self._times(shape / (self.worth + self.expected))

    def _times(self, ratio: float) -> float:
        odds = ratio * self.book / (1 - self.book)
        return odds / (1 + odds)


@dataclass(frozen=True, slots=True)
class Record:
    """How a remedy fared: cured, and judged, in whole alterations, every day counted in full."""

    cured: int = 0
    judged: int = 0


@dataclass(frozen=True)
class Learnt:
    """Every figure with cases of the house behind it, and each remedy's plain record."""

    figures: Mapping[Row, Figure] = field(default_factory=dict)
    records: Mapping[Row, Record] = field(default_factory=dict)
    cases: int = 0

    def priors(self, kind: str) -> dict[str, float]:
        """{cause: probability} of the causes the house has learnt about in this kind."""
        return {
            row.cause: figure.value
            for row, figure in self.figures.items()
            if row.what == "prior" and row.kind == kind
        }

    @property
    def links(self) -> dict[tuple[str, str], float]:
        """{(cause, fault): probability} of the links the house has learnt about."""
        return {
            (row.cause, row.fault): figure.value
            for row, figure in self.figures.items()
            if row.what == "link"
        }

    def remedy(self, fault: str, cause: str, operation: str) -> Figure | None:
        """How likely this operation, for this cause of this fault, succeeds; None: no case yet."""
        return self.figures.get(Row(cause, fault, operation))

    def remedy_record(self, fault: str, cause: str, operation: str) -> tuple[int, int]:
        """(cured, judged) of the house's own alterations."""
        record = self.records.get(Row(cause, fault, operation), Record())
        return record.cured, record.judged

    def leaving_out(self, rows: Iterable[Row]) -> "Learnt":
        """The same, with ``rows`` at the catalogue's value."""
        out = {row: self.figures[row] for row in rows if row in self.figures}
        kept = {row: replace(figure, left_out=True) for row, figure in out.items()}
        return replace(self, figures={**self.figures, **kept})


NOTHING = Learnt()
