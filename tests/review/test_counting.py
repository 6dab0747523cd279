"""What is kept counted, held against the ledger walked row by row in plain Python."""

import datetime
import importlib

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.utils import timezone

from customers.ledger import take_back
from fittings.models import (
    AlterationCount,
    FaultCount,
    Fitting,
    GarmentCount,
    Observation,
    Recount,
    SeenCount,
    StageCount,
)
from fittings.review.asking import Asked, By
from fittings.review.counting import count_anew
from fittings.review.facts import first_judgements, first_looks, left_the_work
from fittings.review.measures import WATCH
from garments.models import Answer, CarryAnswer, Garment, Remake, StageEntry
from tests.bench.busy_house import BusyHouse
from tests.factories import StageEntryFactory
from tests.review.scenes import NOW, SAME, delivered, reach

COUNTS = (GarmentCount, AlterationCount, SeenCount, FaultCount, StageCount)
ENTERED = importlib.import_module("fittings.migrations.0030_what_was_entered")
NAMED = importlib.import_module("fittings.migrations.0023_kept_answers").NAMED
MARKED = importlib.import_module("fittings.migrations.0028_month_marks")
HALF = Asked(datetime.date(2026, 1, 1), datetime.date(2026, 6, 30), By.KIND)


def kept():
    """Every counted row, without the numbers the tables give them."""
    return [sorted(map(repr, model.objects.values_list(*columns(model)))) for model in COUNTS]


def columns(model):
    return [field.name for field in model._meta.fields if field.name != "id"]


@transaction.atomic
def strike_some(every=3):
    """Take back every third entry of each kind, as a hand does that mistyped."""
    for model, same in SAME.items():
        for row in list(model.objects.order_by("at", "pk"))[::every]:
            take_back(row, entry_id=type(row)._meta.pk.get_default(), by=row.by, same=same)


def walked(garment):
    """The garment's counts as the definitions have them, one entry after another."""
    stages = StageEntry.objects.standing().filter(garment=garment).order_by("at", "pk")
    left = next((row for row in stages if row.stage in {"delivered", "remade"}), None)
    fittings = Fitting.objects.filter(garments=garment).exclude(purpose="measure")
    first = fittings.order_by("started_at", "pk").first()
    answers = Answer.objects.filter(revision__ticket__garment=garment, kind__in=("taken", "done"))
    maker = answers.order_by("at", "pk").first()
    seen = Observation.objects.standing().filter(garment=garment).exclude(fault="")
    return {
        "fitter_id": first and first.fitter_id,
        "maker_id": maker and maker.by_id,
        "looked_on": first and timezone.localdate(first.started_at),
        "faults": seen.filter(fitting=first).count() if first else 0,
        "answered": answered(garment),
        **(after_leaving(garment, left, stages, fittings) if left else {"left_on": None}),
    }


def after_leaving(garment, left, stages, fittings):
    on = timezone.localdate(left.at)
    remakes = Remake.objects.standing().filter(replaces=garment)
    promised = garment.promised_when_delivered
    back = [row.at - left.at for row in stages if row.stage == "returned" and row.at >= left.at]
    return {
        "left_on": on,
        "delivered": int(left.stage == "delivered"),
        "again": int(any(row.at - left.at <= WATCH for row in remakes)),
        "back": int(any(after <= WATCH for after in back)),
        "back_days": min(back).days if back else None,
        "promised": int(promised is not None),
        "late": int(promised is not None and on > promised),
        "looks": fittings.filter(started_at__lte=left.at).count(),
    }


def answered(garment):
    taken = [row.accepted for row in CarryAnswer.objects.standing().filter(garment=garment)]
    if taken:
        return "carried" if any(taken) else "left out"
    earlier = Garment.objects.filter(
        customer=garment.customer, kind=garment.kind, serial__lt=garment.serial
    )
    return "nothing answered" if earlier.exclude(stage="ordered").exists() else ""


def test_counts_are_what_the_ledger_says(either_database):
    BusyHouse(NOW, garments=24).load()
    strike_some()
    count_anew()

    for garment in Garment.objects.all():
        said = walked(garment)
        row = GarmentCount.objects.values(*said).get(garment_id=garment.pk)
        assert row == said


def test_counting_everything_anew_changes_nothing(either_database, capsys):
    BusyHouse(NOW, garments=16).load()
    count_anew()
    strike_some()
    count_anew()
    before = kept()

    call_command("count_review")

    assert kept() == before
    assert capsys.readouterr().out == "16 garments counted.\n"


@pytest.mark.django_db
def test_entry_after_the_count_is_counted_at_once():
    coat = delivered()
    before = left_the_work(HALF, NOW)

    reach(coat, "returned", "2026-03-01")

    key = ("coat", datetime.date(2026, 2, 1))
    assert (before[key].back, left_the_work(HALF, NOW)[key].back) == (0, 1)
    assert Recount.objects.count() == 0


@pytest.mark.django_db
def test_page_without_news_counts_nothing_anew(django_assert_num_queries):
    delivered()
    left_the_work(HALF, NOW)

    with django_assert_num_queries(5):  # three answers, each asking first whether there is news
        left_the_work(HALF, NOW)
        first_looks(HALF)
        first_judgements(HALF)


@pytest.mark.django_db
@pytest.mark.parametrize("garments", [1, 3, 10])
def test_news_takes_the_same_statements_whatever_it_is(garments, django_assert_num_queries):
    cut = delivered().cut_version  # a new cut is a name that no month follows from
    count_anew()
    for _ in range(garments):
        delivered(fittings=["2026-01-20"], fault="coat-collar-gap", cut_version=cut)

    with django_assert_num_queries(18):  # sixteen, and the savepoint's two
        count_anew()


@pytest.mark.django_db
def test_every_watched_table_still_has_its_trigger():
    """A migration that remakes a table on SQLite loses its triggers: it must lay them again."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        else:
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal")
        there = {name for (name,) in cursor.fetchall()}

    named = {*NAMED} - {MARKED.UNNAMED}
    laid = {ENTERED.name_of(table, event) for table, event, _, _ in ENTERED.WATCHED}
    laid |= {f"{table}_review_{event.split()[0].lower()}" for table, event in named}
    assert laid - there == set()


@pytest.mark.django_db
def test_earlier_garment_cut_makes_the_later_one_a_second():
    first = delivered("2026-01-10", fittings=["2026-01-02"])
    later = delivered("2026-05-10", fittings=["2026-05-02"], customer=first.customer)
    count_anew()
    alone = GarmentCount.objects.get(garment_id=later.pk).answered

    Garment.objects.filter(pk=first.pk).update(stage="cut")
    StageEntryFactory(garment=first, stage="cut")
    count_anew()

    assert (alone, GarmentCount.objects.get(garment_id=later.pk).answered) == (
        "",
        "nothing answered",
    )
