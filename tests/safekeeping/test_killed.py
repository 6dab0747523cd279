"""kill -9 of the whole server while people work: what was acknowledged is there, once and whole.

Five kills here; `tests/bench/bench_kill.py` has two hundred.
"""

import pytest

from tests.atwork.killing import Killed, new_house, served, staff
from tests.databases import default_database, sqlite_url


@pytest.fixture
def house(house_template, tmp_path, django_db_blocker):
    data = new_house(house_template, tmp_path)
    with django_db_blocker.unblock(), default_database(sqlite_url(data / "ledger.sqlite3")):
        yield data


def test_server_killed_at_work_loses_nothing_acknowledged(house):
    with served(house) as server:
        killed = Killed(server, staff(fitters=3, desks=1), seed=8)
        for _ in range(5):
            killed.run()

    assert (killed.wrong, killed.refused) == ([], [])
    assert killed.kept > 0
