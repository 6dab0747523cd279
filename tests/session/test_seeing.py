"""What is seen at a zone: kept once, corrected by the next word, struck but never lost."""

import uuid

import pytest
from django.core.exceptions import ValidationError

from customers.lengths import Length
from fittings import catalogue
from fittings.models import Observation
from fittings.session.services import (
    answer_observation,
    decide_next_step,
    record_rest_clean,
    strike_observation,
    take_alteration,
)
from tests.factories import AlterationFactory, GarmentFactory, UserFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db


def standing():
    return list(Observation.objects.standing())


def test_fault_is_kept_with_side_and_amount(see):
    seen = see(zone="shoulder", fault="shoulder-one-low", side="L", amount="3/8")

    kept = Observation.objects.get(pk=seen.pk)
    assert (kept.fault, kept.side, kept.amount) == ("shoulder-one-low", "L", Length.inches("3/8"))


def test_same_tap_twice_is_kept_once(see):
    entry_id = uuid.uuid4()

    assert see(entry_id=entry_id) == see(entry_id=entry_id)
    assert Observation.objects.count() == 1


def test_same_id_with_another_fault_is_refused(see):
    entry_id = uuid.uuid4()
    see(entry_id=entry_id)

    with pytest.raises(ValidationError) as refusal:
        see(entry_id=entry_id, fault="collar-low-all-round")

    assert refusal.value.message_dict == {
        "entry_id": ["This page was used already: load it again."]
    }


def test_tap_of_someone_else_is_refused(see):
    entry_id = uuid.uuid4()
    see(entry_id=entry_id)

    with pytest.raises(ValidationError):
        see(entry_id=entry_id, by=UserFactory())


def test_second_amount_corrects_the_first(see):
    first = see(amount="3/8")

    second = see(amount="1/2")

    assert standing() == [second]
    assert second.strikes == first


def test_same_fault_and_amount_adds_nothing(see):
    first = see(amount="3/8")

    assert see(amount="3/8") == first


def test_correction_keeps_what_answers_the_fault(see, coat, fitter):
    first = see(amount="3/8")
    alteration = AlterationFactory(garment=coat, by=fitter)
    answer_observation(observation=first, alteration=alteration)

    second = see(amount="1/2")

    assert list(second.alterations.all()) == [alteration]


def test_left_and_right_stand_beside_each_other(see):
    see(zone="shoulder", fault="shoulder-one-low", side="L")
    see(zone="shoulder", fault="shoulder-one-low", side="R")

    assert sorted(row.side for row in standing()) == ["L", "R"]


def test_fault_takes_the_place_of_clean(see):
    clean = see(fault="")

    fault = see()

    assert (standing(), fault.strikes) == ([fault], clean)


def test_clean_where_a_fault_stands_is_refused(see):
    see()

    with pytest.raises(ValidationError) as refusal:
        see(fault="")

    assert refusal.value.message_dict == {
        "seen": ["A fault stands here: strike it before calling it clean."]
    }


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"zone": "moon"}, {"zone": ["There is no such zone on a coat."]}),
        ({"zone": "fork", "fault": ""}, {"zone": ["There is no such zone on a coat."]}),
        ({"fault": "moon"}, {"seen": ["That fault is not seen at this zone."]}),
        ({"zone": "waist"}, {"seen": ["That fault is not seen at this zone."]}),
        ({"side": "L"}, {"seen": ["There is no left or right here."]}),
        ({"fault": "", "side": "L"}, {"side": ["A clean zone has no side."]}),
        (
            {"zone": "shoulder", "fault": "shoulder-one-low"},
            {"seen": ["Say left, right or both."]},
        ),
        ({"fault": "", "amount": "1/8"}, {"amount": ["A clean zone has no amount."]}),
        (
            {"amount": "-1/8"},
            {"amount": ["An amount is more than nothing: leave it out instead."]},
        ),
        ({"amount": "6.125"}, {"amount": ["At most 6 in: look at the amount again."]}),
    ],
)
def test_observation_that_cannot_be_is_refused(see, values, message):
    with pytest.raises(ValidationError) as refusal:
        see(**values)

    assert refusal.value.message_dict == message
    assert Observation.objects.count() == 0


def test_garment_outside_the_session_is_refused(see, customer):
    with pytest.raises(ValidationError) as refusal:
        see(garment=GarmentFactory(customer=customer))

    assert refusal.value.message_dict == {"garment": ["That garment is not in this session."]}


def test_decided_garment_takes_no_more(see, fitting, coat, fitter):
    decide_next_step(entry_id=uuid.uuid4(), fitting=fitting, garment=coat, step="alter", by=fitter)

    with pytest.raises(ValidationError) as refusal:
        see()

    assert refusal.value.message_dict == {
        "garment": ["The next step is decided already: take it back to go on."]
    }


def test_correction_of_what_is_struck_is_refused(see, fitter):
    seen = see()
    strike_observation(entry_id=uuid.uuid4(), observation=seen, by=fitter)

    with pytest.raises(ValidationError) as refusal:
        see(amount="1/2", strikes=seen)

    assert refusal.value.message_dict == {"seen": ["What this corrects does not stand any more."]}


def test_named_entry_is_corrected_to_another_fault(see):
    wrong = see()

    right = see(fault="collar-low-all-round", strikes=wrong)

    assert standing() == [right]


def test_struck_entry_stays_readable(see, fitter):
    seen = see(amount="3/8")

    strike_observation(entry_id=uuid.uuid4(), observation=seen, by=fitter)

    assert standing() == []
    assert Observation.objects.get(pk=seen.pk).amount == Length.inches("3/8")


def test_strike_twice_strikes_once(see, fitter):
    seen = see()
    first = strike_observation(entry_id=uuid.uuid4(), observation=seen, by=fitter)

    assert strike_observation(entry_id=uuid.uuid4(), observation=seen, by=fitter) == first


def test_rest_clean_speaks_of_every_other_zone(see, fitting, coat, fitter):
    see()

    record_rest_clean(entry_id=uuid.uuid4(), fitting=fitting, garment=coat, by=fitter)

    spoken_of = {row.zone: row.fault for row in standing()}
    others = {zone.key: "" for zone in catalogue.zones("coat")}
    assert spoken_of == others | {"collar": "collar-stands-off"}


def test_rest_clean_sent_twice_adds_nothing(fitting, coat, fitter):
    entry_id = uuid.uuid4()
    for _ in range(2):
        record_rest_clean(entry_id=entry_id, fitting=fitting, garment=coat, by=fitter)

    assert Observation.objects.count() == len(catalogue.zones("coat"))


def test_alteration_taken_answers_its_fault(see, fitting, coat, fitter):
    seen = see(amount="3/8")

    taken = take_alteration(
        entry_id=uuid.uuid4(),
        fitting=fitting,
        garment=coat,
        operation="pass-up",
        seam="side-seam",
        side="both",
        amount=Length.inches("3/8"),
        observation=seen,
        by=fitter,
    )

    assert list(seen.alterations.all()) == [taken]


def test_alteration_of_other_garment_answers_nothing(see, customer, fitter):
    other = AlterationFactory(garment=garment_of(customer, fitter), by=fitter)

    with pytest.raises(ValidationError):
        answer_observation(observation=see(), alteration=other)
