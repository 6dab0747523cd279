"""The review over ten years of a busy house: against a bare page, and against a tenth of it.

Budgets (design): four bare pages, and ten times the data at most three times the time. Measured in
a processor's time, which waits for no disk, each page four ways: asked for *again*, nothing entered
since; after an entry made through a service and what a served house does about it *meanwhile*,
within ``ahead.EVERY`` seconds; *at once* after one, so that the page does all of it; and after a
*start*, nothing kept. The first two keep to four. The other limits say what was measured, with a
margin for a busy machine.
"""

import datetime
import gc
import operator
import shutil
import sys
import uuid
from collections.abc import Callable
from functools import _lru_cache_wrapper, partial
from itertools import count, cycle
from statistics import median

import pytest
from django.core.cache import caches
from django.test import Client, override_settings
from django.utils import timezone

from customers.lengths import Length
from fittings.config.access import OWNER
from fittings.models import Fitting
from fittings.review import ahead, sums
from fittings.session.services.deciding import judge_alteration
from fittings.session.services.seeing import record_observation
from fittings.session.services.starting import start_fitting
from garments.altering import record_alteration
from garments.models import Alteration, Garment
from garments.services import enter_stage
from tests.bench import bare
from tests.bench.busy_house import GARMENTS, BusyHouse
from tests.bench.conftest import in_a_thread, seconds
from tests.databases import default_database, sqlite_url
from tests.factories import UserFactory
from tests.review.scenes import MEMORY

BUDGET, GROWTH, TURNS = 4, 3, 3
EIGHTH = 3_175_000  # of an inch, in nanometres
# Bare pages at most: at once after an entry, and after a start.
MOST = {
    "/review/": (6, 18),
    "/review/?since=2016-01-01": (6, 48),
    "/review/?by=fault": (12, 80),
    "/review/returns/": (9, 14),
    "/review/cures/": (12, 10),
    "/review/first-fault/": (6, 9),
    "/review/returns/garments/": (7, 6),
    "/review/why/": (12, 90),
    "/review/letter/": (9, 12),
}


def what_is_kept():
    """Every function of the project that keeps what it made."""
    return [
        kept
        for kept in gc.get_objects()
        if type(kept) is _lru_cache_wrapper and kept.__module__.startswith("fittings.")
    ]


def forget(kept):
    """As after a start of the server: no page, sum, table or statistic is kept."""
    caches["template_fragments"].clear()
    sums.forget()
    for function in kept:
        function.cache_clear()


class Evening:
    """Entries through the services of the house, one after another, each on a garment of its own.

    The garments left the work three to eleven months ago; some came back and are looked at. No
    figure is one that was there before, so that no table or chance is one kept.
    """

    def __init__(self, now: datetime.datetime) -> None:
        days = [now - datetime.timedelta(days=days) for days in (330, 95)]
        gone = Garment.objects.filter(stage_since__range=days, stage="delivered").order_by("pk")
        back = list(gone.filter(kind="coat")[: 2 * TURNS * len(MOST)])
        self.by = UserFactory(role="fitter")
        self.out = iter(list(gone.exclude(pk__in=[coat.pk for coat in back])))
        held = [self.begin(coat) for coat in back]
        self.seen, self.unjudged, self.numbers = cycle(held), iter(held), count(1)

    def enter(self, service: Callable, **values: object) -> object:
        return service(entry_id=uuid.uuid4(), by=self.by, **values)

    def begin(self, coat: Garment) -> tuple[Garment, Fitting, Alteration]:
        self.enter(enter_stage, garment=coat, stage="returned", reason="Tight")
        at = {"operation": "let-out", "seam": "side-seam", "side": "both"}
        coat.refresh_from_db()
        decided = self.enter(record_alteration, garment=coat, amount=Length(EIGHTH), **at)
        about = {"customer": coat.customer, "garments": [coat], "fitter": self.by}
        look = start_fitting(fitting_id=uuid.uuid4(), purpose="final-look", by=self.by, **about)
        return coat, look, decided

    def came_back(self) -> None:
        self.enter(enter_stage, garment=next(self.out), stage="returned", reason="Tight")

    def saw_a_fault(self) -> None:
        coat, look, _ = next(self.seen)
        amount = Length(EIGHTH * (next(self.numbers) % 40 + 1))  # the same again is no entry
        seen = {"zone": "collar", "fault": "collar-stands-off", "side": "", "amount": amount}
        self.enter(record_observation, fitting=look, garment=coat, **seen)

    def judged(self) -> None:
        _, look, decided = next(self.unjudged)
        self.enter(judge_alteration, fitting=look, alteration=decided, verdict="cured")

    @property
    def entries(self) -> tuple[Callable[[], None], ...]:
        return self.came_back, self.saw_a_fault, self.judged


def clients():
    owner = UserFactory(role=OWNER)
    ours, yardstick = Client(), Client()
    for client in (ours, yardstick):
        client.force_login(owner)
    with override_settings(MIDDLEWARE=bare.MIDDLEWARE):
        yardstick.get("/bare/")  # keeps this middleware
    return ours, yardstick


def milliseconds(work, before=lambda: None, turns=TURNS):
    """The median of a processor's time that ``work`` takes, each time after ``before``."""
    times = []
    for _ in range(turns):
        before()
        times.append(seconds(work) * 1e3)
    return median(times)


def waited_for(entry):
    """The entry, and what a served house does while nobody waits."""
    begun = ahead.look()

    def enter():
        entry()
        ahead.look(begun)

    return enter


def measured(garments):
    """Address -> bare pages again, meanwhile and at once (the dearest entry), after a start."""
    now = timezone.now()
    BusyHouse(now, garments).load()
    evening = Evening(now)
    ours, yardstick = clients()
    kept = what_is_kept()
    gc.collect()
    gc.freeze()  # of what made the house nothing is there in a process that serves one
    whole = milliseconds(lambda: ours.get("/review/"), turns=1)
    bare_page = milliseconds(lambda: yardstick.get("/bare/"), turns=60)
    sys.stdout.write(f"\n{garments}: counted {whole:.0f} ms, a bare page {bare_page:.2f} ms\n")
    found = {}
    for address in MOST:
        page = lambda address=address: ours.get(address)  # noqa: E731
        assert page().status_code == 200
        meanwhile = [milliseconds(page, waited_for(entry)) for entry in evening.entries]
        at_once = [milliseconds(page, entry) for entry in evening.entries]
        ways = (
            milliseconds(page),
            max(meanwhile),
            max(at_once),
            milliseconds(page, lambda: forget(kept)),
        )
        found[address] = tuple(way / bare_page for way in ways)
        figures = "{:6.1f} again {:6.1f} meanwhile {:6.1f} at once {:6.1f} after a start\n"
        sys.stdout.write(f"{garments} {address:30}{figures.format(*found[address])}")
    return found


@pytest.mark.urls("tests.bench.bare")
def test_review_over_ten_years_stays_within_its_bare_pages(
    sqlite_template, tmp_path, django_db_blocker, settings, as_served
):
    settings.CACHES = {**settings.CACHES, "template_fragments": MEMORY}
    houses = []
    for garments in (GARMENTS // 10, GARMENTS):
        url = sqlite_url(shutil.copy(sqlite_template, tmp_path / f"{garments}.sqlite3"))
        with django_db_blocker.unblock(), default_database(url):
            houses.append(in_a_thread(partial(measured, garments)))

    few, many = houses
    most = {at: (BUDGET, BUDGET, at_once, started) for at, (at_once, started) in MOST.items()}
    over = {at: many[at] for at in MOST if any(map(operator.gt, many[at], most[at]))}
    grown = {at: many[at][2] / few[at][2] for at in MOST if many[at][2] / few[at][2] > GROWTH}
    assert (over, grown) == ({}, {})
