"""A table of the review: figures with their counts, for the page and for a file."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fittings.rates import Mean, Proportion, Row
from fittings.review.exports import Cell
from fittings.review.measures import Measure

AnyRow = Row[Proportion] | Row[Mean]
ALL = "All together"


@dataclass(frozen=True, slots=True)
class Table:
    """One measure by group, in the order of the names, and the row of all together.

    ``links`` lead from a row, by its name, to its garments; ``drawn_as`` is a name that no other
    table has, under which its drawing is kept.
    """

    measure: Measure
    heading: str
    rows: Sequence[AnyRow]
    whole: AnyRow
    note: str = ""
    links: Mapping[str, str] = field(default_factory=dict)
    drawn_as: str = field(default_factory=lambda: uuid.uuid4().hex, compare=False)

    @property
    def caption(self) -> str:
        return f"{self.measure.title} by {self.heading.lower()}"

    @property
    def count(self) -> str:
        """The counts behind the figure of all together."""
        hits, among = _counts(self.whole.figure)
        if isinstance(self.whole.figure, Proportion):
            return f"{hits} of {among}"
        what = self.measure.columns[0].lower()
        return f"{hits} {what} of {among} garment{'' if among == 1 else 's'}"

    @property
    def range(self) -> str:
        """The range of the figure of all together, in words."""
        figure = self.whole.figure
        alike = isinstance(figure, Mean) and not figure.sd
        return figure.likely if alike or figure.too_few else f"likely {figure.likely}"

    @property
    def columns(self) -> list[str]:
        """The headings of ``lines``."""
        return [self.heading, *self.measure.columns, "Likely between"]

    @property
    def lines(self) -> list[list[Cell]]:
        """What the page shows."""
        return [
            [row.name, *_counts(row.figure), row.figure.shown, row.figure.likely]
            for row in self._with_whole()
        ]

    @property
    def linked_lines(self) -> list[tuple[list[Cell], str]]:
        """The same with the address of the garments behind each, or nothing."""
        return [(line, self.links.get(str(line[0]), "")) for line in self.lines]

    @property
    def number_columns(self) -> list[str]:
        """The headings of ``number_lines``."""
        return [self.heading, *self.measure.columns, "Lowest likely", "Highest likely", "In words"]

    @property
    def number_lines(self) -> list[list[Cell]]:
        """The same as plain numbers; where there are too few to tell, the counts alone."""
        return [
            [row.name, *_counts(row.figure), *_interval(row.figure), row.figure.words()]
            for row in self._with_whole()
        ]

    def _with_whole(self) -> list[AnyRow]:
        return [*self.rows, self.whole] if self.rows else []


def _counts(figure: Proportion | Mean) -> tuple[int, int]:
    """The numerator and the denominator."""
    return (figure.k, figure.n) if isinstance(figure, Proportion) else (figure.total, figure.count)


def _interval(figure: Proportion | Mean) -> tuple[float | None, float | None, float | None]:
    """The figure with its limits, to six places; nothing where there are too few to tell."""
    value = figure.rate if isinstance(figure, Proportion) else figure.mean
    if figure.too_few or value is None or figure.low is None or figure.high is None:
        return None, None, None
    return round(value, 6), round(figure.low, 6), round(figure.high, 6)
