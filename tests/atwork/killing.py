"""A house that is served as it is deployed, worked in by several people, and killed."""

import random
import shutil
import threading
import time
from collections import Counter
from contextlib import contextmanager
from pathlib import Path

from django.test import override_settings

from tests import live_house as houses
from tests.atwork import record
from tests.atwork.browser import Browser
from tests.atwork.hands import Desk, Fitter

LONGEST = 1.5  # seconds until the kill, in half of the runs counted from the first answer
WARM = 15  # seconds that a server just begun may take for it


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
        stop, before = threading.Event(), self.kept
        for hand in self.hands:
            hand.browser.url = self.server.url
        threads = [threading.Thread(target=hand.work, args=[stop]) for hand in self.hands]
        for thread in threads:
            thread.start()
        if self.dice.random() < 0.5:
            self.wait_for_the_first(before)
        time.sleep(self.dice.uniform(0, LONGEST))
        self.kill()
        stop.set()
        # The port stays bound, so that some are still let in where nobody answers any more.
        for thread, hand in zip(threads, self.hands, strict=True):
            while thread.is_alive():
                hand.browser.hang_up()
                thread.join(timeout=0.05)
        self.rise()
        self.runs += 1
        self.look()

    @property
    def kept(self):
        return sum(len(hand.log.kept) for hand in self.hands)

    def wait_for_the_first(self, before):
        late = time.monotonic() + WARM
        while self.kept == before and time.monotonic() < late:
            time.sleep(0.01)

    def look(self):
        """Remember everything that is not as it must be after this kill."""
        wrong = record.lost(self.hands) + record.doubled(self.hands)
        self.wrong += [(self.runs, what) for what in wrong + record.halves() + record.unsound()]

    def figures(self):
        """What happened in all, to be printed."""
        sent = Counter(entry.kind for hand in self.hands for entry in hand.log.sent)
        kept = Counter(entry.kind for hand in self.hands for entry in hand.log.kept)
        put_off = Counter(status for hand in self.hands for status in hand.log.put_off)
        cut = sum(bool(hand.waiting) for hand in self.hands)
        said = f"{self.runs} kills: sent {sent.total()}, acknowledged {kept.total()} {dict(kept)}"
        return f"{said}, {cut} still unanswered, {put_off.total()} put off {dict(put_off)}"

    @property
    def refused(self):
        return [each for hand in self.hands for each in hand.log.refused]


def new_house(template, folder):
    """A copy of a house just set up."""
    return Path(shutil.copytree(template, folder / "house"))
