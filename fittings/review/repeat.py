"""Whose tape wanders: the technical error of points read twice, by measurer and point, by year."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import F, OuterRef, Subquery

from customers.models import Measurement, MeasurementSet
from customers.people import name_of
from customers.points import BY_KEY, POINTS
from customers.repeat import Pair, Repeat, by_group, published, wanders

YEARS_SHOWN = 3
NOBODY = Repeat(0)


@dataclass(frozen=True, slots=True)
class Line:
    """One hand at one point: over all years, and in each of the newest."""

    point: str
    whole: str
    likely: str
    published: str
    says: str
    wanders: bool
    years: list[str]


@dataclass(frozen=True, slots=True)
class Hand:
    """One measurer, with a line for each point they ever read twice."""

    name: str
    pairs: int
    lines: list[Line]


def pairs_read() -> list[Pair]:
    """Every point of a standing set that was read twice: one query."""
    standing = MeasurementSet.objects.standing().order_by()
    same = {name: OuterRef(name) for name in ("in_set", "point", "side")}
    first = Measurement.objects.filter(**same, reading=1).values("value")
    rows = (
        Measurement.objects.filter(reading=2, in_set__in=standing)
        .annotate(first=Subquery(first), hand=F("in_set__taken_by"), day=F("in_set__taken_on"))
        .order_by()
    )
    found = rows.exclude(first=None).values_list("point", "hand", "day", "first", "value")
    return [Pair(*row) for row in found]


def years_of(pairs: Iterable[Pair]) -> list[int]:
    """The newest years in which anything was read twice, the newest first."""
    return sorted({pair.taken_on.year for pair in pairs}, reverse=True)[:YEARS_SHOWN]


def hands(pairs: list[Pair], unit: str) -> list[Hand]:
    """Everyone who read a point twice, by name: nobody is ranked. One query, for the names."""
    whole = by_group(pairs, lambda pair: (pair.measurer, pair.point))
    yearly = by_group(pairs, lambda pair: (pair.measurer, pair.point, pair.taken_on.year))
    years = years_of(pairs)
    people = User.objects.filter(pk__in={pair.measurer for pair in pairs})
    found = []
    for person in people:
        lines = [
            _line(
                point.key,
                whole[person.pk, point.key],
                [yearly.get((person.pk, point.key, year), NOBODY) for year in years],
                unit,
            )
            for point in POINTS
            if (person.pk, point.key) in whole
        ]
        count = sum(pair.measurer == person.pk for pair in pairs)
        found.append(Hand(name_of(person), count, lines))
    return sorted(found, key=lambda hand: hand.name)


def _line(point: str, whole: Repeat, years: list[Repeat], unit: str) -> Line:
    found = wanders(point, whole)
    return Line(
        point=BY_KEY[point].name,
        whole=whole.text(unit),
        likely=whole.range_text(unit),
        published=published(point, unit),
        says={None: "", True: "wanders", False: "as published"}[found],
        wanders=bool(found),
        years=[year.text(unit) for year in years],
    )
