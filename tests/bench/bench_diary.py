"""The diary under 32 clients at once: 10,000 bookings, moves, cancels and marks on each database.

Nothing here is a budget: what is counted is what went wrong, and that has to be nothing.
"""

import random
import sys
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from itertools import combinations, groupby

from django.db import OperationalError, connection
from django.test import Client

from customers.versions import ChangedMeanwhileError
from fittings.diary.services import SlotTakenError
from fittings.models import Booking, BookingChange
from tests.factories import RoomFactory, UserFactory
from tests.feeds.changing import address_for, do_something, in_feed, in_table

CLIENTS, TRIES = 32, 10_000
ROUNDS = 10  # after each of them every feed is held against the table
HOLDING = ("booked", "arrived", "kept")


def test_nothing_is_lost_in_ten_thousand_changes(either_database):
    owner, desk = UserFactory(role="owner"), UserFactory(role="front of house")
    fitters = [owner, *UserFactory.create_batch(3, role="fitter")]
    rooms = RoomFactory.create_batch(3)
    feeds = [({"fitter": row}, address_for(row, owner)) for row in fitters]
    feeds += [({"room": row}, address_for(row, owner)) for row in rooms]
    together, said, took = threading.Barrier(CLIENTS), Counter(), 0.0
    dices = [random.Random(number) for number in range(CLIENTS)]
    agreed = []

    def client(number, tries):
        mine = Counter()
        try:
            connection.ensure_connection()
            together.wait(timeout=60)
            for _ in range(tries):
                mine[attempt(dices[number], fitters, rooms, desk)] += 1
        finally:
            connection.close()
        return mine

    for _ in range(ROUNDS):
        begun = time.perf_counter()
        with ThreadPoolExecutor(CLIENTS) as pool:
            for mine in pool.map(client, range(CLIENTS), tries_in_a_round()):
                said.update(mine)
        took += time.perf_counter() - begun
        agreed += [in_feed(Client(), at) == in_table(whose) for whose, at in feeds]

    rows = list(Booking.objects.all())
    changes = BookingChange.objects.count()
    line = f"{either_database.split(':')[0]:10} {dict(said)} in {took:.0f} s, {len(rows)} bookings"
    sys.stdout.write(f"\n{line}, {changes} changes\n")
    assert said.total() == TRIES
    assert overlapping([row for row in rows if row.state in HOLDING]) == []
    # Each change that was acknowledged is one entry, and no other entry is there.
    assert said["kept"] == changes
    assert agreed == [True] * len(feeds) * ROUNDS
    versions = Counter(BookingChange.objects.values_list("booking_id", flat=True))
    assert {row.pk: row.version for row in rows} == dict(versions)


def tries_in_a_round():
    """How many of a round's tries each client makes."""
    tries = TRIES // ROUNDS
    return [tries // CLIENTS + (number < tries % CLIENTS) for number in range(CLIENTS)]


def attempt(dice, fitters, rooms, desk):
    try:
        do_something(dice, fitters, rooms, desk, days=20)
    except SlotTakenError:
        return "taken"
    except ChangedMeanwhileError:
        return "changed meanwhile"
    except OperationalError as error:
        # SQLite lets one write at a time: on a slow machine a client may wait out its 20 s. It was
        # told so, and nothing of it may be there.
        if "locked" not in str(error):
            raise
        return "waited in vain"
    return "kept"


def overlapping(rows):
    """Pairs of bookings that one fitter or one room cannot both have."""
    found = []
    for what in ("fitter_id", "room_id"):
        rows.sort(key=lambda row: (getattr(row, what), row.starts_at))
        for _, own in groupby(rows, key=lambda row: getattr(row, what)):
            found += [
                (one.pk, other.pk)
                for one, other in combinations(list(own), 2)
                if one.starts_at < other.ends_at and other.starts_at < one.ends_at
            ]
    return found
