import datetime
import uuid

import pytest

from tests.factories import CustomerFactory, MeasurementSetFactory, UserFactory


@pytest.fixture
def fitter(client, db):
    """Someone of the fitting room, signed in."""
    person = UserFactory(role="fitter", first_name="Hester", last_name="Crane")
    client.force_login(person)
    return person


@pytest.fixture
def ozge(db):
    return CustomerFactory(given_name="Özge", family_name="Winter", phone="01632 960 777")


@pytest.fixture
def measured(ozge):
    """Özge's first set: chest, waist and both wrists."""
    measures = {("chest", ""): 38.5, ("waist", ""): 33, ("wrist", "L"): 6.5, ("wrist", "R"): 6.625}
    return MeasurementSetFactory(
        customer=ozge, taken_on=datetime.date(2026, 1, 5), measures=measures
    )


@pytest.fixture
def sheet(fitter):
    """What a filled sheet sends."""
    return {
        "entry_id": str(uuid.uuid4()),
        "taken_on": "2026-01-05",
        "taken_by": fitter.pk,
        "unit": "in",
        "listed": "1",
        "chest": "38 1/2",
        "wrist-L": "6½",
        "wrist-R": "16.8 cm",
    }
