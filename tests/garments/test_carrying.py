"""What past garments needed, read from the record; answers kept, changed and refused."""

import datetime
import uuid
from itertools import count

import pytest
from django.utils import timezone

from customers.lengths import parse
from customers.numbers import next_number
from garments.carrying.queries import (
    accepted_changes,
    carry_lines,
)
from garments.carrying.services import answer_carry
from garments.models import Garment
from tests.factories import (
    AlterationFactory,
    CustomerFactory,
    GarmentFactory,
    JudgementFactory,
    StageEntryFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

LET_OUT = {"operation": "let-out", "seam": "side-seam", "side": "both"}
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
            said, amount = work.pop("verdict"), parse(work.pop("amount"))
            alteration = AlterationFactory(garment=garment, amount=amount, by=by, at=at, **work)
            if said:
                JudgementFactory(alteration=alteration, verdict=said, by=by)
        return garment

    return make


@pytest.fixture
def coat(customer):
    """The next one, ordered and not cut."""
    _, serial = next_number("G", 900_000)
    return GarmentFactory(customer=customer, stage="ordered", serial=serial)


@pytest.fixture
def answer(coat, by):
    def enter(*, accepted=True, amount=None, **values):
        length = parse(amount) if amount else None
        values = {"entry_id": uuid.uuid4(), "garment": coat, "by": by} | LET_OUT | values
        return answer_carry(accepted=accepted, amount=length, **values)

    return enter


def told(garment):
    return [
        (line.words, line.amount_words, line.answered)
        for line in carry_lines(Garment.objects.for_lists().get(pk=garment.pk))
    ]


def test_what_was_cured_is_proposed_next(made, coat):
    made({})

    assert told(coat) == [("Let out, side seam", "1/4 in each side", None)]


def test_accepted_change_stands_for_the_sheet(made, coat, answer):
    made({})

    answer(amount="3/8")

    (line,) = accepted_changes(coat)
    assert (line.words, line.amount_words, line.by_whom) == (
        "Let out, side seam",
        "3/8 in each side",
        "Tam Reed",
    )
