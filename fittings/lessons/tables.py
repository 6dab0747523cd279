"""What was learnt as the owner reads it: figures in words, sorted, with their intervals."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import urlencode

from fittings.catalogue import Catalogue
from fittings.learning import Figure, Frequency, Learnt, Row
from fittings.learning.calibration import (
    FEWEST_LOOKS,
    Bin,
    brier,
    difference,
    reliability,
)
from fittings.lessons.charts import Diagram, reliability_diagram
from fittings.lessons.kept import figure_of
from fittings.lessons.reading import books_of
from fittings.models import Omission
from garments import seams
from garments.seams import UnknownKeyError

REMEDIES, LINKS, PRIORS = "remedies", "links", "priors"
WHAT: Final = {REMEDIES: "remedy", LINKS: "link", PRIORS: "prior"}
APART, CASES, NAME = "apart", "cases", "name"


@dataclass(frozen=True, slots=True)
class Line:
    """One figure: what it is of, what the catalogue says, what the house has learnt."""

    row: Row
    figure: Figure
    names: tuple[str, ...]
    house: str
    omission: Omission | None

    @property
    def address(self) -> str:
        """Its keys as the query of an address."""
        return urlencode({name: value for name, value in self.row.columns.items() if value})

    @property
    def worth(self) -> str:
        """How many cases the catalogue's value stands for."""
        return f"{getattr(self.figure, 'worth', 0):g}"

    @property
    def name(self) -> str:
        return " · ".join(self.names)

    @property
    def book(self) -> str:
        return percent(self.figure.book)

    @property
    def learnt(self) -> str:
        return percent(self.figure.learnt)

    @property
    def goes_by(self) -> str:
        return percent(self.figure.value)

    @property
    def likely(self) -> str:
        low, high = self.figure.interval()
        return f"{percent(low)} to {percent(high)}"

    @property
    def apart(self) -> str:
        return f"{self.figure.apart * 100:+.1f}".replace("-", "−")  # noqa: RUF001 - a minus


@dataclass(frozen=True, slots=True)
class Tenth:
    """The proposals between two tenths, in words."""

    span: str
    forecast: str
    came: str
    likely: str


@dataclass(frozen=True, slots=True)
class Calibration:
    """How well what was proposed came true; without enough looks only their number."""

    looks: int
    too_few: bool
    said: str = ""
    alone: str = ""
    reference: str = ""
    counted: str = ""
    base: str = ""
    tenths: list[Tenth] = field(default_factory=list)
    diagram: Diagram | None = None
    verdict: str = ""


def lines_of(
    learnt: Learnt,
    catalogue: Catalogue,
    left_out: Mapping[Row, Omission],
    *,
    what: str,
    least: int,
    sort: str,
) -> list[Line]:
    """The figures of one sort with ``least`` cases or more."""
    wanted = (
        row
        for row, figure in learnt.figures.items()
        if row.what == WHAT[what] and figure.cases >= least
    )
    named = [line for row in wanted if (line := line_of(row, learnt, catalogue, left_out))]
    order = {
        APART: lambda line: (-abs(line.figure.apart), line.name),
        CASES: lambda line: (-line.figure.cases, line.name),
        NAME: lambda line: line.name,
    }
    return sorted(named, key=order[sort])


def line_of(
    row: Row, learnt: Learnt, catalogue: Catalogue, left_out: Mapping[Row, Omission]
) -> Line | None:
    """The figure in words, though no case be behind it; None when the catalogue has no such."""
    figure = learnt.figures.get(row) or figure_of(row, books_of(catalogue))
    if figure is None:
        return None
    names = [cause_words(catalogue, row.cause)]
    if row.kind:
        names.append(row.kind)
    if row.fault:
        names.append(fault_words(catalogue, row.fault))
    if row.operation:
        names.append(operation_words(row.operation))
    return Line(row, figure, tuple(names), _house(row, figure, learnt), left_out.get(row))


def calibration_of(kept: Mapping[str, Any]) -> Calibration:
    """Scores and diagram of the proposals kept; too few looks tell nothing."""
    looks = kept.get("looks", 0)
    if looks < FEWEST_LOOKS:
        return Calibration(looks, too_few=True)
    said = [(pair[0], pair[2]) for pair in kept["pairs"]]
    alone = [(pair[1], pair[2]) for pair in kept["pairs"]]
    bins, score = reliability(said), brier(said)
    return Calibration(
        looks=looks,
        too_few=False,
        said=f"{score.brier:.4f}",
        alone=f"{brier(alone).brier:.4f}",
        reference=f"{score.reference:.4f}",
        counted=f"{score.count} proposals",
        base=f"Who says {percent(score.base_rate)} to everything, the share that came true.",
        tenths=[_tenth(each) for each in bins],
        diagram=reliability_diagram(bins, reliability(alone), score.base_rate),
        verdict=_verdict(*difference(said, alone)),
    )


def _tenth(each: Bin) -> Tenth:
    return Tenth(
        span=f"{each.low * 100:.0f} to {each.high * 100:.0f} %",
        forecast=percent(each.forecast),
        came=f"{each.came.k} of {each.came.n}",
        likely=each.came.likely or each.came.shown,
    )


def _verdict(mean: float, low: float, high: float) -> str:
    apart = f"by {abs(mean):.4f}, likely {low:+.4f} to {high:+.4f}".replace("-", "−")  # noqa: RUF001
    if low == high == 0:
        return "What was proposed is what the catalogue alone would have said."
    if high < 0:
        return f"What was proposed did better than the catalogue alone ({apart})."
    if low > 0:
        return f"What was proposed did worse than the catalogue alone ({apart})."
    return f"What was proposed and the catalogue alone cannot be told apart ({apart})."


def _house(row: Row, figure: Figure, learnt: Learnt) -> str:
    """What stands behind the figure, in counts."""
    if isinstance(figure, Frequency):
        return f"found {figure.found:.1f}, expected {figure.expected:.1f}"
    if row.what == "remedy":
        cured, judged = learnt.remedy_record(row.fault, row.cause, row.operation)
        return f"{cured} of {judged} cured"
    return ""


def cause_words(catalogue: Catalogue, key: str) -> str:
    return catalogue.cause_name(key)


def fault_words(catalogue: Catalogue, key: str) -> str:
    return catalogue.fault_label(key)


def operation_words(key: str) -> str:
    try:
        return seams.operation(key).name
    except UnknownKeyError:
        return key


def percent(share: float) -> str:
    """Per cent to a place below ten, whole above."""
    return f"{share * 100:.1f} %" if share < 0.0995 else f"{share * 100:.0f} %"  # noqa: PLR2004
