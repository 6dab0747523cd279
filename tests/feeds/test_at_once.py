"""32 clients who book, move and cancel at once, on both databases: every feed equals the table."""

import random
import threading
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

from django.db import connection
from django.test import Client
from django.utils import timezone

from customers.versions import ChangedMeanwhileError
from fittings.diary.services import SlotTakenError
from fittings.feeds.queries import entries_of, key_of_digest
from fittings.models import Booking, FeedKey
from tests.factories import RoomFactory, UserFactory
from tests.feeds.changing import address_for, do_something, in_feed, in_table

CLIENTS, TRIES = 32, 4


def test_feeds_equal_the_table_after_32_clients_at_once(either_database):
    owner, desk = UserFactory(role="owner"), UserFactory()
    fitters, rooms = [owner, UserFactory(role="fitter")], RoomFactory.create_batch(2)
    feeds = [({"fitter": row}, address_for(row, owner)) for row in fitters]
    feeds += [({"room": row}, address_for(row, owner)) for row in rooms]
    together = threading.Barrier(CLIENTS)
    watched = []

    def client(number):
        dice = random.Random(number)
        try:
            connection.ensure_connection()
            together.wait(timeout=30)
            for _ in range(TRIES):
                try_something(dice, fitters, rooms, desk)
            watched.append(overlaps())
        finally:
            connection.close()

    with ThreadPoolExecutor(CLIENTS) as pool:
        list(pool.map(client, range(CLIENTS)))

    assert [in_feed(Client(), at) == in_table(whose) for whose, at in feeds] == [True] * 4
    assert (watched, Booking.objects.count() > CLIENTS / 4) == ([0] * CLIENTS, True)


def try_something(dice, fitters, rooms, desk):
    try:
        do_something(dice, fitters, rooms, desk)
    except (SlotTakenError, ChangedMeanwhileError):
        return


def overlaps():
    """How many times one feed, read while others write, holds two bookings at once."""
    found = 0
    for digest in FeedKey.objects.values_list("digest", flat=True):
        rows = [row for row in entries_of(key_of_digest(digest), timezone.now()) if row.holds]
        rows.sort(key=lambda row: row.starts_at)
        found += sum(a.ends_at > b.starts_at for a, b in pairwise(rows))
    return found
