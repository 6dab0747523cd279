"""Coats altered for a cause, and judged at a later look."""

import datetime

from fittings import catalogue
from fittings.lessons.services import renew_lessons
from tests.factories import (
    AlterationFactory,
    CauseTakenFactory,
    FittingFactory,
    GarmentFactory,
    JudgementFactory,
    ObservationFactory,
)

DAY = datetime.date(2026, 3, 2)  # the day the tests learn on
COLLAR, CAUSE, OPERATION = "collar-stands-off", "back-balance-short", "pass-up"


def noon(days):
    """So many days before the day of learning."""
    at = datetime.datetime.combine(DAY, datetime.time(12), datetime.UTC)
    return at - datetime.timedelta(days=days)


def look(days, *, zones=(), kind="coat", **more):
    """A fitting, and what was seen: a zone by itself is clean, with a fault it is not."""
    garment = more.pop("garment", None) or GarmentFactory(kind=kind)
    fitting = FittingFactory(
        customer=garment.customer, garments=[garment], started_at=noon(days), **more
    )
    rows = []
    for seen in zones:
        zone, fault = (seen, "") if isinstance(seen, str) else seen
        rows.append(
            ObservationFactory(
                fitting=fitting, garment=garment, zone=zone, fault=fault, at=noon(days)
            )
        )
    return fitting, garment, rows


def taught(verdict="cured", *, days=10, cause=CAUSE, zones=(("collar", COLLAR),), **more):
    """An alteration taken for a cause a fortnight before it was judged, ``days`` ago."""
    _, garment, rows = look(days + 14, zones=zones, **more)
    alteration = AlterationFactory(
        garment=garment, cause=cause, operation=OPERATION, at=noon(days + 14)
    )
    for row in rows:
        if row.fault:
            row.alterations.add(alteration)
    judge(alteration, verdict, days)
    return alteration


def judge(alteration, verdict, days, **more):
    later = FittingFactory(customer=alteration.garment.customer, started_at=noon(days))
    return JudgementFactory(
        alteration=alteration, verdict=verdict, fitting=later, at=noon(days), **more
    )


def proposed(alteration, **chances):
    """The cause taken at the look of an alteration, with what was proposed."""
    seen = alteration.observations.get()
    causes = [
        {"cause": cause.replace("_", "-"), "probability": p, "rank": rank}
        for rank, (cause, p) in enumerate(chances.items(), start=1)
    ]
    said = {"present": [seen.fault], "absent": [], "causes": causes, "none": 0.1}
    return CauseTakenFactory(
        fitting=seen.fitting, garment=seen.garment, cause=alteration.cause, proposed=said
    )


def learn(day=DAY):
    return renew_lessons(catalogue=catalogue.load(), today=day)
