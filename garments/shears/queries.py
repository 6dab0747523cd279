"""The page before the shears: its lines, from the ledger. A constant number of queries."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.utils import timezone

from customers.change import changed_together
from customers.models import MeasurementSet
from customers.people import name_of
from customers.points import for_garments
from customers.queries import Asked, asked_of, before_and_since
from garments import cutting
from garments.aiming.queries import Aims, aims_of
from garments.carrying.queries import unanswered
from garments.models import Cloth, Garment, PassedLine
from garments.seams import SIDE_NAMES
from garments.shears import checks, cloth
from garments.shears.checks import Line


@dataclass(frozen=True, slots=True)
class BeforeCut:
    """What must be clean before a garment is cut from a set, and what it is aimed at by that."""

    lines: list[Line]
    aims: Aims
    asked: list[Asked]

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
    asked = _asked(garment, row)
    aims = aims_of(garment, unit, measures)
    taker = name_of(row.taken_by)
    found = [
        checks.recent(row.taken_on, taker, today),
        *checks.changed(changed_since(garment.kind, row, unit)),
        checks.doubted(sum(each.confirmed is None for each in asked)),
        checks.figured(aimed=aims.has_figures),
        checks.complete(aims.missing, aimed=aims.has_figures),
        checks.wished(line.words for line in aims.wishes if line.waits),
        checks.remembered(unanswered(garment)),
        _cloth(garment, aims, unit),
        checks.promised(garment.kind, garment.promised_on, today),
    ]
    passed = {(taken.line, taken.told): taken for taken in passed_lines(garment, row)}
    lines = [_with(line, passed.get((line.key, line.words))) for line in found]
    return BeforeCut(lines, aims, asked)


def passed_lines(garment: Garment, row: MeasurementSet) -> Iterable[PassedLine]:
    """What stands as passed over for a garment and a set, oldest first, with who took it on."""
    rows = PassedLine.objects.standing().filter(garment=garment, measurement_set=row)
    return rows.select_related("by").order_by("at", "pk")


def _with(line: Line, taken: PassedLine | None) -> Line:
    """The line with who took it on, where that is allowed and needed."""
    if taken is None or line.clean or not line.may_pass:
        return line
    return replace(line, passed=f"{name_of(taken.by)}: {taken.reason}", entry=str(taken.pk))


def _asked(garment: Garment, row: MeasurementSet) -> list[Asked]:
    """The readings in doubt that this kind of garment is cut by, and who said they are right."""
    wanted = {point.key for point in for_garments(garment.kind)}
    return [each for each in asked_of(row) if each.point in wanted]


def changed_since(kind: str, row: MeasurementSet, unit: str) -> list[str]:
    """What newer sets say otherwise of the points this kind needs, beyond the tape's error."""
    names = {point.key: point.name for point in for_garments(kind)}
    before, since = before_and_since(row)
    mine = {key: length for key, length in before.items() if key[0] in names}
    return [
        f"{' '.join(filter(None, [names[point], SIDE_NAMES[side]]))} {change.words}"
        for (point, side), change in changed_together(mine, since, unit=unit).items()
    ]


def _cloth(garment: Garment, aims: Aims, unit: str) -> Line:
    finished = {place: target.length for place, target in aims.targets.items()}
    # Stripes run along the cloth: only a check begins every row at the same place of it.
    check = garment.cloth_pattern == Cloth.CHECK
    repeat = garment.cloth_repeat if check else None
    if check and repeat is None:
        return checks.cloth_unmatched()
    need = cloth.needed(garment.kind, finished, width=garment.cloth_width, repeat=repeat)
    names = [
        cutting.finished_point(garment.kind, point).called(side).lower()
        for point, side in need.lacks
    ]
    return checks.cloth_enough(garment.cloth_length, need, " and ".join(names), unit)
