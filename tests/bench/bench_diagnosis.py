"""Budget: 12 faults present, 40 causes, 45 faults within 10 ms, and faster than a library.

A tap on the fitting screen, causes and all, is answered within 150 ms.

The library is pyAgrum, exact too (lazy propagation), given its network ready built: only the
evidence is new. The best of forty turns counts: what else the machine does is not ours. About
four causes to a fault, as in the shipped catalogue.
"""

import uuid

import pytest
from django.utils import timezone

from fittings import catalogue
from fittings.diagnosis import network_from, posterior
from tests.bench.conftest import seconds
from tests.factories import FittingFactory, ObservationFactory, UserFactory
from tests.fittings.diagnosis.networks import in_library, network_of
from tests.session.conftest import garment_of


@pytest.fixture
def scene():
    network = network_of(11, causes=40, faults=45, density=0.09)
    faults = list(network["leaks"])
    return network, faults[:12], faults[12:30]


def test_diagnosis_stays_within_ten_milliseconds(scene):
    network, present, absent = scene
    times = [seconds(lambda: posterior(network, present, absent)) for _ in range(40)]
    assert min(times) <= 0.010


def test_dense_diagnosis_stays_within_ten_milliseconds():
    network = network_from(network_of(11, causes=40, faults=45, density=0.3))
    faults = list(network.leaks)
    times = [seconds(lambda: posterior(network, faults[:12], faults[12:])) for _ in range(40)]
    assert min(times) <= 0.010


def test_diagnosis_is_faster_than_library(scene, compare):
    network, present, absent = scene
    sound, asked = network_from(network), in_library(network, present, absent)

    def theirs():
        asked.eraseAllEvidence()
        asked.setEvidence(dict.fromkeys(present, 1) | dict.fromkeys(absent, 0))
        asked.makeInference()
        return [asked.posterior(cause) for cause in network["priors"]]

    ratio = compare("posterior, library", lambda: posterior(sound, present, absent), theirs)
    assert ratio < 1


@pytest.mark.django_db
def test_tap_with_six_faults_is_answered_in_time(client):
    fitter = UserFactory(role="fitter")
    client.force_login(fitter)
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    coat = garment_of(fitting.customer, fitter)
    fitting.garments.add(coat)
    for fault in catalogue.faults("coat")[:40:8]:
        ObservationFactory(fitting=fitting, garment=coat, zone=fault.zone, fault=fault.key)

    def tap():
        client.post(
            f"/fitting/{fitting.pk}/{coat.number}/seen/",
            {"entry_id": uuid.uuid4(), "seen": "vent-kicks:both", "amount": "1/4 in"},
            headers={"HX-Request": "true"},
        )

    assert min(seconds(tap) for _ in range(10)) <= 0.150
