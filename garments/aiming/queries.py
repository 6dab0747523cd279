"""What a garment is aimed at and how it measured. Three queries, whatever the data."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

from customers.lengths import Length
from customers.models import Measurement
from customers.people import name_of
from customers.queries import last_measures
from garments import cutting
from garments.cutbook.figures import figures_of
from garments.models import FinishedMeasure, Garment, GarmentWish

Place = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Line:
    """One point of a garment: its target if there is one, its newest measure if it was taken."""

    point: cutting.FinishedPoint
    side: str
    unit: str
    target: cutting.Target | None
    found: FinishedMeasure | None

    @property
    def name(self) -> str:
        return self.point.called(self.side)

    @property
    def field(self) -> str:
        """What the place is called in a form."""
        return f"{self.point.key}-{self.side}".rstrip("-")

    @property
    def aimed(self) -> str:
        """``24 1/8 in``: to what a tape can show."""
        return self.told(self.target.length) if self.target else ""

    @property
    def span(self) -> str:
        """``23 7/8 to 24 3/8 in``."""
        if self.target is None:
            return ""
        return f"{self.told(self.target.low).rsplit(' ', 1)[0]} to {self.told(self.target.high)}"

    @property
    def measured(self) -> str:
        return self.told(self.found.value) if self.found else ""

    @property
    def out(self) -> Length | None:
        """How far over the target, below nothing when under; nothing inside; None if unknown."""
        if self.target is None or self.found is None:
            return None
        return cutting.compare(self.target, self.found.value)

    @property
    def verdict(self) -> str:
        """``inside``, ``3/8 in over``, ``1/4 in under``; empty with nothing to compare."""
        out = self.out
        if out is None:
            return ""
        if not out:
            return "inside"
        return f"{self.told(abs(out))} {'over' if out > Length(0) else 'under'}"

    @property
    def why(self) -> str:
        return self.target.why(self.unit) if self.target else ""

    def told(self, length: Length) -> str:
        return length.text(self.unit, 0.125 if self.unit == "in" else 0.1)


@dataclass(frozen=True, slots=True)
class WishLine:
    """A wish that stands: what it is called, and whether it is against the house's standard."""

    wish: GarmentWish
    words: str
    against: bool
    accepted: str

    @property
    def waits(self) -> bool:
        return self.against and not self.accepted


@dataclass(frozen=True, slots=True)
class Aims:
    """What a garment is aimed at: its lines, the wishes, and what cannot be aimed at and why.

    ``missing`` are the findings that lose or spoil a target: a measure not taken, or absurd.
    """

    lines: list[Line]
    wishes: list[WishLine]
    findings: list[str]
    missing: list[str]
    has_figures: bool

    @property
    def targets(self) -> dict[Place, cutting.Target]:
        return {(line.point.key, line.side): line.target for line in self.lines if line.target}

    @property
    def measured(self) -> list[Line]:
        return [line for line in self.lines if line.found]

    def by_zone(self) -> dict[str, list[str]]:
        """What is to be said beside each zone: ``Sleeve, left: 25 1/8 in, 3/8 in over``."""
        by_zone = sorted(self.measured, key=lambda line: line.point.zone)
        return {
            zone: [
                f"{line.name}: {line.measured}{line.verdict and f', {line.verdict}'}" for line in of
            ]
            for zone, of in groupby(by_zone, key=lambda line: line.point.zone)
        }


def aims_of(garment: Garment, unit: str, measures: Mapping[Place, Length] | None = None) -> Aims:
    """Targets of a garment from ``measures``, or else those it was cut from, or the newest.

    ``garment`` comes with its cut version and cut selected. Lengths are told in ``unit``.
    """
    known = {point.key for point in cutting.POINTS[garment.kind]}
    wishes = [row for row in standing_wishes(garment) if row.point in known]
    cut = figures_of(garment.kind, garment.cut_version)
    asked = [cutting.Wish(row.point, row.amount, name_of(row.accepted_by)) for row in wishes]
    body = measures_for(garment) if measures is None else measures
    aimed = cutting.aim(body, cut, asked)
    found = finished_of(garment)
    lines = [
        Line(point, side, unit, aimed.targets.get(place), found.get(place))
        for point in cutting.POINTS[garment.kind]
        for side in point.sides
        if (place := (point.key, side)) in aimed.targets or place in found
    ]
    against = {target.point.key for target in aimed.against}
    return Aims(
        lines=lines,
        wishes=[_wish_line(garment.kind, row, unit, row.point in against) for row in wishes],
        findings=[finding.text(unit) for finding in aimed.findings],
        missing=[finding.text(unit) for finding in aimed.findings if finding.bars],
        has_figures=bool(cut.points),
    )


def measures_for(garment: Garment) -> Mapping[Place, Length]:
    """The body a garment is made for: the set it was cut from, or the newest of every point."""
    if garment.measurement_set_id is None:
        return last_measures(garment.customer)
    rows = Measurement.objects.filter(in_set=garment.measurement_set_id, reading=1)
    return {
        (point, side): value for point, side, value in rows.values_list("point", "side", "value")
    }


def standing_wishes(garment: Garment) -> Iterable[GarmentWish]:
    rows = GarmentWish.objects.standing().filter(garment=garment)
    return rows.select_related("accepted_by").order_by("at", "pk")


def finished_of(garment: Garment) -> dict[Place, FinishedMeasure]:
    """The newest measure of every point of the garment."""
    rows = FinishedMeasure.objects.standing().filter(garment=garment)
    return {(row.point, row.side): row for row in rows.order_by("at", "pk")}


def _wish_line(kind: str, wish: GarmentWish, unit: str, against: bool) -> WishLine:  # noqa: FBT001
    point = cutting.finished_point(kind, wish.point)
    words = f"{point.wish(wish.amount).capitalize()}, {abs(wish.amount).text(unit)}"
    return WishLine(wish, words, against, name_of(wish.accepted_by))
