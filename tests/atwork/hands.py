"""What people enter all day, one entry after the other, each with an id and words of its own.

An entry that no answer came to is sent again as it was, as the tablet does, before anything else.
"""

import datetime
import random
import uuid
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import count

from django.utils import timezone

from fittings import catalogue
from tests.atwork.browser import GoneError
from tests.factories import (
    ConsentFactory,
    CustomerFactory,
    FittingFactory,
    RoomFactory,
    UserFactory,
)
from tests.hostile.working_house import picture
from tests.session.conftest import garment_of

DAY = datetime.timedelta(days=1)
KEPT = {200, 302, 204}
FAILED = 500  # a fault of ours; above it stand those that pass
MEASURES = {"chest": "38 1/2", "waist": "33", "seat": "39", "neck": "15 1/4", "height": "70"}


@dataclass(frozen=True)
class Entry:
    """One thing to be kept: where its form goes, what is in it and the words to find it by."""

    kind: str
    address: str
    fields: dict
    words: str


@dataclass
class Log:
    """What was sent, what of it was acknowledged, what was refused, and the statuses of "later"."""

    sent: list[Entry] = field(default_factory=list)
    kept: list[Entry] = field(default_factory=list)
    refused: list[tuple] = field(default_factory=list)
    put_off: list[int] = field(default_factory=list)


class Hand:
    """A person at a browser. ``work`` enters things until told to stop or nobody answers."""

    def __init__(self, browser, seed):
        self.browser, self.dice = browser, random.Random(seed)
        self.log, self.waiting = Log(), []

    def work(self, stop):
        """Enter one thing after the other until ``stop`` is set or the server is gone."""
        with suppress(GoneError):
            while not stop.is_set():
                self.enter()

    def enter(self):
        """One entry: the one that no answer came to, else a new one. GoneError: none came."""
        if not self.waiting:
            self.waiting = self.next()
            self.log.sent += self.waiting
        entry = self.waiting[0]
        files = entry.kind == "photograph"
        fields = entry.fields | ({"photograph": picture()} if files else {})
        status, body, _ = self.browser.post(entry.address, fields, files=files)
        if status > FAILED:
            # The tablet keeps such an entry and tries again.
            self.log.put_off.append(status)
            return status
        self.waiting = self.waiting[1:]
        if status in KEPT:
            self.log.kept.append(entry)
        else:
            self.log.refused.append((entry.kind, status, body[:2000].decode(errors="replace")))
        return status

    def next(self):
        """Which entries come next, in their order."""
        return getattr(self, self.dice.choice(self.does))(uuid.uuid4())


class Fitter(Hand):
    """Holds a fitting, measures, takes photographs, writes tickets and begins other fittings."""

    does = ("seen", "seen", "seen", "measures", "photograph", "ticket", "begun")

    def __init__(self, make_browser, seed):
        person = UserFactory(role="fitter")
        self.customer = CustomerFactory()
        ConsentFactory(customer=self.customer, by=person)
        self.coat = garment_of(self.customer, person)
        fitting = FittingFactory(
            customer=self.customer, fitter=person, garments=[self.coat], started_at=timezone.now()
        )
        self.place = f"/fitting/{fitting.pk}/{self.coat.number}/"
        faults = catalogue.load().faults_of("coat", stage="baste")
        self.faults = [f"{fault.key}:{'L' if fault.sided else ''}" for fault in faults]
        super().__init__(make_browser(person), seed)

    def seen(self, one):
        words = f"seen {one}"
        touched = {"seen": self.dice.choice(self.faults), "amount": "3/8 in", "note": words}
        return [Entry("seen", f"{self.place}seen/", {"entry_id": one} | touched, words)]

    def measures(self, one):
        words = f"measures {one}"
        sheet = {"entry_id": one, "taken_on": timezone.localdate() - DAY, "unit": "in"}
        sheet |= {"taken_by": self.browser.user.pk, "note": words, "garments": ["coat"]}
        sheet |= {"listed": "1", "without": "1", "twice": "1", "right": "x"}
        address = f"/customers/{self.customer.number}/measures/new/"
        return [Entry("measures", address, sheet | MEASURES, words)]

    def photograph(self, one):
        words = f"photograph {one}"
        fields = {"entry_id": one, "caption": words}
        return [Entry("photograph", f"{self.place}photographs/", fields, words)]

    def ticket(self, one):
        """Two alterations taken, and the ticket for both."""
        made, keys = [], []
        for key in (uuid.uuid4(), uuid.uuid4()):
            work = {"operation": "take-in", "seam": "side-seam", "side": "both", "amount": "1/8"}
            fields = {"entry_id": key, "why": f"alteration {key}"} | work
            made.append(Entry("alteration", f"{self.place}alterations/", fields, fields["why"]))
            keys.append(key)
        words = f"ticket {one}"
        lines = {"entry_id": one, "alterations": keys, "note": words}
        lines |= {"due_on": timezone.localdate() + 4 * DAY}
        return [*made, Entry("ticket", f"/workroom/new/{self.coat.number}/", lines, words)]

    def begun(self, one):
        fields = {"entry_id": one, "customer": self.customer.number, "purpose": "first-fitting"}
        fields["garments"] = [self.coat.number]
        return [Entry("begun", "/fitting/start/", fields, str(one))]


class Desk(Hand):
    """Registers customers and books fittings, in a room and with a fitter of its own."""

    does = ("booked", "booked", "registered")

    def __init__(self, make_browser, seed):
        self.fitter, self.room = UserFactory(role="fitter"), RoomFactory()
        self.customer = CustomerFactory()
        self.coat = garment_of(self.customer, self.fitter)
        self.slots = self._slots()
        super().__init__(make_browser(UserFactory(role="front of house")), seed)

    @staticmethod
    def _slots():
        """Half hours of working days from four days ahead, each once."""
        for ahead in count(4):
            day = timezone.localdate() + ahead * DAY
            hours = range(10, 17) if day.weekday() < 5 else ()
            yield from ((day, f"{hour}:{minute}") for hour in hours for minute in ("00", "30"))

    def booked(self, one):
        day, time = next(self.slots)
        words = f"booking {one}"
        fields = {"entry_id": one, "date": day, "time": time, "length": 30, "note": words}
        fields |= {"fitter": self.fitter.pk, "room": self.room.pk, "purpose": "first-fitting"}
        fields |= {"customer": self.customer.number, "garments": [self.coat.pk]}
        return [Entry("booking", "/diary/book/", fields, words)]

    def registered(self, one):
        words = f"customer {one}"
        fields = {"form_id": one, "family_name": "Ashgrove", "given_name": "Tobiah"}
        fields |= {"notes": words, "different": "on", "unit": "in"}
        return [Entry("customer", "/customers/new/", fields, words)]
