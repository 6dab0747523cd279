"""A full disk, one that cannot be written to, a database that is gone: told, and nothing lost.

The errors are the databases' own; `tests/bench/bench_disk.py` has a disk that is really full.
"""

import errno
import sqlite3
import threading
import uuid
from contextlib import suppress

import psycopg
import pytest
from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import OperationalError, close_old_connections, connection, transaction
from django.test import Client
from django.utils import timezone

from customers.models import Consent, Customer
from fittings.config import health, trouble
from fittings.models import Observation, Photograph
from tests.factories import ConsentFactory, FittingFactory, RoomFactory, UserFactory
from tests.hostile.working_house import picture
from tests.session.conftest import garment_of

SAFE = "Nothing of what was sent just now was kept; all that was kept before is safe."
SEEN = {"seen": "collar-stands-off:", "amount": "3/8 in", "note": "x" * 200}


@pytest.fixture(autouse=True)
def disk(tmp_path, settings):
    settings.DATA_DIR = tmp_path / "data"
    settings.MEDIA_ROOT = settings.DATA_DIR / "photographs"
    settings.MEDIA_ROOT.mkdir(parents=True)
    return settings.MEDIA_ROOT


@pytest.fixture
def room(sqlite_database):
    """A fitter's browser, and the address at which a garment's entries are sent."""
    return fitting_room()


def fitting_room():
    fitter = UserFactory(role="fitter")
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    coat = garment_of(fitting.customer, fitter)
    fitting.garments.add(coat)
    ConsentFactory(customer=fitting.customer, by=fitter)
    browser = Client(raise_request_exception=False)
    browser.force_login(fitter)
    RoomFactory()
    return browser, f"/fitting/{fitting.pk}/{coat.number}/"


def sql(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return cursor.fetchone() if cursor.description else None


def touch(browser, place, **headers):
    return browser.post(f"{place}seen/", SEEN | {"entry_id": uuid.uuid4()}, headers=headers)


def agree(browser, **headers):
    """One more entry of the kind that the database is filled with."""
    customer = Customer.objects.first()
    said = {"kind": "publicity", "given": "no", "given_on": "2026-01-05", "wording": "y" * 900}
    address = f"/customers/{customer.number}/consent/"
    return browser.post(address, said | {"entry_id": uuid.uuid4()}, headers=headers)


def fill():
    """Let SQLite have no page more than it has, and enter things until none goes in."""
    sql("VACUUM")  # the migrations left pages that are free
    sql(f"PRAGMA max_page_count={sql('PRAGMA page_count')[0]}")
    customer, by = Customer.objects.first(), User.objects.first()
    said = {"kind": "publicity", "wording": "x" * 500}
    with suppress(OperationalError):
        while True:
            Consent.objects.create(
                customer=customer, by=by, given_on=timezone.localdate(), given=False, **said
            )


def test_full_disk_is_told_and_nothing_acknowledged_is_lost(room):
    fill()
    kept = Consent.objects.count()

    refused = agree(room[0], **{"HX-Request": "true"})

    assert (refused.status_code, refused["Content-Type"]) == (507, "text/plain")
    assert refused.content.decode() == (
        f"The disk of the house's computer is full. {SAFE} "
        "Whoever looks after that computer must make room on it; then send it again."
    )
    assert Consent.objects.count() == kept
    assert sql("PRAGMA integrity_check") == ("ok",)


def test_house_works_on_once_there_is_room(room):
    browser, _ = room
    fill()
    kept, shown = Consent.objects.count(), browser.get("/").status_code
    sql("PRAGMA max_page_count=1000000")

    assert (shown, agree(browser).status_code) == (200, 302)
    assert Consent.objects.count() == kept + 1


def test_disk_that_cannot_be_written_to_is_told_on_a_page(room):
    browser, place = room
    sql("PRAGMA query_only=ON")

    answer = touch(browser, place)

    assert answer.status_code == 503
    assert "<h1>The disk of the house&#x27;s computer cannot be written to</h1>" in str(
        answer.content, "utf-8"
    )
    assert (browser.get("/").status_code, Observation.objects.count()) == (200, 0)


def test_writer_who_never_gets_a_turn_is_told(room, settings):
    browser, place = room
    sql("PRAGMA busy_timeout=50")
    writing, over = threading.Event(), threading.Event()

    def write():
        with transaction.atomic():
            writing.set()
            over.wait(timeout=30)
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    writing.wait(timeout=30)
    answer, well = touch(browser, place, **{"HX-Request": "true"}), browser.get("/health/")
    over.set()
    writer.join()

    assert (answer.status_code, well.status_code) == (503, 200)
    assert answer.content.decode().startswith("Others were writing all the while, and this had")


def test_photograph_the_disk_has_no_room_for_leaves_nothing(room, disk, monkeypatch):
    browser, place = room
    turns = iter([None, None, None, OSError(errno.ENOSPC, "No space left on device")])

    def fsync(_):
        if problem := next(turns, None):
            raise problem

    monkeypatch.setattr("os.fsync", fsync)
    sent = {"entry_id": uuid.uuid4(), "photograph": picture()}
    answer = browser.post(f"{place}photographs/", sent)

    assert (answer.status_code, Photograph.objects.count()) == (507, 0)
    assert [path for path in disk.rglob("*") if path.is_file()] == []


def test_file_has_its_name_only_when_it_is_whole(disk):
    def half():
        yield b"half"
        seen.extend(path.name for path in disk.rglob("*") if path.is_file())
        raise OSError(errno.EIO, "Input/output error")

    seen, content = [], ContentFile(b"", "a.jpg")
    content.chunks = half
    with pytest.raises(OSError, match="Input/output"):
        default_storage.save("ab/one.jpg", content)

    assert seen == ["one.jpg.part"]
    assert [path for path in disk.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(errno.ENOSPC, ""), trouble.FULL),
        (OSError(errno.EDQUOT, ""), trouble.FULL),
        (OSError(errno.EROFS, ""), trouble.READ_ONLY),
        (OSError(errno.EIO, ""), trouble.FAILING),
        (psycopg.errors.DiskFull(), trouble.FULL),
        (psycopg.errors.ReadOnlySqlTransaction(), trouble.READ_ONLY),
        (psycopg.OperationalError("server closed the connection"), trouble.NO_ANSWER),
        (psycopg.errors.AdminShutdown(), trouble.NO_ANSWER),
        (psycopg.errors.UndefinedTable(), None),
        (sqlite3.OperationalError("no such table"), None),
        (FileNotFoundError(errno.ENOENT, ""), None),
        (ValueError("ours"), None),
        (None, None),
    ],
)
def test_error_is_told_by_what_it_came_from(error, said):
    outer = RuntimeError("Something around it")
    outer.__cause__ = error

    assert trouble.trouble_of(outer) is said


def test_errors_that_name_each_other_are_walked_once():
    one, other = ValueError("one"), ValueError("other")
    one.__cause__, other.__context__ = other, one

    assert trouble.trouble_of(one) is None


def well(client):
    answer = client.get("/health/")
    return answer.status_code, answer.content.decode()


@pytest.mark.parametrize(
    ("free", "said"),
    [
        (5_000, (200, "ok")),
        (900, (200, "ok, but only 900 MB are left on the disk")),
        (9, (503, "The disk is full: 9 MB are left on the disk.")),
    ],
)
def test_health_page_counts_the_room_that_is_left(client, either_database, monkeypatch, free, said):
    monkeypatch.setattr("os.statvfs", lambda _: Room(free * 1024**2))

    assert well(client) == said


class Room:
    """What the disk says of itself: blocks of one byte."""

    def __init__(self, free):
        self.f_bavail, self.f_bfree, self.f_blocks, self.f_frsize = free, free, 10**12, 1


def test_health_page_tells_a_database_nobody_can_write_to(client, postgres_database):
    sql("SET default_transaction_read_only = on")

    assert well(client) == (503, "The disk of the house's computer cannot be written to.")


def test_health_page_tells_a_folder_nobody_can_write_to(client, sqlite_database, monkeypatch):
    def refuse(*_, **__):
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr("tempfile.TemporaryFile", refuse)

    assert well(client) == (503, "The disk of the house's computer cannot be written to.")


def test_health_page_tells_a_database_that_is_gone(client, postgres_database, postgres_server):
    postgres_server.execute("ALTER DATABASE ledger ALLOW_CONNECTIONS false")
    connection.close()
    answer = well(client)
    postgres_server.execute("ALTER DATABASE ledger ALLOW_CONNECTIONS true")

    assert answer == (503, "The ledger's database does not answer.")


def test_health_page_lives_with_photographs_kept_elsewhere(client, sqlite_database, settings):
    elsewhere = {"BACKEND": "tests.safekeeping.elsewhere.Elsewhere"}
    settings.STORAGES = settings.STORAGES | {"default": elsewhere}

    assert len(health._folders()) == 1
    assert well(client)[0] == 200


def test_connection_the_database_dropped_is_made_anew(postgres_database, postgres_server):
    browser, place = fitting_room()
    mine = sql("SELECT pg_backend_pid()")[0]
    postgres_server.execute(f"SELECT pg_terminate_backend({mine})")
    close_old_connections()  # as each request of a server begins

    assert [browser.get("/").status_code, touch(browser, place).status_code] == [200, 302]
