import logging

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from fittings.accounts.services import add_person, change_person
from fittings.config.access import roles_of
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db

GOOD = {
    "first_name": "Orla",
    "last_name": "Tench",
    "username": "orla",
    "roles": ["fitter"],
    "password": "basting-cotton-9",
}


@pytest.fixture
def owner(client):
    person = UserFactory(role="owner")
    client.force_login(person)
    return person


def test_person_added_can_sign_in(client, owner):
    client.post("/people/new/", GOOD)

    person = User.objects.get(username="orla")
    assert (person.check_password(GOOD["password"]), roles_of(person)) == (
        True,
        {"fitter"},
    )


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("first_name", "", "This field is required."),
        ("last_name", "x" * 61, "Ensure this value has at most 60 characters (it has 61)."),
        ("username", "o r l a", "Enter a valid username."),
        ("username", "<script>alert(1)</script>", "Enter a valid username."),
        ("roles", [], "This field is required."),
        ("roles", ["king"], "Select a valid choice. king is not one of the available choices."),
        ("password", "short", "This password is too short."),
        ("password", "1" * 12, "This password is entirely numeric."),
        ("username", "x" * 1_000_000, "Ensure this value has at most 60 characters"),
    ],
)
def test_bad_person_is_refused_beside_field(client, owner, field, value, message):
    answer = client.post("/people/new/", {**GOOD, field: value})

    errors = answer.context["form"].errors[field]
    assert answer.status_code == 422
    assert any(text.startswith(message) for text in errors), errors
    assert User.objects.count() == 1


def test_taken_sign_in_name_is_refused(client, owner):
    UserFactory(username="Orla")

    answer = client.post("/people/new/", GOOD)

    assert answer.context["form"].errors == {
        "username": ["Someone already signs in with this name."]
    }


def test_person_let_go_is_signed_out_at_once(client, owner):
    hand = UserFactory(role="workroom")
    other = client_class(client)
    other.force_login(hand)

    change_person(person=hand, first_name="A", last_name="B", roles=["workroom"], active=False)

    assert other.get("/people/password/").url.startswith("/people/sign-in/")


def client_class(client):
    return type(client)()


def test_last_owner_cannot_be_let_go(client, owner):
    answer = client.post(
        f"/people/{owner.pk}/", {"first_name": "A", "last_name": "B", "roles": ["fitter"]}
    )

    assert answer.context["form"].errors == {
        "__all__": ["The house needs at least one owner who can sign in."]
    }


def test_empty_password_leaves_the_old_one(client, owner):
    hand = UserFactory(role="workroom")
    data = {"first_name": "A", "last_name": "B", "roles": ["workroom"], "active": "on"}

    client.post(f"/people/{hand.pk}/", {**data, "password": ""})

    assert User.objects.get(pk=hand.pk).check_password("chalk-and-thread-7")


def test_who_gave_what_work_stands_in_the_log(client, owner, caplog):
    caplog.set_level(logging.INFO)
    client.post("/people/new/", GOOD)
    orla = User.objects.get(username="orla")
    client.post(f"/people/{orla.pk}/", GOOD | {"password": "", "roles": ["owner"], "active": "on"})

    said = [row.getMessage() for row in caplog.records if "person=" in row.getMessage()]
    who = f"person={orla.pk} by={owner.pk}"
    assert said == [
        f"person let in {who} work=fitter active=True password=True",
        f"person changed {who} work=owner active=True password=False",
    ]


def test_people_list_costs_same_queries_for_many(client, owner, django_assert_num_queries):
    UserFactory.create_batch(10, role="fitter")

    with django_assert_num_queries(5):  # session, user, roles, people, their groups
        client.get("/people/")


def test_unknown_role_is_refused_by_service():
    with pytest.raises(ValidationError) as refused:
        add_person(**{**GOOD, "roles": ["king"]})

    assert refused.value.message_dict == {"roles": ["Choose at least one kind of work."]}


def test_add_person_command_reads_password_from_input(monkeypatch, capsys):
    monkeypatch.setattr("sys.stdin", Lines("linen-thread-21"))

    call_command("add_person", "hester", role=["owner"], first_name="Hester")

    assert capsys.readouterr().out.strip() == "hester can sign in."
    assert User.objects.get(username="hester").check_password("linen-thread-21")


def test_add_person_command_refuses_weak_password(monkeypatch):
    monkeypatch.setattr("sys.stdin", Lines("short"))

    with pytest.raises(CommandError, match="too short"):
        call_command("add_person", "hester", role=["owner"])


class Lines:
    """A standard input that is no terminal and holds one line."""

    def __init__(self, line):
        self.line = line

    def isatty(self):
        return False

    def readline(self):
        return self.line + "\n"
