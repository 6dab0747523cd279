"""Entries are counted, and the owner's pages drawn, while nobody asks for the review."""

import datetime
import logging
import time
from threading import Thread

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.cache import caches
from django.db import InterfaceError, OperationalError, connection
from django.test import RequestFactory
from django.utils import timezone

from fittings.config import server
from fittings.models import GarmentCount, Recount
from fittings.promise import CRAFTS, Case
from fittings.promising import queries
from fittings.promising.queries import read_promises
from fittings.review import ahead, keeping, views
from fittings.review.asking import By
from fittings.review.keeping import asked_lately, kept_as
from tests.factories import GarmentFactory, MakerFactory
from tests.review.scenes import DAYS, MEMORY, delivered, reach

SOON = 15  # seconds: three rounds


class EnoughError(Exception):
    """Ends what otherwise goes on for ever."""


@pytest.fixture
def kept(settings):
    settings.CACHES = {**settings.CACHES, "template_fragments": MEMORY}
    keeping._asked.clear()
    yield
    caches["template_fragments"].clear()
    keeping._asked.clear()


@pytest.fixture
def worked_out(monkeypatch):
    """The questions that the first page is worked out for, not only shown again."""
    found = []
    review = views.review
    monkeypatch.setattr(views, "review", lambda *asked: found.append(asked) or review(*asked))
    return found


@pytest.fixture
def rounds(monkeypatch):
    """Looks once for each answer given, which may be an error; then no more."""

    def look_on(*answers):
        left = list(answers)

        def look(drawn):
            answer = left.pop(0)
            if isinstance(answer, Exception):
                raise answer
            asked.append(drawn)
            return answer

        def sleep(_):
            if not left:
                raise EnoughError

        asked = []
        monkeypatch.setattr(ahead, "look", look)
        monkeypatch.setattr(ahead.time, "sleep", sleep)
        with pytest.raises(EnoughError):
            ahead._look_on()
        return asked

    return look_on


def test_what_was_entered_is_counted_by_a_thread(either_database):
    coat = delivered()

    thread = Thread(target=lambda: (ahead.look(), connection.close()))
    thread.start()
    thread.join()

    assert GarmentCount.objects.get().garment_id == coat.pk
    assert not Recount.objects.exists()


@pytest.mark.django_db
def test_usual_page_is_there_before_it_is_asked_for(owner, kept, worked_out):
    delivered()

    ahead.look()
    before = len(worked_out)
    page = owner.get("/review/")

    assert len(worked_out) == before
    assert b"Remakes" in page.content


@pytest.mark.django_db
def test_first_time_it_is_drawn_by_all_that_rows_may_be(kept, worked_out):
    delivered()

    drawn = ahead.look()
    ways = {asked.by for asked, _ in worked_out}
    del worked_out[:]
    reach(delivered(), "returned", "2026-03-01")
    ahead.look(drawn)

    assert ways == {*By}
    assert [asked.by for asked, _ in worked_out] == [By.CUTTER]


@pytest.mark.django_db
def test_page_asked_for_lately_is_drawn_again_after_an_entry(owner, kept, worked_out):
    coat = delivered("2026-02-10")
    owner.get("/review/", DAYS)
    drawn = ahead.look()
    reach(coat, "returned", "2026-03-01")

    ahead.look(drawn)
    before = len(worked_out)
    text = owner.get("/review/", DAYS).content.decode()

    assert len(worked_out) == before
    assert "1 of 1" in text


@pytest.mark.django_db
def test_nothing_is_drawn_where_nothing_was_entered(kept, worked_out):
    delivered()
    drawn = ahead.look()
    before = len(worked_out)

    assert ahead.look(drawn) == drawn
    assert len(worked_out) == before


@pytest.mark.django_db
def test_what_is_drawn_ahead_is_not_asked_for(kept, rf: RequestFactory):
    request = rf.get("/review/?by=cut")
    request.user = AnonymousUser()

    kept_as(request)

    assert asked_lately() == []


@pytest.mark.django_db
def test_only_the_newest_addresses_are_remembered(owner, kept, monkeypatch):
    monkeypatch.setattr(keeping, "MOST_ASKED", 2)
    for by in ("cut", "kind", "month"):
        owner.get("/review/", {"by": by})

    assert asked_lately() == ["/review/?by=kind", "/review/?by=month"]


@pytest.mark.django_db
def test_what_was_asked_an_hour_ago_is_drawn_no_more(owner, kept, monkeypatch):
    owner.get("/review/", {"by": "cut"})
    later = time.monotonic() + keeping.LATELY + 1

    monkeypatch.setattr(keeping.time, "monotonic", lambda: later)

    assert asked_lately() == []


@pytest.mark.django_db
def test_letter_is_drawn_ahead_only_while_it_is_read(owner, kept, monkeypatch):
    drawn = []
    monkeypatch.setattr(ahead, "draw", drawn.append)

    begun = ahead.look()
    owner.get("/review/letter/", {"month": "2026-02"})
    delivered()
    ahead.look(begun)

    usual = ahead.usual_pages()
    assert drawn == [*ahead.other_rows(), *usual, *usual, "/review/letter/?month=2026-02"]


@pytest.mark.django_db
def test_page_that_cannot_be_drawn_is_told_and_passed_over(owner, kept, monkeypatch, caplog):
    def fail(*_):
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(views, "explain", fail)
    with caplog.at_level(logging.ERROR, "ledger.review"):
        ahead.look()

    assert [record.getMessage() for record in caplog.records] == ["not made ahead: /review/why/"]


@pytest.mark.django_db
def test_work_is_planned_before_it_is_asked_for(monkeypatch):
    coat = GarmentFactory(promised_on=timezone.localdate() + datetime.timedelta(days=60))
    for craft in CRAFTS:
        MakerFactory(craft=craft)

    ahead.look()
    monkeypatch.setattr(Case, "run", lambda _: pytest.fail("planned again"))

    assert list(read_promises().plans) == [coat.number]


@pytest.mark.django_db
def test_house_without_makers_is_not_planned(monkeypatch):
    GarmentFactory()
    monkeypatch.setattr(queries, "read_promises", lambda: pytest.fail("read"))

    ahead.look()


@pytest.mark.django_db
def test_work_that_nobody_gets_to_is_passed_over(caplog):
    GarmentFactory()
    MakerFactory(craft="finisher", since=timezone.localdate() + datetime.timedelta(days=5_000))

    with caplog.at_level(logging.ERROR, "ledger.review"):
        ahead.look()

    assert caplog.records == []


def test_database_that_refuses_is_told_once_and_asked_again(rounds, caplog):
    full, away = OperationalError("the disk is full"), InterfaceError("the connection is closed")
    with caplog.at_level(logging.WARNING, "ledger.review"):
        asked = rounds(full, full, "first", away, "second", "third")

    assert [record.getMessage() for record in caplog.records] == [
        "not counted ahead: the disk is full",
        "not counted ahead: the connection is closed",
    ]
    assert asked == [None, "first", "second"]


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
