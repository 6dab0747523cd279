"""The review's tables: the answers of the record, named, with their intervals."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace

from fittings.rates import Row, mean_from_sums, mean_rows, proportion, rows
from fittings.review.addresses import behind_group
from fittings.review.asking import Asked, By, Counts, Group, Sums
from fittings.review.carried import carried
from fittings.review.facts import (
    Key,
    Left,
    Monthly,
    first_faults,
    first_judgements,
    first_looks,
    left_the_work,
)
from fittings.review.figures import ALL, Table
from fittings.review.labels import HEADINGS, Names, name_groups
from fittings.review.measures import (
    CURES,
    FIRST_FAULT,
    FITTINGS,
    RATES,
    RETURNS,
    WATCH,
    Measure,
)
from fittings.review.queries import added, by_group, looks, watching


@dataclass(frozen=True, slots=True)
class Answers:
    """What the record says for one way of grouping: what left the work, first looks, judgements."""

    left: Mapping[Key, Left]
    looks: Mapping[tuple[Group, datetime.date, str, int], int]
    judged: Monthly

    @property
    def groups(self) -> set[Group]:
        """Every group with something to count."""
        counted = {group for measure in RATES for group in self.counts(measure)}
        return {*counted, *looks(self.left)}

    def counts(self, measure: Measure) -> Counts:
        """Group -> (numerator, denominator) of a rate."""
        return by_group(self.monthly(measure))

    def monthly(self, measure: Measure) -> Monthly:
        if measure is CURES:
            return self.judged
        if measure is FIRST_FAULT:
            return first_faults(self.looks)
        return {key: left.of(measure.key) for key, left in self.left.items()}


def answer(asked: Asked, now: datetime.datetime, *, by_month: bool = True) -> Answers:
    """Three statements, whatever is counted of them."""
    return Answers(
        left_the_work(asked, now, by_month=by_month),
        first_looks(asked, by_month=by_month),
        first_judgements(asked, by_month=by_month),
    )


def review(asked: Asked, now: datetime.datetime) -> list[Table]:
    """Every table of the page, all with the same rows: a group with nothing to count says so."""
    found = answer(asked, now, by_month=False)
    # A garment with two faults stands in two rows, so by fault the rows do not add up.
    plain = found
    if asked.by is By.FAULT:
        plain = answer(replace(asked, by=By.KIND), now, by_month=False)
    names = name_groups(asked.by, found.groups)
    heading = HEADINGS[asked.by]
    notes = {RETURNS: _watch_note(watching(plain.left))}
    rates = [
        replace(
            _of_counts(measure, heading, names, found.counts(measure), plain.counts(measure)),
            note=notes.get(measure, ""),
            links=_links(measure, asked, names, found.counts(measure)),
        )
        for measure in RATES
    ]
    each = _of_sums(FITTINGS, heading, names, looks(found.left), looks(plain.left))
    return [*rates, each, *carried(plain.looks)]


def _of_counts(
    measure: Measure, heading: str, names: Names, counts: Counts, plain: Counts
) -> Table:
    whole = proportion(*added(plain.values()))
    groups = {name: counts.get(group, (0, 0)) for group, name in names.items()}
    return Table(measure, heading, rows(groups), Row(ALL, whole))


def _links(measure: Measure, asked: Asked, names: Names, counts: Counts) -> dict[str, str]:
    """By the name of a row, where its garments stand; rows with none lead nowhere."""
    return {
        name: behind_group(measure, asked, group)
        for group, name in names.items()
        if counts.get(group)
    }


def _of_sums(measure: Measure, heading: str, names: Names, sums: Sums, plain: Sums) -> Table:
    whole = mean_from_sums(*(sum(parts[i] for parts in plain.values()) for i in range(3)))
    groups = {name: sums.get(group, (0, 0, 0)) for group, name in names.items()}
    return Table(measure, heading, mean_rows(groups), Row(ALL, whole))


def _watch_note(waiting: int) -> str:
    if not waiting:
        return ""
    garments = "1 garment" if waiting == 1 else f"{waiting} garments"
    return (
        f"{garments} of these days left less than {WATCH.days} days ago: not counted yet, "
        "neither as back nor as good."
    )
