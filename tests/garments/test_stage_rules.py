import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError

from garments.models import Garment, Stage, StageEntry
from garments.services import enter_stage, take_back_stage
from garments.stages import BY_HAND, MAY_FOLLOW, PIECES, next_by_hand
from tests.factories import GarmentFactory, MeasurementSetFactory, StageEntryFactory, UserFactory

# The life of a garment as the house tells it; every other pair of stages is tried below.
LIFE = [
    "ordered",
    "cut",
    "basted",
    "first-fitting",
    "altering",
    "forward-fitting",
    "altering",
    "finishing",
    "finished",
    "final-look",
    "delivered",
    "returned",
    "altering",
    "finished",
    "delivered",
]
NONSENSE = [
    ("ordered", "altering"),
    ("ordered", "finished"),
    ("ordered", "delivered"),
    ("ordered", "returned"),
    ("ordered", "remade"),
    ("ordered", "ordered"),
    ("cut", "ordered"),
    ("cut", "delivered"),
    ("basted", "cut"),
    ("finished", "basted"),
    ("final-look", "first-fitting"),
    ("delivered", "basted"),
    ("delivered", "altering"),
    ("delivered", "final-look"),
    ("delivered", "delivered"),
    ("returned", "basted"),
    ("remade", "altering"),
    ("remade", "returned"),
    ("remade", "delivered"),
]


def enter(garment, stage, **changed):
    values = {"entry_id": uuid.uuid4(), "garment": garment, "stage": stage, "by": UserFactory()}
    return enter_stage(**values | changed)


def stood_at(stage, **changed):
    """A garment whose entries and stage agree: ordered, then the stage."""
    coat = GarmentFactory(stage=stage, **changed)
    StageEntryFactory(garment=coat, stage="ordered")
    if stage != "ordered":
        StageEntryFactory(garment=coat, stage=stage)
    return coat


@pytest.mark.django_db
def test_enter_stage_walks_the_whole_life():
    coat = stood_at("ordered")

    for stage in LIFE[1:]:
        enter(coat, stage)

    told = StageEntry.objects.filter(garment=coat).values_list("stage", flat=True)
    assert list(told) == LIFE


@pytest.mark.django_db
@pytest.mark.parametrize(("now", "then"), NONSENSE)
def test_enter_stage_refuses_nonsense(now, then):
    coat = stood_at(now)

    with pytest.raises(ValidationError) as refusal:
        enter(coat, then)

    assert refusal.value.message_dict == {
        "stage": [f"{coat.number} is “{Stage(now).label}”: “{Stage(then).label}” cannot come next."]
    }
    assert Garment.objects.get(pk=coat.pk).stage == now


@pytest.mark.django_db
def test_enter_stage_refuses_a_return_never_delivered():
    coat = stood_at("finished")

    with pytest.raises(ValidationError):
        enter(coat, "returned")

    assert coat.stage == "finished"


@pytest.mark.django_db
def test_enter_stage_returns_again_what_was_delivered():
    coat = stood_at("delivered")

    for stage in ("returned", "altering", "returned"):
        enter(coat, stage)

    assert Garment.objects.get(pk=coat.pk).stage == "returned"


@pytest.mark.django_db
def test_enter_stage_goes_by_the_row_not_the_copy():
    coat = stood_at("finished")
    stale = Garment.objects.get(pk=coat.pk)
    enter(coat, "delivered")

    with pytest.raises(ValidationError):
        enter(stale, "altering")

    assert Garment.objects.get(pk=coat.pk).stage == "delivered"


def test_every_stage_says_what_may_follow():
    assert set(MAY_FOLLOW) == set(Stage)
    assert {stage for after in MAY_FOLLOW.values() for stage in after} == set(Stage) - {"ordered"}


def test_stages_by_hand_leave_out_what_has_a_page():
    assert set(Stage) - set(BY_HAND) == {
        "ordered",
        "cut",
        "first-fitting",
        "forward-fitting",
        "final-look",
        "remade",
    }
    assert next_by_hand("altering") == ["finishing", "finished", "basted", "returned", "delivered"]


def test_every_kind_has_main_pieces():
    assert {kind: len(pieces) for kind, pieces in PIECES.items()} == {
        "coat": 8,
        "overcoat": 8,
        "waistcoat": 3,
        "trousers": 5,
    }


@pytest.mark.django_db
def test_take_back_stage_returns_to_the_one_before():
    coat = stood_at("cut")
    first = enter(coat, "basted")
    wrong = enter(coat, "finished")
    by = UserFactory()

    struck = take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=by)

    row = Garment.objects.get(pk=coat.pk)
    assert (row.stage, row.stage_since) == ("basted", first.at)
    assert (struck.strikes, struck.void, struck.by) == (wrong, True, by)


FIRST, SECOND = datetime.date(2026, 3, 2), datetime.date(2026, 9, 1)


def promise(garment, day):
    Garment.objects.filter(pk=garment.pk).update(promised_on=day)


def kept(garment):
    return Garment.objects.get(pk=garment.pk).promised_when_delivered


@pytest.mark.django_db
@pytest.mark.parametrize("promised", [FIRST, None])
def test_first_delivery_keeps_what_was_promised_then(promised):
    coat = stood_at("finished", promised_on=promised)
    assert kept(coat) is None
    enter(coat, "delivered")
    promise(coat, SECOND)

    enter(coat, "returned")
    enter(coat, "finished")
    enter(coat, "delivered")

    assert kept(coat) == promised


@pytest.mark.django_db
def test_delivery_taken_back_was_none():
    coat = stood_at("finished", promised_on=FIRST)
    enter(coat, "delivered")
    take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=UserFactory())
    assert kept(coat) is None

    promise(coat, SECOND)
    enter(coat, "delivered")

    assert kept(coat) == SECOND


@pytest.mark.django_db
def test_second_delivery_taken_back_leaves_the_first():
    coat = stood_at("finished", promised_on=FIRST)
    for stage in ("delivered", "returned", "finished", "delivered"):
        enter(coat, stage)
    promise(coat, SECOND)

    take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=UserFactory())

    assert kept(coat) == FIRST


@pytest.mark.django_db
def test_take_back_stage_keeps_the_same_tap_once():
    coat = stood_at("basted")
    once = {"entry_id": uuid.uuid4(), "garment": coat, "by": UserFactory()}

    assert take_back_stage(**once) == take_back_stage(**once)
    assert Garment.objects.get(pk=coat.pk).stage == "ordered"


@pytest.mark.django_db
def test_take_back_stage_goes_back_step_by_step():
    coat = stood_at("basted")
    enter(coat, "first-fitting")

    for _ in range(2):
        take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=UserFactory())

    assert Garment.objects.get(pk=coat.pk).stage == "ordered"


@pytest.mark.django_db
@pytest.mark.parametrize("stage", ["ordered", "remade"])
def test_take_back_stage_refuses_the_first_and_the_last(stage):
    coat = stood_at(stage)

    with pytest.raises(ValidationError) as refusal:
        take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=UserFactory())

    assert refusal.value.message_dict == {
        "stage": [f"“{Stage(stage).label}” cannot be taken back."]
    }


@pytest.mark.django_db
def test_take_back_stage_of_a_cutting_frees_its_measures():
    measures = MeasurementSetFactory()
    coat = stood_at("cut", customer=measures.customer, measurement_set=measures)

    take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=UserFactory())

    assert Garment.objects.get(pk=coat.pk).measurement_set is None
