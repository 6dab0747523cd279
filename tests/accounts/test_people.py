import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from fittings.accounts.services import add_person, change_person
from fittings.config.access import roles_of
from fittings.models import PersonChange
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

    who = {"first_name": "A", "last_name": "B", "roles": ["workroom"]}
    change_person(person=hand, active=False, by=owner, **who)

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


def test_who_gave_what_work_is_an_entry(client, owner):
    client.post("/people/new/", GOOD)
    orla = User.objects.get(username="orla")
    given = GOOD | {"password": "", "roles": ["owner", "fitter"], "active": "on"}
    client.post(f"/people/{orla.pk}/", given)
    client.post(f"/people/{orla.pk}/", given)  # changes nothing
    gone = {
        "first_name": "Orla",
        "last_name": "Venn",
        "roles": ["owner"],
        "password": "pad-stitch-4411",
    }
    client.post(f"/people/{orla.pk}/", gone)

    assert [(row.person, row.said, row.by) for row in PersonChange.objects.all()] == [
        (orla, "Orla Tench: let in as fitter", owner),
        (orla, "Orla Tench: works as fitter, owner", owner),
        (
            orla,
            "Orla Tench: called Orla Venn; works as owner; may not sign in any more; new password",
            owner,
        ),
    ]


def test_audit_tells_what_was_changed_of_people(client, owner):
    client.post("/people/new/", GOOD)

    page = client.get("/privacy/looked-at/?what=changed").content.decode()

    assert "People of the house (Orla Tench: let in as fitter)" in page


def test_people_list_costs_same_queries_for_many(client, owner, django_assert_num_queries):
    UserFactory.create_batch(10, role="fitter")

    with django_assert_num_queries(5):  # session, user, roles, people, their groups
        client.get("/people/")


def test_unknown_role_is_refused_by_service():
    with pytest.raises(ValidationError) as refused:
        add_person(**{**GOOD, "roles": ["king"]}, by=None)

    assert refused.value.message_dict == {"roles": ["Choose at least one kind of work."]}


def test_add_person_command_reads_password_from_input(monkeypatch, capsys):
    monkeypatch.setattr("sys.stdin", Lines("linen-thread-21"))

    call_command("add_person", "hester", role=["owner"], first_name="Hester")

    assert capsys.readouterr().out.strip() == "hester can sign in."
    hester = User.objects.get(username="hester")
    assert hester.check_password("linen-thread-21")
    (entry,) = PersonChange.objects.all()
    assert (entry.said, entry.by) == ("Hester: let in as owner, at the machine", hester)


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
