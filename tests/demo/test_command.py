"""`manage.py demo_house`: the same seed the same house, and never in a house that is another's."""

import datetime
import shutil
from pathlib import Path

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import RequestFactory

from customers.models import Customer, House, Measurement
from fittings.config.access import ROLES
from fittings.demo.house import NAME, PASSWORD, STAFF
from fittings.demo.scenes import LATEST
from fittings.models import Booking, Observation
from garments.models import Alteration, Garment
from tests.databases import default_database, sqlite_url
from tests.demo.conftest import TODAY
from tests.factories.customers import CustomerFactory, UserFactory

COLUMNS = {
    Customer: ("number", "given_name", "family_name", "phone", "created_at"),
    Measurement: ("in_set", "point", "side", "value"),
    Garment: ("number", "customer", "cut_version", "stage", "stage_since", "promised_on"),
    Booking: ("pk", "customer", "fitter", "room", "starts_at", "state", "version"),
    Observation: ("pk", "at", "by", "garment", "zone", "fault", "side", "amount"),
    Alteration: ("pk", "at", "by", "operation", "seam", "side", "amount", "cause"),
}


def rows_of_house():
    return {
        model.__name__: sorted(map(str, model.objects.values_list(*columns)))
        for model, columns in COLUMNS.items()
    }


@pytest.mark.long
def test_same_seed_gives_the_same_rows(demo, sqlite_template, tmp_path):
    path = Path(shutil.copy(sqlite_template, tmp_path))
    with default_database(sqlite_url(path)):
        call_command("demo_house", today=TODAY, verbosity=0)
        again = rows_of_house()

    assert again == rows_of_house()


@pytest.mark.long
def test_other_seed_gives_other_rows(demo, sqlite_template, tmp_path):
    path = Path(shutil.copy(sqlite_template, tmp_path))
    with default_database(sqlite_url(path)):
        call_command("demo_house", seed=2, verbosity=0)
        other = rows_of_house()

    kept = rows_of_house()
    assert [name for name in kept if other[name] == kept[name]] == []


def test_demo_of_now_reaches_up_to_now(demo, demo_template, tmp_path):
    path = Path(shutil.copy(demo_template / "ledger.sqlite3", tmp_path))
    now = datetime.datetime.now(tz=datetime.UTC)

    with default_database(sqlite_url(path)):
        newest = Observation.objects.latest("at").at

    # Late at night the day of the demo is over: it ends three hours before midnight.
    closing = now.replace(hour=LATEST // 60, minute=LATEST % 60)
    assert min(now, closing) - datetime.timedelta(hours=3) < newest < now


def signing_in(name):
    return authenticate(RequestFactory().post("/"), username=name, password=PASSWORD)


def test_everyone_printed_can_sign_in(demo):
    people = {hand.username: hand.role for hand in STAFF}

    found = {name: [group.name for group in signing_in(name).groups.all()] for name in people}
    assert found == {name: [role] for name, role in people.items()}
    assert set(people.values()) == set(ROLES)


def test_second_run_writes_nothing_and_prints_people(demo, capsys):
    before = rows_of_house()
    call_command("demo_house")

    printed = capsys.readouterr().out
    assert printed.splitlines()[0] == "The demo house is here already: nothing was written."
    assert [hand.username for hand in STAFF if hand.username not in printed] == []
    assert rows_of_house() == before


@pytest.mark.parametrize("factory", [CustomerFactory, UserFactory])
def test_house_of_others_is_left_alone(factory, sqlite_database):
    factory()

    with pytest.raises(CommandError, match="holds a house that is not the demo"):
        call_command("demo_house", today=TODAY)

    assert (Customer.objects.count(), User.objects.count()).count(1) == 1
    assert House.get().name != NAME


def test_day_that_is_none_is_refused(sqlite_database):
    with pytest.raises(CommandError, match="invalid fromisoformat value: '2026-13-01'"):
        call_command("demo_house", "--today", "2026-13-01")

    assert Customer.objects.count() == 0
