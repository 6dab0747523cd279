"""Whether carrying into the pattern helps: first fittings with and without. One query.

The rows are not the owner's groups but what was answered to the pattern's memory. Nobody was
drawn by lot, so the difference may have other causes; the page says so.
"""

from typing import Any, Final

from django.db.models import (
    Case,
    CharField,
    Count,
    Exists,
    IntegerField,
    Max,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Cast, Coalesce

from fittings.models import Booking, Fitting, Observation
from fittings.rates import TOO_FEW, Row, difference, mean_from_sums, proportion
from fittings.review.measures import CARRIED, CARRIED_FAULTS
from fittings.review.queries import Asked
from fittings.review.tables import ALL, Table
from garments.models import CarryAnswer, Garment, Stage

TAKEN, LEFT, UNASKED = "carried", "left out", "nothing answered"
NAMES: Final = {TAKEN: "Carried", LEFT: "Left out", UNASKED: "Nothing asked or answered"}
HEADING: Final = "Pattern memory"
Faults = dict[str, tuple[int, int, int, int]]


def carried(asked: Asked) -> list[Table]:
    """The two tables, for the days and garments asked about; no rows where nobody came again."""
    found = first_fittings(asked)
    groups = {group: found[group] for group in NAMES if group in found}
    whole = _added(groups)
    rates = {group: proportion(hit, count) for group, (hit, count, _, _) in groups.items()}
    faulty = Table(
        CARRIED,
        HEADING,
        [Row(NAMES[group], rate) for group, rate in rates.items()],
        Row(ALL, proportion(whole[0], whole[1])),
        note=_compared(rates),
    )
    each = Table(
        CARRIED_FAULTS,
        HEADING,
        [Row(NAMES[group], mean_from_sums(*sums)) for group, (_, *sums) in groups.items()],
        Row(ALL, mean_from_sums(*whole[1:])),
    )
    return [faulty, each]


def first_fittings(asked: Asked) -> Faults:
    """Answer -> (garments with a fault at their first fitting, garments, faults, their squares)."""
    found: Faults = {}
    rows = _first_looks(asked).values("answered", "faults").annotate(garments=Count("garment"))
    for group, faults, garments in rows.values_list("answered", "faults", "garments"):
        if group is None:  # the first of its kind: nothing could be carried
            continue
        hit, count, total, squares = found.get(group, (0, 0, 0, 0))
        found[group] = (
            hit + garments * bool(faults),
            count + garments,
            total + garments * faults,
            squares + garments * faults**2,
        )
    return found


def _first_looks(asked: Asked) -> Any:
    """Each garment's first fitting, with what was ``answered`` before and the ``faults`` seen."""
    tried_on: QuerySet[Any] = Fitting.garments.through.objects.exclude(
        fitting__purpose=Booking.Purpose.MEASURE
    )
    sooner = Q(fitting__started_at__lt=OuterRef("fitting__started_at")) | Q(
        fitting__started_at=OuterRef("fitting__started_at"), fitting__lt=OuterRef("fitting")
    )
    earlier = tried_on.filter(sooner, garment=OuterRef("garment"))
    taken = (
        CarryAnswer.objects.standing()
        .filter(garment=OuterRef("garment"))
        .order_by()
        .values("garment")
        .annotate(taken=Max(Cast("accepted", IntegerField())))
        .values("taken")
    )
    before = Garment.objects.filter(
        customer=OuterRef("garment__customer"),
        kind=OuterRef("garment__kind"),
        serial__lt=OuterRef("garment__serial"),
    ).exclude(stage=Stage.ORDERED)
    seen = (
        Observation.objects.standing()
        .filter(fitting=OuterRef("fitting"), garment=OuterRef("garment"), fault__gt="")
        .order_by()
        .values("garment")
        .annotate(count=Count("pk"))
        .values("count")
    )
    return (
        tried_on.filter(~Exists(earlier), asked.days("fitting__started_at"))
        .filter(asked.garments("garment"))
        .annotate(taken=Subquery(taken))
        .annotate(
            answered=Case(
                When(taken=1, then=Value(TAKEN)),
                When(taken=0, then=Value(LEFT)),
                When(Exists(before), then=Value(UNASKED)),
                output_field=CharField(),
            ),
            faults=Coalesce(Subquery(seen), 0),
        )
        .order_by()
    )


def _added(groups: Faults) -> tuple[int, int, int, int]:
    hit, count, total, squares = (sum(sums[i] for sums in groups.values()) for i in range(4))
    return hit, count, total, squares


def _compared(rates: dict[str, Any]) -> str:
    """Carried against left out, in a sentence that does not say more than the figures."""
    if TAKEN not in rates or LEFT not in rates:
        return ""
    apart = difference(rates[TAKEN], rates[LEFT])
    if apart.too_few:
        return f"Carried against left out: {TOO_FEW}."
    says = "more than chance makes" if apart.real else "chance alone makes as much"
    return (
        f"Carried less left out: {apart.words()}, {says}. "
        "Who carries and who leaves out was not drawn by lot: it may have other causes."
    )
