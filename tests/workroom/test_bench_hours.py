"""The owner says how many hours the bench works on each weekday."""

import uuid

import pytest
from django.urls import reverse_lazy

from garments.models import BenchHours
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def as_owner(client):
    client.force_login(UserFactory(role="owner"))
    return client


HOURS = reverse_lazy("workroom:bench_update")
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def week_of(hours, **other):
    return {"entry_id": str(uuid.uuid4()), **dict.fromkeys(DAYS, hours), **other}


def test_bench_hours_are_kept_in_minutes(as_owner):
    as_owner.post(HOURS, week_of("22.5", saturday="4", sunday="0"))

    assert BenchHours.objects.get().week == (1350, 1350, 1350, 1350, 1350, 240, 0)


def test_bench_hours_entered_again_hold_from_then(as_owner):
    as_owner.post(HOURS, week_of("8"))
    as_owner.post(HOURS, week_of("7.25"))

    assert as_owner.get(HOURS).context["now"].week == (435,) * 7


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Write the hours, or 0 when nobody works."),
        ("eight", "Write the hours in figures, like 22.5."),
        ("NaN", "Write the hours in figures, like 22.5."),
        ("-1", "Hours cannot be less than nothing."),
        ("961", "That is more than forty pairs of hands round the clock."),
        ("1e9", "That is more than forty pairs of hands round the clock."),
        ("7.125", "Ensure that there are no more than 2 decimal places."),
    ],
)
def test_bench_hours_refused_beside_the_day(as_owner, typed, said):
    response = as_owner.post(HOURS, week_of("8", tuesday=typed))

    form = response.context["form"]
    assert (response.status_code, form.errors["tuesday"][0]) == (422, said)
    assert (form["monday"].value(), form["tuesday"].value()) == ("8", typed)
    assert not BenchHours.objects.exists()


def test_bench_hours_sent_twice_are_kept_once(as_owner):
    sent = week_of("8")

    as_owner.post(HOURS, sent)
    as_owner.post(HOURS, sent)

    assert BenchHours.objects.count() == 1


def test_bench_hours_sent_again_with_others_are_refused(as_owner):
    sent = week_of("8")
    as_owner.post(HOURS, sent)

    response = as_owner.post(HOURS, sent | {"monday": "4"})

    said = ["This page was already used: open it again."]
    assert (response.status_code, response.context["form"].errors["entry_id"]) == (422, said)
    assert BenchHours.objects.get().week == (480,) * 7
