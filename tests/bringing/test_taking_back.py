"""An import is taken back whole, or the page says what stands in the way."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from customers.models import Customer, Measurement, MeasurementSet
from fittings.bringing.undoing import in_the_way, take_back_import
from fittings.models import GarmentCount, Import
from fittings.review.counting import mark_of_counts
from garments.models import Garment, StageEntry
from tests.bringing.lists import good_row, ledger_rows, rows_of
from tests.factories import (
    BookingFactory,
    ConsentFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    MeasurementSetFactory,
)

pytestmark = pytest.mark.django_db
OWN = {"fittings_import", "fittings_brought"}


def take_back(entry, owner, entry_id=None):
    return take_back_import(entry_id=entry_id or uuid.uuid4(), entry=entry, by=owner)


def without_imports():
    own = OWN | {"fittings_recount"}
    return {table: count for table, count in ledger_rows().items() if table not in own}


def test_import_taken_back_leaves_the_ledger_as_it_was(bring, owner):
    known = CustomerFactory(given_name="Odile", family_name="Wren")
    MeasurementSetFactory(customer=known, measures={("chest", ""): 38})
    before = without_imports()
    entry = bring(rows_of(*map(good_row, range(3))))

    take_back(entry, owner)

    assert without_imports() == before
    assert (entry.struck_by.by, entry.struck_by.void, entry.brought.count()) == (owner, True, 9)


def test_review_forgets_what_was_taken_back(bring, owner):
    entry = bring(rows_of(good_row(1)))
    mark, counted = mark_of_counts(), GarmentCount.objects.count()

    take_back(entry, owner)

    assert mark_of_counts() != mark  # no kept page of the review is shown again
    assert (counted, GarmentCount.objects.count()) == (1, 0)


def test_taking_back_sent_twice_is_kept_once(bring, owner):
    entry, entry_id = bring(rows_of(good_row(1))), uuid.uuid4()

    assert take_back(entry, owner, entry_id) == take_back(entry, owner, entry_id)
    with pytest.raises(ValidationError, match="taken back already"):
        take_back(entry, owner)


def test_file_may_come_again_after_taking_back(bring, owner):
    take_back(bring(rows_of(good_row(1))), owner)

    bring(rows_of(good_row(1)))

    assert Customer.objects.count() == 1


@pytest.mark.parametrize(
    ("build", "said"),
    [
        (
            lambda person, _, owner: MeasurementSetFactory(customer=person, by=owner),
            "measurement set",
        ),
        (lambda person, _, owner: ConsentFactory(customer=person, by=owner), "consent"),
        (lambda person, _, owner: GarmentFactory(customer=person), "garment"),
        (lambda person, _, owner: BookingFactory(customer=person), "booking"),
        (lambda person, coat, _: FittingFactory(customer=person, garments=[coat]), "fitting"),
        (
            lambda _, coat, owner: StageEntry.objects.create(garment=coat, stage="cut", by=owner),
            "stage entry",
        ),
        (
            lambda person, _, owner: Customer.objects.filter(pk=person.pk).update(version=2),
            "customer changed since",
        ),
    ],
)
def test_what_was_built_on_it_stands_in_the_way(bring, owner, build, said):
    entry = bring(rows_of(good_row(1)))
    build(Customer.objects.get(), Garment.objects.get(), owner)
    before = ledger_rows()

    with pytest.raises(ValidationError) as refused:
        take_back(entry, owner)

    assert ledger_rows() == before
    assert f"1 × {said}: " in refused.value.messages[0]


def test_cutting_from_a_set_brought_stands_in_the_way(bring):
    entry = bring(rows_of(good_row(1)))
    coat = GarmentFactory()
    Garment.objects.filter(pk=coat.pk).update(measurement_set=MeasurementSet.objects.get())
    number = Customer.objects.get(measurement_sets__isnull=False).number

    assert in_the_way(entry) == [f"1 × garment: {number}."]


def test_guard_lets_nothing_go_but_what_was_taken_back(bring, owner):
    entry = bring(rows_of(good_row(1)))
    MeasurementSetFactory(measures={("chest", ""): 38})
    Import.objects.create(strikes=bring(rows_of(good_row(2))), void=False, by=owner)

    for model in (Measurement, MeasurementSet, StageEntry):
        with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
            model.objects.all()._raw_delete("default")
    assert (Measurement.objects.count(), entry.brought.count()) == (7, 3)


@pytest.mark.parametrize("table", sorted(OWN))
def test_what_was_brought_is_only_added_to(bring, table):
    bring(rows_of(good_row(1)))

    for statement in (f"DELETE FROM {table}", f"UPDATE {table} SET id = id"):
        with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)


def test_import_with_days_keeps_them_when_struck(bring, owner):
    entry = bring(rows_of(good_row(1)))

    said = take_back(entry, owner)

    assert (said.name, said.digest, said.counts) == (entry.name, entry.digest, entry.counts)
    assert said.at - entry.at < datetime.timedelta(minutes=1)
