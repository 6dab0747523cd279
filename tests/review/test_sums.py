"""Sums kept from month to month, held against the same asked anew and against plain Python.

After every random entry, by this process or as another one would make it, nothing old may be shown.
"""

import datetime
import random
import uuid
from collections import Counter, OrderedDict
from itertools import pairwise

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from customers.ledger import take_back
from fittings.models import CauseTaken, Fitting, Judgement, Observation
from fittings.review import sums
from fittings.review.asking import Asked, By
from fittings.review.counting import count_anew, marks_now
from fittings.review.facts import (
    first_faults,
    first_judgements,
    first_looks,
    left_the_work,
    out_so_long,
)
from fittings.review.measures import WATCH
from fittings.review.sql import within
from fittings.review.sums import forget, spans_of
from fittings.review.why_facts import (
    altered_after_return,
    causes_taken,
    days_at_stages,
    faults_seen,
    faults_together,
    garments_looked_at,
    looks_taken,
    operations_judged,
    recuts,
)
from garments.models import Alteration, Garment, StageEntry
from tests.bench.busy_house import BusyHouse
from tests.factories import (
    AlterationFactory,
    CauseTakenFactory,
    FittingFactory,
    GarmentFactory,
    JudgementFactory,
    ObservationFactory,
    RemakeFactory,
    StageEntryFactory,
    UserFactory,
)
from tests.review.scenes import NOW, SAME, delivered, reach

YEARS = Asked(datetime.date(2016, 1, 15), datetime.date(2026, 6, 30), By.CUTTER)
DAYS = Asked(datetime.date(2020, 2, 10), datetime.date(2024, 3, 3), By.KIND, kind="coat")
FAULTS = Asked(datetime.date(2018, 1, 1), datetime.date(2026, 6, 30), By.FAULT)
STRUCK = SAME | {CauseTaken: ("fitting", "garment", "cause")}


class Hands:
    """Entries at random, by one seed, over all ten years."""

    def __init__(self, seed):
        self.draw = random.Random(seed)

    def one_of(self, model):
        return self.draw.choice(list(model.objects.order_by("pk")))

    def at(self):
        return NOW - datetime.timedelta(days=self.draw.uniform(0, 3_600))

    def see(self):
        look, fault = self.one_of(Fitting), self.draw.choice(["fault-1", "fault-2", ""])
        ObservationFactory(fitting=look, garment=look.garments.first(), fault=fault)

    def strike(self):
        model = self.draw.choice([each for each in STRUCK if each.objects.standing().exists()])
        row = self.draw.choice(list(model.objects.standing().order_by("pk")))
        take_back(row, entry_id=uuid.uuid4(), by=row.by, same=STRUCK[model])

    def judge(self):
        """At a fitting of its garment, as a session has it: another's moving does not touch it."""
        alteration = self.one_of(Alteration)
        look = self.draw.choice(list(alteration.garment.fittings.order_by("pk")))
        JudgementFactory(alteration=alteration, fitting=look, verdict="cured")

    def enter(self):
        stage = self.draw.choice(["returned", "delivered", "altering"])
        StageEntryFactory(garment=self.one_of(Garment), stage=stage, at=self.at())

    def cut_again(self):
        RemakeFactory(replaces=self.one_of(Garment), garment=None, piece="forepart", at=self.at())

    def alter(self):
        AlterationFactory(garment=self.one_of(Garment), at=self.at())

    def take_cause(self):
        look = self.one_of(Fitting)
        CauseTakenFactory(fitting=look, garment=look.garments.first())

    def answer(self):
        """An alteration said to answer what was seen, perhaps long after it was judged."""
        alteration = self.one_of(Alteration)
        seen = Observation.objects.filter(garment=alteration.garment).order_by("pk").last()
        if seen:
            seen.alterations.add(alteration)

    def begin(self):
        made = GarmentFactory(customer=self.one_of(Garment).customer)
        FittingFactory(customer=made.customer, garments=[made], started_at=self.at())

    def cut_by_another(self):
        Garment.objects.filter(pk=self.one_of(Garment).pk).update(cutter=UserFactory())

    def move_a_fitting(self):
        Fitting.objects.filter(pk=self.one_of(Fitting).pk).update(started_at=self.at())

    def rename(self):
        User.objects.filter(pk=self.one_of(User).pk).update(last_name=str(self.draw.random()))

    def nothing(self):
        """The page is only asked for again."""

    def any_entry(self):
        self.draw.choice(
            [self.see] * 3
            + [self.strike] * 4
            + [self.judge, self.enter, self.cut_again, self.alter, self.take_cause, self.answer]
            + [self.begin, self.cut_by_another, self.move_a_fitting, self.rename, self.nothing]
        )()


def told():
    """All that the review reads, of three questions."""
    found = []
    for asked in (YEARS, DAYS, FAULTS):
        for by_month in (True, False):
            found += [
                left_the_work(asked, NOW, by_month=by_month),
                first_faults(asked, by_month=by_month),
                first_judgements(asked, by_month=by_month),
            ]
        found += [out_so_long(asked, NOW)]
    for asked in (YEARS, DAYS):
        whys = (
            first_looks,
            faults_seen,
            faults_together,
            garments_looked_at,
            causes_taken,
            operations_judged,
        )
        found += [why(asked) for why in (*whys, looks_taken, days_at_stages, recuts)]
        found += [sorted(map(repr, altered_after_return(asked)))]
    return found


def walked():
    """What left the work by month, first judgements and seen faults, one entry after another."""
    left, judged, seen, garments = Counter(), Counter(), Counter(), {}
    for garment in Garment.objects.all():
        entries = StageEntry.objects.standing().filter(garment=garment).order_by("at", "pk")
        gone = next((row for row in entries if row.stage in {"delivered", "remade"}), None)
        if gone and YEARS.start <= gone.at < YEARS.end:
            month = timezone.localdate(gone.at).replace(day=1)
            over = gone.at <= NOW - WATCH
            left[garment.cutter_id, month, over] += int(over or gone.stage == "delivered")
    for alteration in Alteration.objects.standing():
        rows = Judgement.objects.standing().filter(alteration=alteration)
        first = rows.order_by("fitting__started_at", "at", "pk").first()
        if first and YEARS.start <= first.fitting.started_at < YEARS.end:
            judged[alteration.operation, first.verdict == "cured"] += 1
    for row in Observation.objects.standing().exclude(fault="").select_related("fitting"):
        if YEARS.start <= row.fitting.started_at < YEARS.end:
            at = row.garment.kind, row.zone, row.fault
            seen[at, row.fitting_id, row.garment_id] = 1
            garments.setdefault(at, set()).add(row.garment_id)
    times = Counter(at for at, _, _ in seen)
    return +left, judged, {at: (times[at], len(garments[at])) for at in times}


def kept():
    """The same from the sums that are kept."""
    left, judged = Counter(), Counter()
    for (cutter, month), row in left_the_work(YEARS, NOW).items():
        left[cutter, month, True] += row.ripe
        left[cutter, month, False] += row.watching
    for operation, (cured, among) in operations_judged(YEARS).items():
        judged[operation, True] += cured
        judged[operation, False] += among - cured
    seen = {
        (row.kind, row.zone, row.fault): (row.times, row.garments) for row in faults_seen(YEARS)
    }
    return +left, +judged, seen


def anew(monkeypatch):
    """What a process tells that keeps nothing yet."""
    with monkeypatch.context() as patch:
        patch.setattr(sums, "_known", OrderedDict())
        return told()


def live_through(steps, seed, monkeypatch):
    BusyHouse(NOW, garments=8).load()
    hands = Hands(seed)
    for step in range(steps):
        hands.any_entry()
        if step % 3 == 0:
            count_anew()  # as another process would, while this one is not asked
        assert told() == anew(monkeypatch)
        assert kept() == walked()


def test_kept_sums_are_never_old_whatever_is_entered(either_database, monkeypatch):
    live_through(12, 11, monkeypatch)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
def test_kept_sums_stay_right_over_many_entries(either_database, monkeypatch, seed):
    live_through(60, seed, monkeypatch)


@pytest.mark.django_db
def test_entry_names_only_the_months_it_touches():
    first = delivered("2026-02-10")
    count_anew()
    coat = delivered("2026-05-10", fittings=["2026-04-02"], cut_version=first.cut_version)
    before = marks_now()

    reach(coat, "returned", "2026-06-01")

    after = marks_now()
    changed = {key for key, mark in after.months.items() if before.get(*key.split()) != mark}
    assert changed == {"left 2026-05-01", "looked 2026-04-01"}
    assert after.epoch == before.epoch


@pytest.mark.django_db
def test_entry_asks_again_for_its_own_month_alone(django_assert_num_queries, monkeypatch):
    coats = [delivered(f"2026-0{month}-10") for month in range(1, 6)]
    left_the_work(YEARS, NOW)
    delivered("2026-03-20", cut_version=coats[0].cut_version)
    count_anew()
    asked = []
    monkeypatch.setattr(sums, "within", lambda *spans: asked.extend(spans) or within(*spans))

    with django_assert_num_queries(3):  # whether there is news, the marks, what March says
        left_the_work(YEARS, NOW)

    assert [since.month for since, _ in asked] == [3]


@pytest.mark.django_db
def test_renamed_person_begins_another_epoch():
    coat = delivered()
    before = marks_now()

    User.objects.filter(pk=coat.cutter_id).update(last_name="Otherwise")

    assert marks_now().epoch != before.epoch


def test_month_in_which_the_watch_ends_is_parted():
    end = datetime.datetime(2026, 2, 10, tzinfo=datetime.UTC)

    spans = spans_of(datetime.date(2026, 1, 15), datetime.date(2026, 3, 4), end)

    assert [(span.month.month, span.over) for span in spans] == [
        (1, True),
        (2, True),
        (2, False),
        (3, False),
    ]
    assert all(one.until == other.since for one, other in pairwise(spans))
    assert spans[1].until - end == datetime.timedelta(microseconds=1)


@pytest.mark.django_db
def test_questions_longest_not_asked_go_first(monkeypatch):
    delivered(fittings=["2026-02-02"])
    monkeypatch.setattr(sums, "MOST_LINES", 1)
    forget()

    left_the_work(YEARS, NOW)
    first_faults(YEARS)

    (known,) = sums._known.values()
    assert known.lines == 1
