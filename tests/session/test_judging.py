"""What became of an alteration, and what is next: said, said again, taken back."""

import uuid

import pytest
from django.core.exceptions import ValidationError

from fittings.models import Decision, Judgement
from fittings.session.queries import alterations_to_judge
from fittings.session.services import decide_next_step, judge_alteration, take_back_decision
from garments.altering import strike_alteration
from garments.models import StageEntry
from garments.services import enter_stage
from tests.factories import AlterationFactory, FittingFactory, JudgementFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def judge(fitting, decided_before, fitter):
    def say(verdict, **values):
        usual = {"entry_id": uuid.uuid4(), "alteration": decided_before, "by": fitter}
        return judge_alteration(**({"fitting": fitting, "verdict": verdict} | usual | values))

    return say


@pytest.fixture
def decide(fitting, coat, fitter):
    def say(step, **values):
        usual = {"entry_id": uuid.uuid4(), "garment": coat, "step": step, "by": fitter}
        return decide_next_step(**({"fitting": fitting} | usual | values))

    return say


def asked(fitting, coat):
    return list(alterations_to_judge(fitting, coat))


@pytest.mark.parametrize("verdict", ["cured", "better", "same", "worse"])
def test_verdict_is_kept_of_the_alteration(judge, decided_before, verdict):
    judge(verdict)

    assert list(decided_before.judgements.values_list("verdict", flat=True)) == [verdict]


def test_same_verdict_twice_is_kept_once(judge):
    entry_id = uuid.uuid4()
    judge("cured", entry_id=entry_id)
    judge("cured", entry_id=entry_id)
    judge("cured")

    assert Judgement.objects.count() == 1


def test_last_verdict_of_a_session_holds(judge):
    judge("cured")

    changed = judge("better")

    assert list(Judgement.objects.standing()) == [changed]


def test_unknown_verdict_is_refused(judge):
    with pytest.raises(ValidationError) as refusal:
        judge("perfect")

    assert refusal.value.message_dict == {"verdict": ["Say cured, better, same or worse."]}


def test_struck_alteration_is_not_judged(judge, decided_before, fitter):
    strike_alteration(entry_id=uuid.uuid4(), alteration=decided_before, by=fitter)

    with pytest.raises(ValidationError) as refusal:
        judge("cured")

    assert refusal.value.message_dict == {"alteration": ["That alteration was struck out."]}


def test_other_garments_alteration_is_not_judged(judge, customer, fitter):
    other = AlterationFactory(garment=garment_of(customer, fitter), by=fitter)

    with pytest.raises(ValidationError) as refusal:
        judge("cured", alteration=other)

    assert refusal.value.message_dict == {"garment": ["That garment is not in this session."]}


def test_alteration_of_earlier_fitting_is_asked(fitting, coat, decided_before):
    (row,) = asked(fitting, coat)

    assert (row, row.said_now, [seen.fault for seen in row.answered]) == (
        decided_before,
        [],
        ["collar-stands-off"],
    )


def test_judged_now_is_shown_with_its_verdict(fitting, coat, judge):
    said = judge("cured")

    (row,) = asked(fitting, coat)

    assert row.said_now == [said]


def test_alteration_judged_elsewhere_is_not_asked(fitting, coat, decided_before, fitter):
    other = FittingFactory(customer=coat.customer, fitter=fitter, garments=[coat])
    JudgementFactory(fitting=other, alteration=decided_before, by=fitter)

    assert asked(fitting, coat) == []


def test_alteration_of_this_session_is_not_asked(fitting, coat, fitter):
    AlterationFactory(garment=coat, by=fitter)

    assert asked(fitting, coat) == []


@pytest.mark.parametrize(
    ("step", "stage"),
    [("alter", "altering"), ("finish", "finishing"), ("deliver", "delivered")],
)
def test_next_step_moves_the_garment(decide, coat, step, stage):
    decide(step)

    newest = StageEntry.objects.filter(garment=coat).order_by("at").last()
    assert (coat.stage, newest.stage) == (stage, stage)


def test_remake_leaves_the_stage_to_the_remake(decide, coat):
    decide("remake")

    assert coat.stage == "first-fitting"


def test_same_decision_tap_twice_is_kept_once(decide):
    entry_id = uuid.uuid4()

    assert decide("alter", entry_id=entry_id) == decide("alter", entry_id=entry_id)
    assert Decision.objects.count() == 1


def test_second_decision_is_refused(decide):
    decide("alter")

    with pytest.raises(ValidationError) as refusal:
        decide("finish")

    assert refusal.value.message_dict == {
        "garment": ["The next step is decided already: take it back to go on."]
    }


def test_unknown_step_is_refused(decide):
    with pytest.raises(ValidationError) as refusal:
        decide("burn")

    assert refusal.value.message_dict == {"step": ["Say what is next."]}


@pytest.mark.parametrize("step", ["alter", "finish", "deliver", "remake"])
def test_decision_taken_back_restores_the_stage(decide, coat, fitter, step):
    decision = decide(step)

    take_back_decision(entry_id=uuid.uuid4(), decision=decision, by=fitter)

    assert (coat.stage, list(Decision.objects.standing())) == ("first-fitting", [])


def test_decision_taken_back_twice_is_kept_once(decide, fitter):
    decision = decide("alter")
    first = take_back_decision(entry_id=uuid.uuid4(), decision=decision, by=fitter)

    assert take_back_decision(entry_id=uuid.uuid4(), decision=decision, by=fitter) == first


def test_decision_stays_once_workroom_moved_on(decide, coat, fitter):
    decision = decide("alter")
    enter_stage(entry_id=uuid.uuid4(), garment=coat, stage="finished", by=fitter)

    with pytest.raises(ValidationError) as refusal:
        take_back_decision(entry_id=uuid.uuid4(), decision=decision, by=fitter)

    assert refusal.value.message_dict == {"step": ["The garment has moved on since: see its page."]}


def test_garment_open_again_takes_entries(decide, judge, fitter):
    decision = decide("alter")
    take_back_decision(entry_id=uuid.uuid4(), decision=decision, by=fitter)

    assert judge("cured").verdict == "cured"
