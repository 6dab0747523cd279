"""What a tablet kept is taken from its author alone, and learns who is signed in now."""

import uuid

import pytest
from django.middleware.csrf import CSRF_SECRET_LENGTH
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fittings.models import Observation
from tests.factories import FittingFactory, UserFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def fitter():
    return UserFactory(role="fitter")


@pytest.fixture
def address(fitter):
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    garment = garment_of(fitting.customer, fitter)
    fitting.garments.add(garment)
    return reverse("session:observation_create", args=[fitting.pk, garment.number])


def send(client, address, author):
    said = {"entry_id": uuid.uuid4(), "clean_zone": "collar"}
    headers = {"HX-Request": "true", "Kept-By": str(author)}
    answer = client.post(address, said, headers=headers)
    return answer.status_code, list(Observation.objects.values_list("by_id", flat=True))


def test_entry_of_its_author_is_taken(client, fitter, address):
    client.force_login(fitter)

    assert send(client, address, fitter.pk) == (200, [fitter.pk])


def test_entry_of_another_is_refused_unwritten(client, fitter, address):
    client.force_login(UserFactory(role="fitter"))

    assert send(client, address, fitter.pk) == (412, [])


def test_entry_of_someone_signed_out_is_refused_unwritten(client, fitter, address):
    assert send(client, address, fitter.pk) == (401, [])


def test_entry_under_an_old_token_is_taken_with_a_new(fitter, address):
    client = Client(enforce_csrf_checks=True)
    client.force_login(fitter)
    old = {"HX-Request": "true", "Kept-By": str(fitter.pk), "X-CSRFToken": "a" * 64}
    said = {"entry_id": str(uuid.uuid4()), "clean_zone": "collar"}
    refused = client.post(address, said, headers=old)

    token = client.get(reverse("accounts:here")).json()["token"]

    taken = client.post(address, said, headers=old | {"X-CSRFToken": token})
    assert (refused.status_code, taken.status_code) == (403, 200)


def test_here_names_nobody_when_signed_out(client):
    said = client.get(reverse("accounts:here")).json()

    assert (said["user"], len(said["token"])) == ("", 2 * CSRF_SECRET_LENGTH)
