"""32 clients at once, each with its own connection, on SQLite and on PostgreSQL.

Whatever they try, no fitter and no room is ever held twice, one wins where all want the same, and
what was acknowledged is what the record says afterwards.
"""

import datetime
import random
import threading
import uuid
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from itertools import combinations

import pytest
from django.db import connection
from django.db.models import F

from fittings.diary.services import (
    SlotTakenError,
    book_fitting,
    cancel_booking,
    mark_booking,
    move_booking,
)
from fittings.models import Booking, BookingChange
from tests.diary.conftest import soon
from tests.factories import CustomerFactory, RoomFactory, UserFactory

CLIENTS = 32
TRIES = 12
MORNING = datetime.datetime.combine(soon(1), datetime.time(9), datetime.UTC)
QUARTER = datetime.timedelta(minutes=15)


@pytest.fixture
def house(either_database):
    return {
        "by": UserFactory(role="front of house"),
        "customers": CustomerFactory.create_batch(3),
        "fitters": UserFactory.create_batch(3, role="fitter"),
        "rooms": RoomFactory.create_batch(2),
    }


def all_at_once(work):
    """Run ``work(number)`` in 32 threads that start together; what each returned."""
    together = threading.Barrier(CLIENTS)

    def client(number):
        try:
            connection.ensure_connection()
            together.wait(timeout=30)
            return work(number)
        finally:
            connection.close()

    with ThreadPoolExecutor(CLIENTS) as pool:
        return list(pool.map(client, range(CLIENTS)))


def book(house, **values):
    usual = {
        "booking_id": uuid.uuid4(),
        "customer": house["customers"][0],
        "garments": [],
        "fitter": house["fitters"][0],
        "room": house["rooms"][0],
        "purpose": "measure",
        "starts_at": MORNING,
        "ends_at": MORNING + 2 * QUARTER,
        "by": house["by"],
    }
    return book_fitting(**usual | values)


def random_place(house, dice):
    starts_at = MORNING + dice.randrange(20) * QUARTER
    return {
        "starts_at": starts_at,
        "ends_at": starts_at + dice.randint(1, 3) * QUARTER,
        "fitter": dice.choice(house["fitters"]),
        "room": dice.choice(house["rooms"]),
    }


def overlapping(bookings):
    """Pairs of bookings that one fitter or one room cannot both have."""
    return [
        (one, other)
        for one, other in combinations(bookings, 2)
        if (one.fitter_id == other.fitter_id or one.room_id == other.room_id)
        and one.starts_at < other.ends_at
        and other.starts_at < one.ends_at
    ]


def test_one_of_32_wins_the_same_time(house):
    def want_the_same(number):
        # Half want the fitter in another room, half the room with another fitter.
        other = {"room": house["rooms"][1]} if number % 2 else {"fitter": house["fitters"][1]}
        try:
            return book(house, **(other if number % 4 > 1 else {})).pk
        except SlotTakenError as taken:
            return taken.what

    answers = Counter(map(type, all_at_once(want_the_same)))

    holding = list(Booking.objects.filter(state__in=Booking.HOLDING))
    assert overlapping(holding) == []
    # One, or two that share neither fitter nor room: the other room, and the other fitter.
    assert answers[uuid.UUID] == len(holding) == BookingChange.objects.count()
    assert len(holding) in {1, 2}


def test_same_fitter_and_room_have_one_winner(house):
    def want_the_same(number):
        try:
            return book(house, starts_at=MORNING + number % 2 * QUARTER).pk
        except SlotTakenError as taken:
            return taken.what

    answers = Counter(type(answer) for answer in all_at_once(want_the_same))

    assert answers == {uuid.UUID: 1, str: CLIENTS - 1}
    assert Booking.objects.count() == BookingChange.objects.count() == 1


def test_same_tap_from_32_connections_books_once(house):
    tap = uuid.uuid4()

    answers = all_at_once(lambda _: book(house, booking_id=tap).pk)

    assert set(answers) == {tap}
    assert Booking.objects.count() == BookingChange.objects.count() == 1


class Client:
    """Books, moves, cancels and marks at random; remembers what was acknowledged."""

    def __init__(self, house, number):
        self.house = house
        self.dice = random.Random(number)
        self.mine = {}
        self.refused = 0

    def live(self):
        for _ in range(TRIES):
            tries = [self.book, self.book, self.move, self.cancel, self.miss_and_return]
            try:
                self.dice.choice(tries)()
            except SlotTakenError:
                self.refused += 1
        return self

    def keep(self, booking):
        self.mine[booking.pk] = booking

    def chosen(self):
        booked = [booking for booking in self.mine.values() if booking.state == "booked"]
        return self.dice.choice(booked) if booked else None

    def by(self):
        return {"entry_id": uuid.uuid4(), "by": self.house["by"]}

    def book(self):
        customer = self.dice.choice(self.house["customers"])
        self.keep(book(self.house, customer=customer, **random_place(self.house, self.dice)))

    def move(self):
        if booking := self.chosen():
            place = random_place(self.house, self.dice)
            version = booking.version
            self.keep(
                move_booking(booking=booking, version=version, reason="Rain", **place, **self.by())
            )

    def cancel(self):
        if booking := self.chosen():
            self.keep(cancel_booking(booking=booking, reason="Ill", **self.by()))

    def miss_and_return(self):
        """Let a time go and take it back: someone may have come in between."""
        if booking := self.chosen():
            # Nobody can miss what has not begun: as if its time had come.
            rows = Booking.objects.filter(pk=booking.pk)
            rows.update(state="missed", version=F("version") + 1)
            booking.refresh_from_db(fields=["state", "version"])
            mark_booking(booking=booking, what="reopened", **self.by())


def test_32_clients_never_book_twice_nor_lose(house):
    clients = all_at_once(lambda number: Client(house, number).live())

    rows = {row.pk: row for row in Booking.objects.all()}
    said = {pk: seen(booking) for client in clients for pk, booking in client.mine.items()}
    assert overlapping([row for row in rows.values() if row.state in Booking.HOLDING]) == []
    assert said == {pk: seen(row) for pk, row in rows.items()}
    # It was a contest: many got a time, many were refused one.
    assert len(said) > 20
    assert sum(client.refused for client in clients) > 20


def seen(booking):
    return (
        booking.state,
        booking.version,
        booking.fitter_id,
        booking.room_id,
        booking.starts_at,
        booking.ends_at,
    )


@pytest.mark.parametrize("what", ["fitter", "room"])
def test_database_itself_refuses_an_update(house, what):
    first = book(house)
    second = book(house, starts_at=MORNING + 2 * QUARTER, ends_at=MORNING + 4 * QUARTER)
    other = {"fitter": house["fitters"][1]} if what == "room" else {"room": house["rooms"][1]}

    with pytest.raises(SlotTakenError) as taken:
        move_booking(
            entry_id=uuid.uuid4(),
            booking=second,
            version=1,
            reason="Rain",
            by=house["by"],
            starts_at=MORNING,
            ends_at=MORNING + QUARTER,
            **{"fitter": second.fitter, "room": second.room} | other,
        )

    assert (taken.value.what, taken.value.other) == (what, first)
