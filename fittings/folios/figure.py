"""A customer's measures over time, as they were taken: read off, never guessed at."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from customers import figure as engine
from customers import points
from customers.change import changed_together, compare
from customers.ledger import LedgerQuerySet
from customers.lengths import Length
from customers.models import Customer, Measurement, MeasurementSet
from customers.queries import before_and_since
from fittings.folios.prepared import Prepared
from garments import seams
from garments.models import Garment

OTHER_UNIT = {"in": "cm", "cm": "in"}
SETS_SHOWN = 4
Lengths = dict[tuple[str, str], Length]
CHEST, WAIST = ("chest", ""), ("waist", "")


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One measure over time: newest first, and whether it changed since the set before."""

    name: str
    side: str
    newest: str
    newest_other: str
    change: str
    earlier: list[str]

    @property
    def cells(self) -> list[str]:
        """The row as the table shows it: nothing to compare with takes no column."""
        change = [self.change or " "] if self.earlier else []
        return [self.newest, self.newest_other or " ", *change, *self.earlier]


@dataclass(frozen=True, slots=True)
class Figure:
    """What the measures say: read off, never guessed at."""

    sets: Sequence[MeasurementSet]
    groups: list[tuple[str, list[MeasureRow]]]
    drop: str
    says: engine.Figure

    @property
    def newest(self) -> MeasurementSet:
        return self.sets[0]

    @property
    def shown(self) -> Sequence[MeasurementSet]:
        return self.sets[:SETS_SHOWN]


def _newest_first(customer: int) -> LedgerQuerySet[MeasurementSet]:
    standing = MeasurementSet.objects.standing().filter(customer=customer)
    return standing.order_by("-taken_on", "-at")


SETS = Prepared(_newest_first)
FIRST_READINGS = Prepared(
    lambda pk: Measurement.objects.filter(
        in_set__in=_newest_first(pk).values("pk")[:SETS_SHOWN], reading=1
    ).order_by()
)


def figure_of(customer: Customer, unit: str) -> Figure | None:
    """The customer's standing sets as a table in ``unit``, None if never measured. Two queries."""
    sets = list(SETS(customer.pk))
    if not sets:
        return None
    found: dict[uuid.UUID, Lengths] = {row.pk: {} for row in sets}
    for reading in FIRST_READINGS(customer.pk):
        found[reading.in_set_id][reading.point, reading.side] = reading.value
    taken = list(found.values())[:SETS_SHOWN]
    changes = compare(taken[1], taken[0], unit=unit) if len(taken) > 1 else {}
    groups: dict[str, list[MeasureRow]] = {}
    for point in points.POINTS:
        for side in point.sides:
            values = [lengths.get((point.key, side)) for lengths in taken]
            if any(value is not None for value in values):
                change = changes.get((point.key, side))
                told = change.words if change else ""
                row = _measure_row(point.name, seams.SIDE_NAMES[side], values, told, unit)
                groups.setdefault(point.group, []).append(row)
    return Figure(
        sets=sets,
        groups=list(groups.items()),
        drop=_drop_text(taken[0], unit),
        says=engine.read(taken[0], unit=unit),
    )


def _measure_row(
    name: str, side: str, values: list[Length | None], change: str, unit: str
) -> MeasureRow:
    newest = values[0]
    texts = ["" if value is None else value.text(unit) for value in values]
    other = "" if newest is None else newest.text(OTHER_UNIT[unit])
    return MeasureRow(name, side, texts[0], other, change, texts[1:])


def _drop_text(lengths: Lengths, unit: str) -> str:
    """Chest minus waist, as measured; empty when one of the two was not."""
    if CHEST not in lengths or WAIST not in lengths:
        return ""
    drop = lengths[CHEST] - lengths[WAIST]
    return f"{drop.text(unit)} ({drop.text(OTHER_UNIT[unit])})"


def changed_since_cut(garment: Garment, unit: str) -> list[tuple[str, str]]:
    """The points this garment needs that its customer has changed at since it was cut, in words.

    Only while it is in work and was cut from measures: one query then, none otherwise. The error
    is that of all its points together, so that one tape's noise flags one garment in twenty.
    """
    if garment.measurement_set is None or garment.delivered:
        return []
    needed = {point.key: point.name for point in points.for_garments(garment.kind)}
    before, since = before_and_since(garment.measurement_set)
    mine = {key: length for key, length in before.items() if key[0] in needed}
    changes = changed_together(mine, since, unit=unit)
    return [
        (" ".join(filter(None, [needed[point], seams.SIDE_NAMES[side]])), change.words)
        for (point, side), change in changes.items()
    ]
