"""Cutting from a set of measures, counting inlays, cutting again."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from customers.lengths import Length, parse
from customers.models import MeasurementSet
from garments.models import Garment, InlayMovement, Remake, StageEntry
from garments.queries import inlays_of
from garments.seams import normal_inlays
from garments.services import count_inlays, cut_garment, record_remake, set_inlay
from tests.factories import (
    CutVersionFactory,
    GarmentFactory,
    MeasurementSetFactory,
    StageEntryFactory,
    UserFactory,
)
from tests.garments.ready import measured, ordered

pytestmark = pytest.mark.django_db


def cut(garment, measures, **changed):
    values = {"entry_id": uuid.uuid4(), "by": UserFactory()} | changed
    return cut_garment(garment=garment, measurement_set=measures, **values)


def measured_and_ordered():
    measures = measured()
    return measures, ordered(measures.customer)


def test_cut_garment_names_its_measures_and_stage():
    measures, coat = measured_and_ordered()
    by = UserFactory()

    cut(coat, measures, by=by)

    row = Garment.objects.get(pk=coat.pk)
    entry = StageEntry.objects.latest("at")
    assert (row.stage, row.measurement_set) == ("cut", measures)
    assert (entry.stage, entry.by, entry.reason) == ("cut", by, f"From the {measures}")


def test_cut_garment_freezes_its_measures():
    measures, coat = measured_and_ordered()
    cut(coat, measures)

    with pytest.raises(IntegrityError, match="cut from"), transaction.atomic():
        MeasurementSet.objects.create(
            customer=measures.customer,
            by=measures.by,
            taken_by=measures.by,
            taken_on=measures.taken_on,
            unit="in",
            strikes=measures,
        )


def test_cut_garment_keeps_the_same_tap_once():
    measures, coat = measured_and_ordered()
    once = {"entry_id": uuid.uuid4(), "by": UserFactory()}

    cut(coat, measures, **once)
    cut(coat, measures, **once)

    assert StageEntry.objects.filter(stage="cut").count() == 1


def test_cut_garment_entered_late_keeps_its_stage():
    measures, coat = measured_and_ordered()
    Garment.objects.update(stage="first-fitting")

    cut(coat, measures)

    row = Garment.objects.get(pk=coat.pk)
    assert (row.stage, row.measurement_set) == ("first-fitting", measures)
    assert StageEntry.objects.filter(stage="cut").count() == 0


def test_cut_garment_refuses_another_customers_measures():
    _, coat = measured_and_ordered()

    with pytest.raises(ValidationError) as refusal:
        cut(coat, MeasurementSetFactory())

    assert refusal.value.message_dict == {
        "measurement_set": ["Those are another customer's measures."]
    }


def test_cut_garment_refuses_measures_struck_out():
    measures, coat = measured_and_ordered()
    MeasurementSetFactory(customer=measures.customer, strikes=measures)

    with pytest.raises(ValidationError) as refusal:
        cut(coat, measures)

    assert refusal.value.message_dict == {
        "measurement_set": ["Those measures are struck out: choose the set that corrects them."]
    }


@pytest.mark.parametrize(
    ("stage", "message"),
    [
        ("cut", "It is cut from other measures already: take the cutting back first."),
        ("remade", "It is replaced by a remake."),
    ],
)
def test_cut_garment_refuses_what_is_cut_or_ended(stage, message):
    measures, coat = measured_and_ordered()
    other = MeasurementSetFactory(customer=coat.customer) if stage == "cut" else None
    Garment.objects.update(stage=stage, measurement_set=other)

    with pytest.raises(ValidationError) as refusal:
        cut(coat, measures)

    assert refusal.value.message_dict == {"measurement_set": [message]}


def count(garment, length, **changed):
    values = {"entry_id": uuid.uuid4(), "seam": "side-seam", "side": "L", "by": UserFactory()}
    return set_inlay(garment=garment, counted=parse(length, signed=True), **values | changed)


@pytest.mark.parametrize(
    ("counted", "moved"), [("5/8", "5/8"), ("0", "0"), ("1 1/4", "1 1/4"), ("1.9 cm", "1.9 cm")]
)
def test_set_inlay_enters_the_difference(counted, moved):
    coat = GarmentFactory()

    entry = count(coat, counted)

    assert (entry.amount, entry.reason) == (parse(moved), "counted")


def test_set_inlay_makes_the_sum_what_was_counted():
    coat = GarmentFactory()
    for length in ("1", "3/8", "3/8", "7/8"):
        count(coat, length)

    assert inlays_of(coat) == {("side-seam", "L"): parse("7/8")}
    assert list(InlayMovement.objects.values_list("amount", flat=True)) == [
        parse(text, signed=True) for text in ("1", "-5/8", "0", "1/2")
    ]


def test_set_inlay_keeps_the_same_tap_once():
    coat, by = GarmentFactory(), UserFactory()
    once = {"entry_id": uuid.uuid4(), "by": by}

    assert count(coat, "1/2", **once) == count(coat, "3/4", **once)
    assert inlays_of(coat) == {("side-seam", "L"): parse("1/2")}


@pytest.mark.parametrize(
    ("changed", "field", "message"),
    [
        ({"length": "-1/8"}, "counted", "An inlay is never below nothing."),
        ({"length": "6 1/8"}, "counted", "More than 6 in: look at the tape again."),
        ({"seam": "buttons", "side": ""}, "seam", "There is no inlay to count at “buttons”."),
        ({"side": ""}, "seam", "There is no inlay to count at “side-seam”."),
        ({"side": "both"}, "seam", "There is no inlay to count at “side-seam” both."),
        ({"seam": "fly", "side": ""}, "seam", "There is no inlay to count at “fly”."),
        ({"seam": "centre-back"}, "seam", "There is no inlay to count at “centre-back” L."),
    ],
)
def test_set_inlay_refuses_what_cannot_be(changed, field, message):
    values = {"length": "1/2"} | changed

    with pytest.raises(ValidationError) as refusal:
        count(GarmentFactory(), **values)

    assert refusal.value.message_dict == {field: [message]}
    assert InlayMovement.objects.count() == 0


def test_count_inlays_keeps_all_or_none():
    coat = GarmentFactory()
    counted = {("side-seam", "L"): parse("1/2"), ("side-seam", "R"): Length.inches(7)}

    with pytest.raises(ValidationError):
        count_inlays(entry_id=uuid.uuid4(), garment=coat, counted=counted, by=UserFactory())

    assert inlays_of(coat) == {}


def test_count_inlays_keeps_the_same_form_once():
    coat = GarmentFactory()
    once = {
        "entry_id": uuid.uuid4(),
        "garment": coat,
        "counted": {("side-seam", "L"): parse("1/2"), ("hem", "R"): parse("1")},
        "by": UserFactory(),
    }

    assert count_inlays(**once) == count_inlays(**once)
    assert InlayMovement.objects.count() == 2


def remake(garment, **changed):
    values = {
        "entry_id": uuid.uuid4(),
        "piece": "",
        "reason": "Foreparts too small",
        "by": UserFactory(),
    }
    return record_remake(replaces=garment, **values | changed)


def cut_coat(**changed):
    coat = GarmentFactory(stage="first-fitting", **changed)
    StageEntryFactory(garment=coat, stage="first-fitting")
    return coat


def test_record_remake_of_the_whole_orders_anew():
    old = cut_coat(cloth_pattern="check")

    new = remake(old).garment

    old.refresh_from_db()
    assert (old.stage, new.stage, new.number != old.number) == ("remade", "ordered", True)
    assert (new.cloth, new.cloth_pattern, new.cutter, new.cut_version, new.customer) == (
        old.cloth,
        "check",
        old.cutter,
        old.cut_version,
        old.customer,
    )
    assert inlays_of(new) == normal_inlays("coat")


def test_record_remake_takes_the_new_cut_and_promise():
    old, cutter = cut_coat(), UserFactory()
    version = CutVersionFactory(cut=old.cut_version.cut, version=2)
    day = timezone.localdate() + datetime.timedelta(days=30)

    new = remake(old, cut_version=version, cutter=cutter, promised_on=day, notes="Larger").garment

    assert (new.cut_version, new.cutter, new.promised_on, new.notes) == (
        version,
        cutter,
        day,
        "Larger",
    )


def test_record_remake_of_a_piece_keeps_the_garment():
    coat = cut_coat()

    entry = remake(coat, piece="left forepart")

    coat.refresh_from_db()
    assert (entry.garment, entry.piece, coat.stage) == (None, "left forepart", "altering")
    assert coat.stage_entries.last().reason == "left forepart cut again: Foreparts too small"
    assert Garment.objects.count() == 1


def test_record_remake_keeps_the_same_form_once():
    old = cut_coat()
    once = {"entry_id": uuid.uuid4(), "by": UserFactory()}

    assert remake(old, **once) == remake(old, **once)
    assert (Remake.objects.count(), Garment.objects.count()) == (1, 2)


@pytest.mark.parametrize(
    ("changed", "field", "message"),
    [
        ({"reason": "  "}, "reason", "Say why it is cut again."),
        ({"piece": "fly"}, "piece", "“fly” is no main piece of this garment."),
        ({"reason": "x" * 301}, "reason", "at most 300 characters"),
        ({"promised_on": datetime.date(2020, 1, 1)}, "promised_on", "That day is gone by"),
    ],
)
def test_record_remake_refuses_what_cannot_be(changed, field, message):
    old = cut_coat()

    with pytest.raises(ValidationError) as refusal:
        remake(old, **changed)

    assert message in refusal.value.message_dict[field][0]
    assert (Remake.objects.count(), Garment.objects.get().stage) == (0, "first-fitting")


@pytest.mark.parametrize("stage", ["ordered", "remade"])
@pytest.mark.parametrize("piece", ["", "back"])
def test_record_remake_refuses_what_is_not_cut_or_ended(stage, piece):
    coat = GarmentFactory(stage=stage)

    with pytest.raises(ValidationError) as refusal:
        remake(coat, piece=piece)

    assert list(refusal.value.message_dict) == ["stage"]
    assert Remake.objects.count() == 0


def test_record_remake_of_a_delivered_piece_asks_it_back():
    coat = GarmentFactory(stage="delivered")

    with pytest.raises(ValidationError) as refusal:
        remake(coat, piece="back")

    assert refusal.value.message_dict == {
        "stage": [f"{coat.number} is “delivered”: “being altered” cannot come next."]
    }
