"""Pins on photographs: set by a finger, tied to what was seen, and printed on the ticket."""

import uuid
from collections.abc import Collection

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import OuterRef, Prefetch, QuerySet, Subquery
from django.utils import timezone

from customers.ledger import already_kept, take_back
from customers.models import Consent
from fittings.models import Observation, Photograph, PhotographPin
from fittings.session.photographs import for_paper
from fittings.session.services.guards import hold, refuse_closed, struck_before
from garments.pictures import Mark, Picture, register

MOST = 1000  # thousandths


def pins_of(photograph: Photograph) -> QuerySet[PhotographPin]:
    """The pins that stand on a photograph, in the order they were set."""
    pins = PhotographPin.objects.standing().filter(photograph=photograph)
    return pins.select_related("observation").order_by("at", "pk")


def may_be_pinned(photograph: Photograph) -> QuerySet[Observation]:
    """The faults seen on this garment at this fitting."""
    seen = Observation.objects.standing().exclude(fault="")
    return seen.filter(fitting=photograph.fitting_id, garment=photograph.garment_id).order_by("at")


@transaction.atomic
def set_pin(
    *,
    entry_id: uuid.UUID,
    photograph: Photograph,
    observation: Observation,
    x: int,
    y: int,
    by: User,
) -> PhotographPin:
    """Show on a photograph where a fault is; set again, the fault's pin moves.

    ``x`` and ``y`` in thousandths from the upper left. ValidationError keyed by field: a place off
    the picture, a fault of another garment or fitting, a session whose garment is decided.
    """
    hold(photograph.fitting)
    about = {"photograph": photograph, "observation": observation}
    if kept := already_kept(
        PhotographPin, entry_id, by, photograph=photograph, observation=observation
    ):
        return kept
    refuse_closed(photograph.fitting, photograph.garment)
    if not may_be_pinned(photograph).filter(pk=observation.pk).exists():
        raise ValidationError({"observation": "Choose a fault seen on this garment today."})
    if not (0 <= x <= MOST and 0 <= y <= MOST):
        raise ValidationError({"spot": "Touch the picture itself."})
    before = PhotographPin.objects.standing().filter(**about).first()
    return PhotographPin.objects.create(pk=entry_id, x=x, y=y, by=by, strikes=before, **about)


@transaction.atomic
def strike_pin(*, entry_id: uuid.UUID, pin: PhotographPin, by: User) -> PhotographPin:
    """Take a pin off its photograph. ValidationError: the garment is decided meanwhile."""
    fitting = pin.photograph.fitting
    if struck := struck_before(pin, fitting, entry_id=entry_id, by=by):
        return struck
    refuse_closed(fitting, pin.photograph.garment)
    same = ("photograph", "observation", "x", "y")
    return take_back(pin, entry_id=entry_id, by=by, same=same)


def register_source() -> None:
    register("fitting room", pictures_pinned_for)


def pictures_pinned_for(alterations: Collection[uuid.UUID]) -> list[Picture]:
    """Photographs with a pin for one of these alterations, newest first; two queries.

    None without the customer's standing consent to photographs for the workroom, and none whose
    file is gone.
    """
    pins = PhotographPin.objects.standing().filter(
        observation__alterations__in=alterations, observation__struck_by__isnull=True
    )
    said = Consent.objects.standing().filter(
        customer=OuterRef("customer"), kind=Consent.Kind.FITTING_PHOTOGRAPHS
    )
    rows = (
        Photograph.objects.standing()
        .filter(pk__in=pins.values("photograph"))
        .annotate(agreed=Subquery(said.order_by("-given_on", "-at").values("given")[:1]))
        .filter(agreed=True)
        .prefetch_related(
            Prefetch("pins", queryset=pins.prefetch_related("observation__alterations"))
        )
        .order_by("-at", "pk")
    )
    wanted = set(alterations)
    return [picture for row in rows if (picture := _picture(row, wanted))]


def _picture(row: Photograph, wanted: set[uuid.UUID]) -> Picture | None:
    try:
        with row.image.open("rb") as file:
            jpeg = for_paper(file)
    except FileNotFoundError:
        return None
    marks = {
        Mark(alteration=line.pk, x=pin.x, y=pin.y): None
        for pin in row.pins.all()
        for line in pin.observation.alterations.all()
        if line.pk in wanted
    }
    return Picture(
        key=row.pk,
        garment=row.garment_id,
        caption=row.caption,
        taken_on=timezone.localdate(row.at),
        jpeg=jpeg,
        width=row.width,
        height=row.height,
        marks=tuple(marks),
    )
