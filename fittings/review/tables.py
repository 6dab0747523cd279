"""The review's tables: the answers of the record, named, with their intervals."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from fittings.rates import Row, mean_from_sums, mean_rows, proportion, rows
from fittings.review.addresses import behind, behind_groups
from fittings.review.asking import Asked, By, Counts, Group
from fittings.review.carried import carried
from fittings.review.facts import (
    Key,
    Left,
    Monthly,
    first_faults,
    first_judgements,
    left_the_work,
)
from fittings.review.figures import ALL, Table
from fittings.review.labels import HEADINGS, name_groups
from fittings.review.measures import (
    CURES,
    FIRST_FAULT,
    FITTINGS,
    RATES,
    RETURNS,
    WATCH,
    Measure,
)
from fittings.review.totals import added, by_group, looks, watching

KEPT = 500  # tables kept by their numbers


@dataclass(frozen=True)
class Answers:
    """What the record says for one way of grouping: what left the work, first looks, judgements."""

    left: Mapping[Key, Left]
    faulty: Monthly
    judged: Monthly

    @cached_property
    def groups(self) -> set[Group]:
        """Every group with something to count."""
        counted = {group for counts in self.counts.values() for group in counts}
        return {*counted, *looks(self.left)}

    @cached_property
    def counts(self) -> dict[Measure, Counts]:
        """Of each rate: group -> (numerator, denominator)."""
        return {measure: by_group(self.monthly(measure)) for measure in RATES}

    def monthly(self, measure: Measure) -> Monthly:
        if measure is CURES:
            return self.judged
        if measure is FIRST_FAULT:
            return self.faulty
        return {key: left.of(measure.key) for key, left in self.left.items()}


def answer(asked: Asked, now: datetime.datetime, *, by_month: bool = True) -> Answers:
    """Three statements, whatever is counted of them."""
    return Answers(
        left_the_work(asked, now, by_month=by_month),
        first_faults(asked, by_month=by_month),
        first_judgements(asked, by_month=by_month),
    )


def review(asked: Asked, now: datetime.datetime) -> list[Table]:
    """Every table of the page, all with the same rows: a group with nothing to count says so."""
    found = answer(asked, now, by_month=False)
    # A garment with two faults stands in two rows, so by fault the rows do not add up.
    plain = found
    if asked.by is By.FAULT:
        plain = answer(replace(asked, by=By.KIND), now, by_month=False)
    names = tuple(name_groups(asked.by, found.groups).items())
    notes = {RETURNS: _watch_note(watching(plain.left))}
    rates = [
        _rate_table(
            measure,
            (asked, behind(measure, asked)),
            _named(measure, found, names) if asked.by is By.FAULT else names,
            tuple(found.counts[measure].items()),
            (added(plain.counts[measure].values()), notes.get(measure, "")),
        )
        for measure in RATES
    ]
    each = _mean_table(
        asked.by, names, tuple(looks(found.left).items()), tuple(looks(plain.left).values())
    )
    return [*rates, each, *carried(asked)]


def _named(
    measure: Measure, found: Answers, names: tuple[tuple[Group, str], ...]
) -> tuple[tuple[Group, str], ...]:
    """By fault: one seen at no first fitting is no row of those, not a row of none in none."""
    if measure is not FIRST_FAULT:
        return names
    return tuple(pair for pair in names if pair[0] in found.counts[measure])


@lru_cache(maxsize=KEPT)
def _rate_table(
    measure: Measure,
    of: tuple[Asked, str],
    names: tuple[tuple[Group, str], ...],
    counts: tuple[tuple[Group, tuple[int, int]], ...],
    said: tuple[tuple[int, int], str],
) -> Table:
    """The table of a rate: of the same numbers and names it is the same, drawn once.

    ``of`` is the question with its address, for a person may get another name in it; ``said`` are
    the counts of all together, and a note.
    """
    (asked, _), (whole, note) = of, said
    by_group = dict(counts)
    groups = {name: by_group.get(group, (0, 0)) for group, name in names}
    filled = {group: name for group, name in names if group in by_group}
    links = behind_groups(measure, asked, filled)
    return Table(
        measure,
        HEADINGS[asked.by],
        rows(groups),
        Row(ALL, proportion(*whole)),
        note,
        dict(zip(filled.values(), links, strict=True)),
    )


@lru_cache(maxsize=KEPT)
def _mean_table(
    by: By,
    names: tuple[tuple[Group, str], ...],
    sums: tuple[tuple[Group, tuple[int, int, int]], ...],
    plain: tuple[tuple[int, int, int], ...],
) -> Table:
    whole = mean_from_sums(*(sum(parts[i] for parts in plain) for i in range(3)))
    by_group = dict(sums)
    groups = {name: by_group.get(group, (0, 0, 0)) for group, name in names}
    return Table(FITTINGS, HEADINGS[by], mean_rows(groups), Row(ALL, whole))


def _watch_note(waiting: int) -> str:
    if not waiting:
        return ""
    garments = "1 garment" if waiting == 1 else f"{waiting} garments"
    return (
        f"{garments} of these days left less than {WATCH.days} days ago: not counted yet, "
        "neither as back nor as good."
    )
