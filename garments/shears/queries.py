"""The page before the shears: its lines, from the ledger. A constant number of queries."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from django.utils import timezone

from customers.lengths import Length
from customers.models import MeasurementSet
from customers.plausible import doubts
from customers.points import for_garments
from customers.queries import last_measures
from garments import cutting
from garments.aiming.queries import Aims, aims_of
from garments.carrying.queries import unanswered
from garments.models import Garment, PassedLine
from garments.shears import checks, cloth
from garments.shears.checks import Line


@dataclass(frozen=True, slots=True)
class BeforeCut:
    """What must be clean before a garment is cut from a set, and what it is aimed at by that."""

    lines: list[Line]
    aims: Aims

    @property
    def clean(self) -> bool:
        return not self.open

    @property
    def open(self) -> list[Line]:
        return [line for line in self.lines if line.open]

    @property
    def passed(self) -> list[Line]:
        return [line for line in self.lines if line.passed]

    def find(self, key: str) -> Line | None:
        return next((line for line in self.lines if line.key == key), None)


def before_cut(garment: Garment, row: MeasurementSet, unit: str) -> BeforeCut:
    """Every line for a garment and the set it is to be cut from; lengths are told in ``unit``.

    ``garment`` comes with customer, cut version and cut; ``row`` with who took it.
    """
    today = timezone.localdate()
    measures = row.lengths()
    aims = aims_of(garment, unit, measures)
    taker = row.taken_by.get_full_name() or row.taken_by.get_username()
    found = [
        checks.recent(row.taken_on, taker, today),
        *checks.doubted(_questions(garment, row, measures, unit)),
        checks.complete(aims.missing, aimed=aims.has_figures),
        checks.wished(line.words for line in aims.wishes if line.waits),
        checks.remembered(unanswered(garment)),
        _cloth(garment, aims, unit),
        checks.promised(garment.kind, garment.promised_on, today),
    ]
    passed = {(taken.line, taken.told): _told(taken) for taken in passed_lines(garment, row)}
    lines = [
        replace(line, passed=passed.get((line.key, line.words), "")) if line.may_pass else line
        for line in found
    ]
    return BeforeCut(lines, aims)


def passed_lines(garment: Garment, row: MeasurementSet) -> Iterable[PassedLine]:
    """What stands as passed over for a garment and a set, oldest first, with who took it on."""
    rows = PassedLine.objects.standing().filter(garment=garment, measurement_set=row)
    return rows.select_related("by").order_by("at", "pk")


def _told(row: PassedLine) -> str:
    return f"{row.by.get_full_name() or row.by.get_username()}: {row.reason}"


def _questions(
    garment: Garment, row: MeasurementSet, measures: Mapping[tuple[str, str], Length], unit: str
) -> list[tuple[str, str]]:
    """The doubts about readings this kind of garment is cut by."""
    wanted = {point.key for point in for_garments(garment.kind)}
    earlier = last_measures(garment.customer, without=row)
    return [
        (f"{doubt.point}-{doubt.side}".rstrip("-"), doubt.question)
        for doubt in doubts(measures, earlier, unit=unit)
        if doubt.point in wanted
    ]


def _cloth(garment: Garment, aims: Aims, unit: str) -> Line:
    finished = {place: target.length for place, target in aims.targets.items()}
    need = cloth.needed(
        garment.kind, finished, width=garment.cloth_width, repeat=garment.cloth_repeat
    )
    names = [
        cutting.finished_point(garment.kind, point).called(side).lower()
        for point, side in need.lacks
    ]
    return checks.cloth_enough(garment.cloth_length, need, " and ".join(names), unit)
