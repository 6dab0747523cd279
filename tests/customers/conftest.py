import datetime

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
