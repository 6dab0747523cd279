"""The review's questions to the record: sums made by the database, each in one query.

Every answer maps a group to whole counts. What is counted is defined in ``measures``. Each query
starts from the days asked about, so its cost follows the period and not the age of the house.
"""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.db.models import (
    Count,
    DateField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    TextChoices,
)
from django.db.models.functions import Coalesce, TruncMonth, TruncQuarter

from fittings.clock import midnight
from fittings.models import Booking, Fitting, Judgement
from fittings.review.measures import WATCH
from garments.models import CutVersion, Remake, Stage, StageEntry

Group = int | str | datetime.date
Counts = dict[Group, tuple[int, int]]
Sums = dict[Group, tuple[int, int, int]]


class By(TextChoices):
    """What the rows of a table are."""

    CUTTER = "cutter", "cutter"
    CUT = "cut", "cut and version"
    KIND = "kind", "kind of garment"
    FAULT = "fault", "fault seen"
    MONTH = "month", "month"
    QUARTER = "quarter", "quarter"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the owner asked: both days included, in the house's time; None or "" means all."""

    since: datetime.date
    until: datetime.date
    by: By = By.CUTTER
    cutter: User | None = None
    cut: CutVersion | None = None
    kind: str = ""

    def days(self, moment: str) -> Q:
        """Rows whose ``moment`` lies in the days asked about."""
        after = self.until + datetime.timedelta(days=1)
        return Q((f"{moment}__gte", midnight(self.since)), (f"{moment}__lt", midnight(after)))

    def garments(self, path: str) -> Q:
        """Rows whose garment, reached by ``path``, is of the cutter, cut and kind asked about."""
        wanted = {"cutter": self.cutter, "cut_version": self.cut, "kind": self.kind}
        return Q(*((f"{path}__{name}", value) for name, value in wanted.items() if value))


@dataclass(frozen=True, slots=True)
class Paths:
    """Where a counted row keeps the thing counted, its garment, the faults and the day."""

    thing: str
    garment: str
    observations: str
    moment: str


OF_GARMENTS = Paths("garment", "garment", "garment__observations", "at")
OF_ALTERATIONS = Paths(
    "alteration", "alteration__garment", "alteration__observations", "fitting__started_at"
)
GROUPS: dict[By, Callable[[Paths], Any]] = {
    By.CUTTER: lambda paths: F(f"{paths.garment}__cutter"),
    By.CUT: lambda paths: F(f"{paths.garment}__cut_version"),
    By.KIND: lambda paths: F(f"{paths.garment}__kind"),
    By.FAULT: lambda paths: F(f"{paths.observations}__fault"),
    By.MONTH: lambda paths: TruncMonth(paths.moment, output_field=DateField()),
    By.QUARTER: lambda paths: TruncQuarter(paths.moment, output_field=DateField()),
}


def remakes(asked: Asked) -> Counts:
    """Group -> (garments cut again, garments that left the work)."""
    gone = _first_to_reach(asked, Stage.DELIVERED, Stage.REMADE)
    again = Remake.objects.filter(_stands(), replaces=OuterRef("garment"))
    return _count(gone.annotate(hit=Exists(again)), asked.by, OF_GARMENTS)


def returns(asked: Asked, now: datetime.datetime) -> Counts:
    """Group -> (garments back within the watch, garments whose watch is over)."""
    watched = _first_to_reach(asked, Stage.DELIVERED).filter(at__lte=now - WATCH)
    back = StageEntry.objects.filter(
        _stands(),
        stage=Stage.RETURNED,
        garment=OuterRef("garment"),
        at__gte=OuterRef("at"),
        at__lte=OuterRef("at") + WATCH,
    )
    return _count(watched.annotate(hit=Exists(back)), asked.by, OF_GARMENTS)


def still_watched(asked: Asked, now: datetime.datetime) -> int:
    """How many garments delivered in the days asked about may still come back in their watch."""
    return _first_to_reach(asked, Stage.DELIVERED).filter(at__gt=now - WATCH).count()


def cures(asked: Asked) -> Counts:
    """Group -> (alterations that the first look after called cured, alterations looked at)."""
    judgements = Judgement.objects.filter(_stands())
    earlier = judgements.filter(
        _before("fitting__started_at", "at", "pk"), ("alteration", OuterRef("alteration"))
    )
    first = judgements.filter(
        ~Exists(earlier),
        _stands("alteration__"),
        asked.days("fitting__started_at"),
        asked.garments("alteration__garment"),
    )
    cured = Q(verdict=Judgement.Verdict.CURED)
    return _count(first.annotate(hit=cured), asked.by, OF_ALTERATIONS)


def fittings(asked: Asked) -> Sums:
    """Group -> (garments, the fittings they took, the sum of the squares of those)."""
    tried_on: QuerySet[Any] = Fitting.garments.through.objects.exclude(
        fitting__purpose=Booking.Purpose.MEASURE
    )
    looks = (
        tried_on.filter(garment=OuterRef("garment"), fitting__started_at__lte=OuterRef("at"))
        .values("garment")
        .annotate(count=Count("pk"))
        .values("count")
    )
    delivered = _first_to_reach(asked, Stage.DELIVERED)
    found = (
        _grouped(delivered, asked.by, OF_GARMENTS)
        .annotate(looks=Coalesce(Subquery(looks), 0))
        .values("group", "looks")
        .annotate(garments=Count("garment", distinct=True))
    )
    sums: Sums = {}
    for group, taken, garments in found.values_list("group", "looks", "garments"):
        count, total, squares = sums.get(group, (0, 0, 0))
        sums[group] = (
            count + garments,
            total + garments * taken,
            squares + garments * taken**2,
        )
    return sums


def _first_to_reach(asked: Asked, *stages: Stage) -> QuerySet[Any]:
    """For each garment asked about the first standing entry at one of ``stages``."""
    reached = StageEntry.objects.filter(_stands(), stage__in=stages)
    earlier = reached.filter(_before("at", "pk"), ("garment", OuterRef("garment")))
    return reached.filter(~Exists(earlier), asked.days("at"), asked.garments("garment"))


def _count(rows: QuerySet[Any], by: By, paths: Paths) -> Counts:
    """Group -> (things with ``hit``, things); a thing in two groups counts in both."""
    found = (
        _grouped(rows, by, paths)
        .values("group")
        .annotate(
            hits=Count(paths.thing, distinct=True, filter=Q(hit=True)),
            things=Count(paths.thing, distinct=True),
        )
    )
    return {row["group"]: (row["hits"], row["things"]) for row in found}


def _grouped(rows: QuerySet[Any], by: By, paths: Paths) -> QuerySet[Any]:
    """The rows with their ``group``; by fault, one for each fault seen until the day counted."""
    if by is By.FAULT:
        seen = paths.observations
        rows = rows.filter(
            _stands(f"{seen}__"),
            (f"{seen}__fault__gt", ""),
            (f"{seen}__fitting__started_at__lte", F(paths.moment)),
        )
    # The order of the model would be grouped by, too.
    grouped: QuerySet[Any] = rows.order_by().annotate(group=GROUPS[by](paths))
    return grouped


def _stands(path: str = "") -> Q:
    """As ``LedgerQuerySet.standing``, also through a relation."""
    return Q((f"{path}struck_by__isnull", True), (f"{path}void", False))


def _before(*fields: str) -> Q:
    """Rows that come before the outer row in the order of ``fields``."""
    first, *others = fields
    before = Q((f"{first}__lt", OuterRef(first)))
    if others:
        before |= Q((first, OuterRef(first))) & _before(*others)
    return before
