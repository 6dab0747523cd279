"""A customer with garments of the past, and the next one ordered."""

import datetime
import uuid
from itertools import count

import pytest
from django.utils import timezone

from customers.lengths import parse
from customers.numbers import next_number
from garments import cutting
from garments.carrying.services import answer_carry
from tests.factories import (
    AlterationFactory,
    CustomerFactory,
    GarmentFactory,
    JudgementFactory,
    StageEntryFactory,
    UserFactory,
)
from tests.garments.carrying.scenes import LET_OUT

days = count()


@pytest.fixture
def customer():
    return CustomerFactory()


@pytest.fixture
def by():
    return UserFactory(role="fitter", first_name="Tam", last_name="Reed")


@pytest.fixture
def made(customer, by):
    """A garment delivered in the past, with what was altered on it and the verdict on each."""

    def make(*altered, verdict="cured", stage="delivered", **values):
        garment = GarmentFactory(customer=customer, stage=stage, **values)
        at = timezone.now() - datetime.timedelta(days=700 - next(days))
        for each in ("cut", stage):
            StageEntryFactory(garment=garment, stage=each, at=at, by=by)
        for row in altered:
            work = LET_OUT | {"amount": "1/4", "verdict": verdict} | row
            said, written = work.pop("verdict"), work.pop("amount")
            amount = parse(written) if written else None
            alteration = AlterationFactory(garment=garment, amount=amount, by=by, at=at, **work)
            if said:
                JudgementFactory(alteration=alteration, verdict=said, by=by)
        return garment

    return make


@pytest.fixture
def coat(customer):
    """The next one, ordered and not cut."""
    _, serial = next_number("G", 900_000)
    data = cutting.data_of(cutting.house_cut("drape", "coat"))
    values = {"serial": serial, "promised_on": None, "cut_version__data": data}
    return GarmentFactory(customer=customer, stage="ordered", **values)


@pytest.fixture
def answer(coat, by):
    def enter(*, accepted=True, amount=None, **values):
        length = parse(amount) if amount else None
        values = {"entry_id": uuid.uuid4(), "garment": coat, "by": by} | LET_OUT | values
        return answer_carry(accepted=accepted, amount=length, **values)

    return enter
