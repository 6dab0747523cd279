"""Garments with a history, for the review's tests. Days are noon, in UTC."""

import datetime

from fittings.models import Judgement, Observation
from fittings.review.asking import Asked
from garments.models import Alteration, Remake, StageEntry
from tests.factories import (
    AlterationFactory,
    CarryAnswerFactory,
    FittingFactory,
    GarmentFactory,
    JudgementFactory,
    ObservationFactory,
    RemakeFactory,
    StageEntryFactory,
)

# What an entry that takes one back holds of it.
SAME = {
    StageEntry: ("garment", "stage"),
    Remake: ("replaces", "piece", "reason"),
    Observation: ("fitting", "garment", "zone", "fault"),
    Judgement: ("fitting", "alteration", "verdict"),
    Alteration: ("garment", "operation", "seam", "side", "amount"),
}
NOW = datetime.datetime(2026, 6, 30, 18, tzinfo=datetime.UTC)
HALF = Asked(datetime.date(2026, 1, 1), datetime.date(2026, 6, 30))
# Where pages are kept in the tests that keep any.
MEMORY = {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "tests"}
DAYS = {"since": "2026-01-01", "until": "2026-06-30"}


def noon(day):
    return datetime.datetime.fromisoformat(f"{day}T12:00+00:00")


def reach(garment, stage, day, **more):
    return StageEntryFactory(garment=garment, stage=stage, at=noon(day), **more)


def delivered(day="2026-02-10", *, back=None, fittings=(), fault="", **garment):
    """A garment delivered on ``day``, perhaps ``back`` on another, after ``fittings`` on days."""
    made = GarmentFactory(**garment)
    for on in fittings:
        held = FittingFactory(customer=made.customer, garments=[made], started_at=noon(on))
        if fault:
            ObservationFactory(fitting=held, garment=made, fault=fault, at=noon(on))
    made.promised_when_delivered = made.promised_on
    made.save()
    reach(made, "delivered", day)
    if back:
        reach(made, "returned", back)
    return made


def cut_again(day="2026-02-10", **garment):
    """A garment replaced by a remake on ``day``, never delivered; its remake is still in work."""
    made = GarmentFactory(**garment)
    RemakeFactory(replaces=made, at=noon(day))
    reach(made, "remade", day)
    return made


def altered(verdict, day="2026-03-02", *, fault="", **garment):
    """An alteration judged at a fitting on ``day``, which answered ``fault``."""
    made = GarmentFactory(**garment)
    alteration = AlterationFactory(garment=made)
    if fault:
        seen = FittingFactory(started_at=noon(day) - datetime.timedelta(days=14))
        ObservationFactory(fitting=seen, garment=made, fault=fault).alterations.add(alteration)
    judged(alteration, verdict, day)
    return alteration


def judged(alteration, verdict, day, **more):
    look = FittingFactory(customer=alteration.garment.customer, started_at=noon(day))
    return JudgementFactory(
        alteration=alteration, verdict=verdict, fitting=look, at=noon(day), **more
    )


def looked_at(garment, day, *, faults=0, **fitting):
    """The garment tried on on ``day``, with so many faults seen and one zone clean."""
    held = FittingFactory(
        customer=garment.customer, garments=[garment], started_at=noon(day), **fitting
    )
    for fault in [*(f"fault-{number}" for number in range(faults)), ""]:
        ObservationFactory(fitting=held, garment=garment, fault=fault, at=noon(day))
    return held


def tried_on(*faults, day="2026-03-02"):
    """A coat with faults seen at zones, by (zone, fault); the coat and the fitting."""
    coat = GarmentFactory()
    look = FittingFactory(customer=coat.customer, garments=[coat], started_at=noon(day))
    for zone, fault in faults:
        ObservationFactory(fitting=look, garment=coat, zone=zone, fault=fault)
    return coat, look


def answered(day="2026-03-02", *, accepted, faults=0, **garment):
    """A garment of which the memory asked something, first tried on on ``day``."""
    made = GarmentFactory(**garment)
    CarryAnswerFactory(garment=made, accepted=accepted)
    looked_at(made, day, faults=faults)
    return made
