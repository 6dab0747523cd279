"""Entries are counted while nobody asks for the review."""

import logging
import time
from threading import Thread

import pytest
from django.db import OperationalError, connection

from fittings.config import server
from fittings.models import GarmentCount, Recount
from fittings.review import ahead
from tests.review.scenes import delivered

SOON = 15  # seconds: three rounds


@pytest.fixture
def failing(monkeypatch):
    def refuse():
        raise OperationalError("the disk is full")

    monkeypatch.setattr(ahead, "mark_of_counts", refuse)


def test_what_was_entered_is_counted_by_a_thread(either_database):
    coat = delivered()

    thread = Thread(target=ahead.count_now)
    thread.start()
    thread.join()

    assert GarmentCount.objects.get().garment_id == coat.pk
    assert not Recount.objects.exists()


def test_database_that_refuses_is_told_once(failing, caplog):
    with caplog.at_level(logging.WARNING, "ledger.review"):
        assert not ahead.count_now()
        assert not ahead.count_now(tell=False)

    assert [record.getMessage() for record in caplog.records] == [
        "not counted ahead: the disk is full"
    ]


def test_every_serving_process_begins_it(monkeypatch):
    begun = []
    monkeypatch.setattr(ahead, "begin", lambda: begun.append(True))

    server.post_worker_init(None)

    assert begun == [True]


def test_served_house_counts_though_nobody_looks(live_house):
    coat = delivered()
    until = time.monotonic() + SOON
    while Recount.objects.exists() and time.monotonic() < until:
        time.sleep(0.2)

    assert GarmentCount.objects.get().garment_id == coat.pk
    assert not Recount.objects.exists()
    connection.close()
