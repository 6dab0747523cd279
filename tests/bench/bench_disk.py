"""A disk that is really full, and one that is really turned read-only, under the real server.

A small file system in memory holds the house: `mount` must be allowed, as root has it.
"""

import shutil
import subprocess
import sys
import threading
import time
from contextlib import contextmanager

import pytest
from django.db import connection
from django.test.utils import override_settings

from tests import live_house as houses
from tests.atwork import record
from tests.atwork.killing import served, staff
from tests.databases import default_database, sqlite_url

MEGABYTE = 1024 * 1024
LEFT = 300 * 1024  # bytes that people can still fill


@pytest.fixture
def disk(tmp_path):
    """A disk of 64 MB of its own."""
    folder = tmp_path / "disk"
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64m", "tmpfs", folder], check=True)
    yield folder
    subprocess.run(["umount", "--lazy", folder], check=True)


@pytest.fixture
def house(disk, house_template, django_db_blocker):
    """Served from that disk, with people signed in."""
    data = disk / "house"
    shutil.copytree(house_template, data)
    database = default_database(sqlite_url(data / "ledger.sqlite3"))
    with django_db_blocker.unblock(), database, served(data) as server:
        hands = staff(fitters=4, desks=2)
        server.begin()
        houses.wait_for(f"{server.url}/health/", server)
        for hand in hands:
            hand.browser.url = server.url
        hands[0].server = server
        with override_settings(DATA_DIR=data):
            yield hands


def at_work(hands, until):
    """Let all work at once until each has been put off ``until`` times, or has done 400 things."""

    def work(hand):
        for _ in range(400):
            hand.enter()
            if len(hand.log.put_off) >= until:
                return

    threads = [threading.Thread(target=work, args=[hand]) for hand in hands]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def sent_again(hands):
    """What every hand still holds, sent once more: the statuses."""
    return {hand.enter() for hand in hands if hand.waiting}


def wrong(hands):
    refused = [each for hand in hands for each in hand.log.refused]
    found = record.lost(hands) + record.doubled(hands)
    return found + record.halves() + record.unsound() + refused


def tell(what, hands, well):
    kept = sum(len(hand.log.kept) for hand in hands)
    put_off = [status for hand in hands for status in hand.log.put_off]
    sys.stdout.write(f"\n{what}: {kept} kept, put off {put_off}, health {well[0]} {well[1]}\n")


def health(hands):
    return hands[0].browser.get("/health/")


@contextmanager
def ballast(disk):
    """All of the disk but a little is taken by something else."""
    heap = disk / "ballast"
    heap.write_bytes(bytes(shutil.disk_usage(disk).free - LEFT))
    yield
    heap.unlink()


def test_full_disk_loses_nothing_and_is_told(disk, house):
    with ballast(disk):
        at_work(house, until=2)
        well = health(house)
        tell("full", house, well)
        shown = house[0].browser.get("/")[0]

        assert (wrong(house), shown, well[0]) == ([], 200, 503)
        assert well[1] == b"The disk is full: 0 MB are left on the disk."
        assert {status for hand in house for status in hand.log.put_off} == {507}
    assert sent_again(house) <= {200, 302}
    assert (wrong(house), health(house)[0]) == ([], 200)


def test_read_only_disk_loses_nothing_and_is_told(disk, house):
    for hand in house:
        hand.enter()
    with read_only(disk, house[0].server):
        at_work(house, until=2)
        well = health(house)
        tell("read-only", house, well)
        shown = house[0].browser.get("/")[0]

        assert (wrong(house), shown, well[0]) == ([], 200, 503)
        assert b"The disk of the house's computer cannot be written to." in well[1]
        assert {status for hand in house for status in hand.log.put_off} == {503}
    assert sent_again(house) <= {200, 302}
    assert wrong(house) == []


@contextmanager
def read_only(disk, server):
    """The disk turned over. Linux refuses that while a file is open to be written to."""
    for how in ("ro", "rw"):
        server.kill()
        connection.close()
        remount(disk, how)
        server.begin()
        houses.wait_for(f"{server.url}/health/", server)
        if how == "ro":
            yield


def remount(disk, how):
    """The killed need a moment until they have let go of their files."""
    command = ["mount", "-o", f"remount,{how}", disk]
    for _ in range(50):
        if subprocess.run(command, capture_output=True, check=False).returncode == 0:
            return
        time.sleep(0.1)
    subprocess.run(command, check=True)
