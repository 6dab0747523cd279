"""A garment with everything the shears ask for, and what to leave out of it."""

import datetime

from django.utils import timezone

from customers.lengths import Length
from garments import cutting, seams
from garments.models import InlayMovement
from tests.factories import (
    CustomerFactory,
    CutVersionFactory,
    GarmentFactory,
    MeasurementSetFactory,
    StageEntryFactory,
    UserFactory,
)

# A man by Vincent's formulas at chest 38 (VS 39), the rest invented within the usual.
BODY = {
    ("height", ""): 70,
    ("neck", ""): 15,
    ("shoulder-length", "L"): 6,
    ("shoulder-length", "R"): 6,
    ("depth-of-scye", ""): "9.375",
    ("front-shoulder", ""): 13,
    ("over-shoulder", "L"): "17.625",
    ("over-shoulder", "R"): "17.625",
    ("half-back", "L"): "7.5",
    ("half-back", "R"): "7.5",
    ("across-chest", ""): "8.5",
    ("chest", ""): 38,
    ("waist", ""): 33,
    ("seat", ""): 39,
    ("nape-to-waist", ""): 17,
    ("nape-to-floor", ""): 60,
    ("waistcoat-opening", ""): 12,
    ("waistcoat-length", ""): 26,
    ("sleeve-to-elbow", "L"): 21,
    ("sleeve-to-elbow", "R"): 21,
    ("sleeve-to-cuff", "L"): 32,
    ("sleeve-to-cuff", "R"): 32,
    ("wrist", "L"): "6.75",
    ("wrist", "R"): "6.75",
    ("trouser-waist", ""): 34,
    ("side-length", "L"): 42,
    ("side-length", "R"): 42,
    ("leg-length", "L"): 31,
    ("leg-length", "R"): 31,
    ("sitting-rise", ""): 11,
    ("thigh", "L"): 22,
    ("thigh", "R"): 22,
    ("calf", ""): "14.5",
    ("knee", ""): 19,
    ("bottom", ""): 17,
}


def days_ago(days=10):
    return timezone.localdate() - datetime.timedelta(days=days)


def measured(customer=None, *, days=10, without=(), **more):
    """His measures, taken so many days ago."""
    measures = {key: value for key, value in BODY.items() if key not in without}
    return MeasurementSetFactory(
        customer=customer or CustomerFactory(),
        taken_on=days_ago(days),
        measures=measures | more.pop("measures", {}),
        **more,
    )


def ordered(customer, kind="coat", *, by=None, figures=True, **changed):
    """Ordered, with cloth and time enough; it is clean to be cut from ``measured``."""
    by = by or UserFactory()
    if "cut_version" not in changed:
        data = cutting.data_of(cutting.house_cut("drape", kind)) if figures else {}
        changed["cut_version"] = CutVersionFactory(cut__kind=kind, data=data)
    values = {
        "cloth_length": Length.inches(160),
        "cloth_width": Length.inches(59),
        "ordered_on": timezone.localdate(),
        "promised_on": timezone.localdate() + datetime.timedelta(days=70),
    }
    garment = GarmentFactory(customer=customer, kind=kind, cutter=by, **values | changed)
    StageEntryFactory(garment=garment, by=by)
    InlayMovement.objects.bulk_create(
        InlayMovement(garment=garment, seam=seam, side=side, amount=left, reason="left", by=by)
        for (seam, side), left in seams.normal_inlays(kind).items()
    )
    return garment
