import pytest
from django.test import Client

from fittings.models import Room
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


def test_wrong_password_keeps_name_and_says_so(client):
    UserFactory(username="hester")

    answer = client.post("/people/sign-in/", {"username": "hester", "password": "wrong"})

    assert answer.context["form"]["username"].value() == "hester"
    assert answer.context["form"].non_field_errors()[0].startswith("Please enter a correct")


def test_sign_in_goes_to_today_and_out_again(client):
    UserFactory(username="hester", role="owner")
    data = {"username": "hester", "password": "chalk-and-thread-7"}

    signed_in = client.post("/people/sign-in/", data)
    signed_out = client.post("/people/sign-out/")

    assert (signed_in.url, signed_out.url) == ("/", "/people/sign-in/")


def test_sign_in_does_not_follow_foreign_address(client):
    UserFactory(username="hester", role="owner")
    data = {
        "username": "hester",
        "password": "chalk-and-thread-7",
        "next": "https://example.org/",
    }

    answer = client.post("/people/sign-in/", data)

    assert answer.url == "/"


def test_password_change_needs_the_old_one(client):
    client.force_login(UserFactory(role="fitter"))
    new = {"new_password1": "pad-stitch-4411", "new_password2": "pad-stitch-4411"}

    refused = client.post("/people/password/", {"old_password": "no", **new})
    changed = client.post("/people/password/", {"old_password": "chalk-and-thread-7", **new})

    assert list(refused.context["form"].errors) == ["old_password"]
    assert changed.url == "/people/password/changed/"


def test_form_without_token_is_refused_in_plain_words():
    answer = Client(enforce_csrf_checks=True).post("/people/sign-in/", {"username": "x"})

    assert answer.status_code == 403
    assert "That form was too old" in answer.content.decode()


def test_unknown_address_gives_page_of_our_own(client):
    client.force_login(UserFactory(role="fitter"))

    answer = client.get("/nowhere/")

    assert answer.status_code == 404
    assert "Nothing is kept here" in answer.content.decode()


@pytest.mark.parametrize("origin", ["http://testserver", "http://elsewhere.example", ""])
def test_form_with_an_old_token_is_offered_to_be_sent_anew(origin):
    """Signed in again beside it: what was typed stays, unless another site's page sent it."""
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(UserFactory(role="owner"))
    headers = {"Origin": origin} if origin else {}

    answer = browser.post("/diary/rooms/", {"name": "Long room"}, headers=headers)

    ours = origin == "http://testserver"
    assert (answer.status_code, "Long room" in answer.content.decode()) == (403, ours)
    assert ("Send it as" in answer.content.decode(), Room.objects.exists()) == (ours, False)
