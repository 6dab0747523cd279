"""kill -9 at moments nobody foresees: 200 times the server on SQLite; then on PostgreSQL.

Nothing here is a budget: after every kill what was acknowledged is there once, nothing is there by
half, and SQLite finds its file sound. On PostgreSQL the server dies, and the database under it.
"""

import os
import sys

import pytest
from django.core.management import call_command
from django.db import connection

from tests.atwork.killing import Killed, new_house, served, staff
from tests.databases import default_database, sqlite_url
from tests.postgres import SETTINGS, running_server

RUNS = int(os.environ.get("RUNS", "200"))
DURABLE = tuple(setting for setting in SETTINGS if not setting.startswith("fsync"))


@pytest.fixture
def data(house_template, tmp_path):
    return new_house(house_template, tmp_path)


def killed_again_and_again(killed, runs):
    for number in range(runs):
        killed.run()
        if number % 20 == 19:
            tell(killed)
    tell(killed)
    assert (killed.wrong, killed.refused) == ([], [])


def tell(killed):
    sys.stdout.write(f"\n{connection.vendor}: {killed.figures()}, {len(killed.wrong)} wrong\n")
    sys.stdout.flush()


def test_two_hundred_kills_lose_nothing_on_sqlite(data, django_db_blocker):
    database = default_database(sqlite_url(data / "ledger.sqlite3"))
    with django_db_blocker.unblock(), database, served(data) as server:
        killed_again_and_again(Killed(server, staff(fitters=5, desks=3), seed=1), RUNS)


@pytest.mark.parametrize("what", ["server", "database"])
def test_kills_lose_nothing_on_postgresql(data, django_db_blocker, what):
    with running_server(DURABLE) as postgres, django_db_blocker.unblock():
        postgres.execute("CREATE DATABASE house")
        url = postgres.url("house")
        with default_database(url), served(data, DATABASE_URL=url) as server:
            call_command("migrate", verbosity=0)
            hands = staff(fitters=5, desks=3)
            dies = {"kill": lambda: fall(postgres, server), "rise": lambda: rise(postgres)}
            killed = Killed(server, hands, seed=2, **(dies if what == "database" else {}))
            killed_again_and_again(killed, RUNS // 4)


def fall(postgres, server):
    """The power goes: the database first, so that whoever still writes is cut off in the middle."""
    connection.close()
    postgres.kill()
    server.kill()


def rise(postgres):
    postgres.start()
