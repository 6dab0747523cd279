"""The review's tables: the answers of the record, named, with their intervals."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fittings.rates import Mean, Proportion, Row, mean_from_sums, mean_rows, proportion, rows
from fittings.review import queries
from fittings.review.labels import HEADINGS, Names, name_groups
from fittings.review.measures import CURES, FITTINGS, REMAKES, RETURNS, WATCH, Measure
from fittings.review.queries import Asked, By, Counts, Group, Sums

Cell = str | int | float | None
AnyRow = Row[Proportion] | Row[Mean]
ALL = "All together"


@dataclass(frozen=True, slots=True)
class Table:
    """One measure by group, in the order of the names, and the row of all together."""

    measure: Measure
    heading: str
    rows: Sequence[AnyRow]
    whole: AnyRow
    note: str = ""

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


@dataclass(frozen=True, slots=True)
class Answers:
    """What the record says for one way of grouping."""

    remakes: Counts
    returns: Counts
    cures: Counts
    fittings: Sums

    @property
    def groups(self) -> set[Group]:
        return {*self.remakes, *self.returns, *self.cures, *self.fittings}


def review(asked: Asked, now: datetime.datetime) -> list[Table]:
    """Every table of the page, all with the same rows: a group with nothing to count says so."""
    found = _answers(asked, now)
    # A garment with two faults stands in two rows, so by fault the rows do not add up.
    plain = _answers(replace(asked, by=By.KIND), now) if asked.by is By.FAULT else found
    names = name_groups(asked.by, found.groups)
    heading = HEADINGS[asked.by]
    watched = _watch_note(queries.still_watched(asked, now))
    return [
        _of_counts(REMAKES, heading, names, found.remakes, plain.remakes),
        replace(_of_counts(RETURNS, heading, names, found.returns, plain.returns), note=watched),
        _of_counts(CURES, heading, names, found.cures, plain.cures),
        _of_sums(FITTINGS, heading, names, found.fittings, plain.fittings),
    ]


def _answers(asked: Asked, now: datetime.datetime) -> Answers:
    return Answers(
        queries.remakes(asked),
        queries.returns(asked, now),
        queries.cures(asked),
        queries.fittings(asked),
    )


def _of_counts(
    measure: Measure, heading: str, names: Names, counts: Counts, plain: Counts
) -> Table:
    whole = proportion(sum(k for k, _ in plain.values()), sum(n for _, n in plain.values()))
    groups = {name: counts.get(group, (0, 0)) for group, name in names.items()}
    return Table(measure, heading, rows(groups), Row(ALL, whole))


def _of_sums(measure: Measure, heading: str, names: Names, sums: Sums, plain: Sums) -> Table:
    whole = mean_from_sums(*(sum(parts[i] for parts in plain.values()) for i in range(3)))
    groups = {name: sums.get(group, (0, 0, 0)) for group, name in names.items()}
    return Table(measure, heading, mean_rows(groups), Row(ALL, whole))


def _counts(figure: Proportion | Mean) -> tuple[int, int]:
    """The numerator and the denominator."""
    return (figure.k, figure.n) if isinstance(figure, Proportion) else (figure.total, figure.count)


def _interval(figure: Proportion | Mean) -> tuple[float | None, float | None, float | None]:
    """The figure with its limits, to six places; nothing where there are too few to tell."""
    value = figure.rate if isinstance(figure, Proportion) else figure.mean
    if figure.too_few or value is None or figure.low is None or figure.high is None:
        return None, None, None
    return round(value, 6), round(figure.low, 6), round(figure.high, 6)


def _watch_note(waiting: int) -> str:
    if not waiting:
        return ""
    garments = "1 garment" if waiting == 1 else f"{waiting} garments"
    return (
        f"{garments} of these days left less than {WATCH.days} days ago: not counted yet, "
        "neither as back nor as good."
    )
