"""Too many wrong passwords shut one name from one place for a while, and nothing else."""

import datetime

import pytest
from axes.models import AccessAttempt
from django.utils import timezone

from fittings.accounts.services import change_person
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db
PASSWORD = "chalk-and-thread-7"


@pytest.fixture
def hester():
    return UserFactory(username="hester", role="owner")


def sign_in(client, password, *, name="hester", **headers):
    return client.post("/people/sign-in/", {"username": name, "password": password}, **headers)


def shut(client, **headers):
    return [sign_in(client, "wrong", **headers).status_code for _ in range(6)]


def test_sixth_wrong_password_shuts_the_name(client, hester):
    answers = shut(client)
    right = sign_in(client, PASSWORD)

    assert (answers, right.status_code) == ([200] * 5 + [429], 429)
    assert right.context["form"]["username"].value() == "hester"
    assert "Try again in 15 minutes" in right.content.decode()


def test_capitals_count_as_the_same_name(client, hester):
    for name in ("hester", "Hester", "HESTER") * 2:
        answer = sign_in(client, "wrong", name=name)

    assert answer.status_code == 429


def test_other_name_and_other_place_stay_open(client, hester):
    UserFactory(username="orla", role="fitter")
    shut(client)

    assert sign_in(client, PASSWORD, name="orla").status_code == 302
    assert sign_in(client, PASSWORD, REMOTE_ADDR="10.0.0.9").status_code == 302


def test_it_opens_by_itself_after_the_time(client, hester):
    shut(client)
    past = timezone.now() - datetime.timedelta(minutes=16)
    AccessAttempt.objects.update(attempt_time=past)

    assert sign_in(client, PASSWORD).status_code == 302


def test_right_password_forgets_the_wrong_ones(client, hester):
    for _ in range(2):
        for _ in range(5):
            sign_in(client, "wrong")
        assert sign_in(client, PASSWORD).status_code == 302
        client.post("/people/sign-out/")


def test_new_password_from_the_owner_opens_it(client, hester):
    shut(client)
    new = "pad-stitch-4411"
    who = {"first_name": "H", "last_name": "B", "roles": ["owner"], "active": True}

    change_person(person=hester, password=new, by=hester, **who)

    assert sign_in(client, new).status_code == 302


def test_place_behind_a_proxy_is_what_the_proxy_wrote(client, hester, settings):
    settings.HTTPS = True
    made_up = [f"10.0.0.{last}, 192.0.2.7" for last in range(6)]  # RFC 5737

    answers = [sign_in(client, "wrong", HTTP_X_FORWARDED_FOR=told).status_code for told in made_up]

    assert answers[-1] == 429
    assert sign_in(client, PASSWORD, HTTP_X_FORWARDED_FOR="192.0.2.8").status_code == 302
