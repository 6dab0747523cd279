"""A house that is served as it is deployed, worked in by several people, and killed."""

import random
import shutil
import threading
import time
from collections import Counter
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.test import override_settings

from tests import live_house as houses
from tests.atwork import record
from tests.atwork.browser import Browser
from tests.atwork.hands import Desk, Fitter

LONGEST = 1.2  # seconds of work before the kill


@contextmanager
def served(data, *, workers=2, **environment):
    """The house in ``data`` loaded, with the deployed number of workers, to be begun and killed.

    The caller has made its database the default one.
    """
    key = Path(data / "secret-key").read_text(encoding="ascii").strip()
    here = {"SECRET_KEY": key, "MEDIA_ROOT": data / "photographs"}
    with override_settings(**here), houses.load(data, workers=workers, **environment) as server:
        try:
            yield server
        finally:
            if server.child:
                server.kill()


def staff(fitters, desks):
    """So many people with their browsers signed in, each with a customer of their own."""
    made = [Fitter(Browser, seed) for seed in range(fitters)]
    return made + [Desk(Browser, seed) for seed in range(fitters, fitters + desks)]


class Killed:
    """Runs of work that end in a kill; after each the record is looked through.

    ``kill`` says what dies, ``rise`` brings back what the server itself does not.
    """

    def __init__(self, server, hands, seed, kill=None, rise=None):
        self.server, self.hands, self.dice = server, hands, random.Random(seed)
        self.kill, self.rise = kill or server.kill, rise or (lambda: None)
        self.runs, self.wrong = 0, []

    def run(self):
        """Serve, let them work for a moment nobody foresees, kill, look."""
        self.server.begin()
        houses.wait_for(f"{self.server.url}/health/", self.server)
        stop = threading.Event()
        for hand in self.hands:
            hand.browser.open(self.server.url)
        threads = [threading.Thread(target=hand.work, args=[stop]) for hand in self.hands]
        for thread in threads:
            thread.start()
        time.sleep(self.dice.uniform(0.05, LONGEST))
        self.kill()
        stop.set()
        for thread in threads:
            thread.join()
        self.rise()
        self.runs += 1
        self.look()

    def look(self):
        """Remember everything that is not as it must be after this kill."""
        wrong = record.lost(self.hands) + record.doubled(self.hands)
        self.wrong += [(self.runs, what) for what in wrong + record.halves() + record.unsound()]

    def figures(self):
        """What happened in all, to be printed."""
        sent = Counter(entry.kind for hand in self.hands for entry in hand.log.sent)
        kept = Counter(entry.kind for hand in self.hands for entry in hand.log.kept)
        cut = sum(bool(hand.waiting) for hand in self.hands)
        return f"{self.runs} kills: sent {sent.total()}, acknowledged {kept.total()} {dict(kept)}, {cut} still unanswered"

    @property
    def refused(self):
        return [each for hand in self.hands for each in hand.log.refused]


def new_house(template, folder):
    """A copy of a house just set up."""
    return Path(shutil.copytree(template, folder / "house"))


def no_more_than(seconds):
    """The settings' patience with a locked database, for tests that must not wait for it."""
    options = settings.SQLITE_OPTIONS | {"timeout": seconds}
    return override_settings(SQLITE_OPTIONS=options)
