"""The demo house, built once for all of these tests on a database file of its own."""

import datetime
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.databases import default_database, sqlite_url
from tests.once import made_once

TODAY = datetime.date(2026, 3, 12)  # a Thursday; the command takes it for half past one


@pytest.fixture(scope="session")
def demo_file(sqlite_template, tmp_path_factory, django_db_blocker) -> Path:
    def make(folder: Path) -> None:
        path = Path(shutil.copy(sqlite_template, folder))
        with django_db_blocker.unblock(), default_database(sqlite_url(path)):
            call_command("demo_house", today=TODAY, verbosity=0)

    made = made_once(tmp_path_factory, "demo", make) / "ledger.sqlite3"
    return Path(shutil.copy(made, tmp_path_factory.mktemp("demo")))


@pytest.fixture
def demo(demo_file, django_db_blocker) -> Iterator[datetime.date]:
    """The demo house is the default database, to read from; its today."""
    with django_db_blocker.unblock(), default_database(sqlite_url(demo_file)):
        yield TODAY


@pytest.fixture
def demo_to_write(demo_file, tmp_path, django_db_blocker) -> Iterator[datetime.date]:
    """A copy of the demo house, to work in; its today."""
    path = Path(shutil.copy(demo_file, tmp_path))
    with django_db_blocker.unblock(), default_database(sqlite_url(path)):
        yield TODAY
