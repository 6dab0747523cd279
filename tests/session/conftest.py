"""A customer before the glass in a basted coat, and the fitter at the tablet."""

import datetime
import uuid

import pytest
from django.utils import timezone

from customers.lengths import Length
from fittings.models import Fitting
from fittings.session.services import record_observation
from garments.models import Garment
from tests.factories import (
    AlterationFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    ObservationFactory,
    StageEntryFactory,
    UserFactory,
)

EARLIER = datetime.timedelta(days=9)


@pytest.fixture
def fitter(client):
    person = UserFactory(role="fitter")
    client.force_login(person)
    return person


@pytest.fixture
def customer():
    return CustomerFactory()


def garment_of(customer, fitter, kind="coat", stage="first-fitting"):
    garment = GarmentFactory(customer=customer, kind=kind, stage=stage)
    for reached in dict.fromkeys(("ordered", "basted", stage)):
        StageEntryFactory(garment=garment, stage=reached, by=fitter)
    return garment


@pytest.fixture
def coat(customer, fitter) -> Garment:
    return garment_of(customer, fitter)


@pytest.fixture
def fitting(customer, fitter, coat) -> Fitting:
    return FittingFactory(
        customer=customer, fitter=fitter, garments=[coat], started_at=timezone.now()
    )


@pytest.fixture
def see(fitting, coat, fitter):
    """Record an observation of the coat; every value may be given."""

    def record(**values):
        amount = values.pop("amount", None)
        usual = {"zone": "collar", "fault": "collar-stands-off", "side": "", "note": ""}
        return record_observation(
            **{"entry_id": uuid.uuid4(), "fitting": fitting, "garment": coat, "by": fitter}
            | usual
            | values,
            amount=Length.inches(amount) if amount else None,
        )

    return record


@pytest.fixture
def decided_before(customer, fitter, coat):
    """An alteration of an earlier fitting with the fault it was to cure."""
    at = timezone.now() - EARLIER
    earlier = FittingFactory(customer=customer, fitter=fitter, garments=[coat], started_at=at)
    seen = ObservationFactory(
        fitting=earlier, garment=coat, fault="collar-stands-off", by=fitter, at=at
    )
    alteration = AlterationFactory(
        garment=coat, operation="pass-up", seam="side-seam", by=fitter, at=at
    )
    seen.alterations.add(alteration)
    return alteration
