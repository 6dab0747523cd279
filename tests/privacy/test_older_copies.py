"""A copy from before an erasure, brought back, erases again: by the list beside the copies."""

import datetime
import shutil

import pytest
from django.core.management import call_command
from django.db import connection

from customers.models import Customer
from fittings.models import Erasure
from fittings.privacy import remembered
from tests.factories import CustomerFactory, UserFactory
from tests.privacy.person import EMAIL, NAME, erase_now, furnish
from tests.privacy.test_erasing import everything, found


@pytest.fixture
def copies(tmp_path):
    folder = tmp_path / "copies"
    folder.mkdir()
    return folder


def copy(folder):
    call_command("back_up", str(folder))
    (made,) = folder.glob("ledger-*.tar.gz")
    return made


def bring_back(made):
    call_command("restore", str(made), "--replace")


@pytest.mark.usefixtures("either_database")
def test_copy_from_before_the_erasure_erases_again(data, copies, capsys):
    owner = UserFactory(role="owner")
    customer = furnish(owner)
    made = copy(copies)
    erasure = erase_now(customer, owner)

    bring_back(made)

    again = Erasure.objects.get()
    assert (again.customer.number, again.at, again.by) == (customer.number, erasure.at, owner)
    assert found(everything()) == []
    assert "Erased again, since they were erased after it was made: 1." in capsys.readouterr().out


@pytest.mark.usefixtures("sqlite_database")
def test_list_beside_the_copies_speaks_on_a_new_machine(data, copies, tmp_path):
    owner = UserFactory(role="owner")
    customer = furnish(owner)
    old = copy(copies)
    erase_now(customer, owner)
    old.rename(copies / "monday.tar.gz")
    copy(copies)  # the next evening's, which lays the list beside it
    for path in data.iterdir():
        shutil.rmtree(path) if path.is_dir() else path.unlink()

    bring_back(copies / "monday.tar.gz")

    assert not Customer.objects.filter(family_name=NAME).exists()


@pytest.mark.usefixtures("sqlite_database")
def test_copy_from_after_the_erasure_needs_nothing(data, copies, capsys):
    owner = UserFactory(role="owner")
    erase_now(furnish(owner), owner)

    bring_back(copy(copies))

    assert "made: 0." in capsys.readouterr().out
    assert Erasure.objects.count() == 1


@pytest.mark.django_db
def test_number_given_to_somebody_else_since_is_not_erased(data, owner):
    known = CustomerFactory()
    stranger = remembered.Remembered(
        number=known.number,
        form_id=type(known.form_id)(int=7),
        at=datetime.datetime.now(datetime.UTC),
        reason="asked",
        by=owner.pk,
    )

    assert remembered.erase_again([stranger]) == []


@pytest.mark.django_db
def test_author_the_older_copy_does_not_know_is_the_owner(data, owner):
    known = CustomerFactory()
    row = remembered.Remembered(
        known.number, known.form_id, datetime.datetime.now(datetime.UTC), "asked", 999_999
    )

    remembered.erase_again([row])

    assert Erasure.objects.get().by == owner


@pytest.mark.django_db
def test_list_holds_numbers_and_no_name(person, erase, data, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        erasure = erase(person)

    text = (data / remembered.NAME).read_text()
    assert text.splitlines()[1:] == [
        f"{person.number} {person.form_id} {erasure.at.isoformat()} asked {erasure.by_id}"
    ]
    assert (NAME in text, EMAIL in text) == (False, False)
    assert (data / remembered.NAME).stat().st_mode & 0o777 == 0o600
    assert connection.in_atomic_block
