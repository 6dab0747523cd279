"""The cause decided for: kept with what was proposed, said again, changed, taken back."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from fittings.models import CauseTaken
from fittings.session.services import decide_next_step, strike_cause, take_cause
from tests.factories import CauseTakenFactory

pytestmark = pytest.mark.django_db

PROPOSED = {
    "present": ["collar-stands-off"],
    "absent": ["vent-kicks:L"],
    "causes": [
        {"cause": "back-balance-short", "probability": 0.61, "rank": 1},
        {"cause": "collar-too-long", "probability": 0.2, "rank": 2},
    ],
    "none": 0.1,
}


@pytest.fixture
def take(fitting, coat, fitter):
    def say(cause="back-balance-short", words="", **values):
        usual = {"entry_id": uuid.uuid4(), "fitting": fitting, "garment": coat, "by": fitter}
        return take_cause(**usual | {"cause": cause, "words": words} | values)

    return say


def refusal(take, *said, **values):
    with pytest.raises(ValidationError) as error:
        take(*said, **values)
    return error.value.message_dict


def standing():
    return [str(row) for row in CauseTaken.objects.standing()]


def test_cause_taken_keeps_what_was_proposed(take):
    kept = take("collar-too-long", proposed=PROPOSED, version="7")
    kept.refresh_from_db()

    assert (kept.proposed, kept.catalogue, kept.rank) == (PROPOSED, "7", 2)


def test_cause_outside_the_proposal_has_no_rank(take):
    assert take("neck-too-wide", proposed=PROPOSED).rank is None


def test_own_words_are_kept_trimmed(take):
    take("", "  the wallet in his pocket ")
    assert standing() == ["the wallet in his pocket"]


def test_same_cause_again_is_kept_once(take):
    entry_id = uuid.uuid4()
    rows = [take(entry_id=entry_id), take(entry_id=entry_id), take()]
    assert ({row.pk for row in rows}, standing()) == ({entry_id}, ["back-balance-short"])


def test_two_causes_stand_side_by_side(take):
    take()
    take("low-shoulder-R")
    assert standing() == ["back-balance-short", "low-shoulder-R"]


def test_newer_cause_strikes_the_one_it_corrects(take):
    take("low-shoulder-R", strikes=take())
    assert standing() == ["low-shoulder-R"]


@pytest.mark.parametrize(
    ("cause", "words", "message"),
    [
        ("", " ", "Say which cause, or write it in your words."),
        ("hips-tight", "and more", "Either a cause of the list or your own words, not both."),
        ("fork-small", "", "That is not a cause a coat can have."),
        ("nonsense", "", "That is not a cause a coat can have."),
    ],
)
def test_impossible_cause_is_refused(take, cause, words, message):
    assert refusal(take, cause, words) == {"cause": [message]}


def test_corrected_cause_must_still_stand(take, fitter):
    first = take()
    strike_cause(entry_id=uuid.uuid4(), taken=first, by=fitter)

    message = refusal(take, "hips-tight", strikes=first)

    assert message == {"cause": ["What this corrects does not stand any more."]}


def test_correcting_into_a_standing_cause_is_refused(take):
    take("hips-tight")
    message = refusal(take, "hips-tight", strikes=take())
    assert message == {"cause": ["That one stands already: take the other back."]}


def test_page_used_for_another_cause_is_refused(take):
    entry_id = uuid.uuid4()
    take(entry_id=entry_id)

    message = refusal(take, "hips-tight", entry_id=entry_id)

    assert message == {"entry_id": ["This page was used already: load it again."]}


def test_cause_taken_back_twice_is_struck_once(take, fitter):
    taken = take()
    first, again = (strike_cause(entry_id=uuid.uuid4(), taken=taken, by=fitter) for _ in range(2))
    assert (first, standing()) == (again, [])


def test_closed_garment_takes_no_cause(take, fitting, coat, fitter):
    decide_next_step(entry_id=uuid.uuid4(), fitting=fitting, garment=coat, step="finish", by=fitter)
    assert refusal(take) == {
        "garment": ["The next step is decided already: take it back to go on."]
    }


@pytest.mark.parametrize("said", [{"cause": "", "words": ""}, {"words": "and more"}])
def test_database_refuses_no_cause_or_two(said):
    with pytest.raises(IntegrityError), transaction.atomic():
        CauseTakenFactory(**said)
