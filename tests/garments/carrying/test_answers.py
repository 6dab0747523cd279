"""Answers to what is proposed: kept, changed until the cloth is cut, refused."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from customers.lengths import Length, parse
from garments.carrying.queries import accepted_changes, carry_lines, unanswered
from garments.carrying.services import CUT_ALREADY, NO_REASON, NOT_PROPOSED, answer_carry
from garments.models import CarryAnswer, Garment
from garments.services import cut_garment, take_back_stage
from tests.factories import (
    AlterationFactory,
    CarryAnswerFactory,
    JudgementFactory,
    StageEntryFactory,
)
from tests.garments.carrying.scenes import LET_OUT, told
from tests.garments.ready import measured

pytestmark = pytest.mark.django_db

TOO_MUCH = "At most 6 in: more is no alteration. Look at the amount again."


def test_accepted_change_stands_for_the_sheet(made, coat, answer):
    made({})

    answer(amount="3/8")

    (line,) = accepted_changes(coat)
    assert (line.words, line.amount_words, line.by_whom, line.sure_words) == (
        "Let out, side seam",
        "3/8 in each side",
        "Tam Reed",
        "Not sure, by 1 garment",
    )


def test_answer_keeps_what_was_proposed_then(made, coat, answer):
    made({})

    kept = answer(amount="1/2")

    assert (kept.amount, kept.proposed, kept.count, kept.sureness) == (
        parse("1/2"),
        parse("1/4"),
        1,
        "unsure",
    )


def test_answer_without_an_amount_takes_the_proposed(made, answer):
    made({})

    assert answer().amount == parse("1/4")


def test_refused_change_keeps_its_reason_and_no_amount_of_its_own(made, coat, answer):
    made({})

    kept = answer(accepted=False, reason=" Other cut. ", amount="2")

    assert (kept.reason, kept.amount, accepted_changes(coat)) == ("Other cut.", parse("1/4"), [])
    assert told(coat) == [("Let out, side seam", "1/4 in each side", "refused")]


def test_newer_answer_strikes_the_older(made, coat, answer):
    made({})
    old = answer()

    new = answer(accepted=False, reason="Other cut.")

    assert new.strikes == old
    assert (unanswered(coat), accepted_changes(coat)) == (0, [])


def test_answer_of_one_side_takes_back_that_of_both(made, coat, answer):
    garment = made({})
    answer()
    extra = AlterationFactory(garment=garment, side="L", amount=parse("1/4"))
    JudgementFactory(alteration=extra)

    answer(side="L")

    assert [(line.side, line.answered) for line in carry_lines(coat)] == [
        ("L", "accepted"),
        ("R", None),
    ]


def test_answer_of_both_sides_takes_back_both_single_ones(made, coat, answer, by):
    made({})
    for side in ("L", "R"):
        CarryAnswerFactory(garment=coat, side=side, by=by)

    answer(accepted=False, reason="Other cut.")

    assert told(coat) == [("Let out, side seam", "1/4 in each side", "refused")]


def test_answer_no_longer_proposed_is_still_shown(made, coat, answer):
    alteration = made({}).alterations.get()
    answer()
    AlterationFactory(garment=alteration.garment, strikes=alteration, void=True)

    (line,) = carry_lines(coat)

    assert (line.gone, line.answered, line.amount_words) == (
        True,
        "accepted",
        "1/4 in each side",
    )


def test_answered_line_says_when_the_memory_moved(made, coat, answer):
    made({})
    answer()
    made({"amount": "1"})

    (line,) = carry_lines(coat)

    assert (line.moved, line.answered) == (True, "accepted")


def test_same_answer_sent_twice_is_kept_once(made, answer):
    made({})
    entry_id = uuid.uuid4()

    kept = [answer(entry_id=entry_id) for _ in range(2)]

    assert kept[0] == kept[1]
    assert CarryAnswer.objects.count() == 1


def test_other_answer_from_a_page_gone_back_to_is_refused(made, answer):
    made({})
    entry_id = uuid.uuid4()
    answer(entry_id=entry_id)

    with pytest.raises(ValidationError) as refused:
        answer(entry_id=entry_id, accepted=False, reason="Other cut.")

    assert list(refused.value.message_dict) == ["entry_id"]


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({"seam": "cuff"}, "operation", NOT_PROPOSED),
        ({"operation": "take-in"}, "operation", NOT_PROPOSED),
        ({"operation": "nonsense"}, "operation", NOT_PROPOSED),
        ({"side": "L"}, "operation", NOT_PROPOSED),
        ({"accepted": False}, "reason", NO_REASON),
        ({"accepted": False, "reason": "  "}, "reason", NO_REASON),
        (
            {"amount": "7"},
            "amount",
            "At most 6 in: more is no alteration. Look at the amount again.",
        ),
    ],
)
def test_answer_that_cannot_be_is_refused(made, answer, said, field, words):
    made({})

    with pytest.raises(ValidationError) as refused:
        answer(**said)

    assert refused.value.message_dict == {field: [words]}
    assert CarryAnswer.objects.count() == 0


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (Length(0), "Say how much."),
        (
            -Length.inches("1/4"),
            "The amount is never below nothing: choose the operation for the other way.",
        ),
    ],
)
def test_nothing_and_less_cannot_be_carried(made, coat, by, amount, words):
    made({})

    with pytest.raises(ValidationError) as refused:
        answer_carry(
            entry_id=uuid.uuid4(), garment=coat, amount=amount, accepted=True, by=by, **LET_OUT
        )

    assert refused.value.message_dict == {"amount": [words]}


def test_cut_garment_keeps_its_answers_as_they_are(made, coat, answer, by):
    made({})
    answer()
    measures = measured(coat.customer)
    cut_garment(entry_id=uuid.uuid4(), garment=coat, measurement_set=measures, by=by)

    with pytest.raises(ValidationError) as refused:
        answer(accepted=False, reason="Other cut.")

    assert refused.value.message_dict == {"garment": [CUT_ALREADY]}
    assert told(coat) == [("Let out, side seam", "1/4 in each side", "accepted")]
    assert unanswered(Garment.objects.get(pk=coat.pk)) == 0


def test_cutting_taken_back_opens_the_answers_again(made, coat, answer, by):
    made({})
    answer()
    measures = measured(coat.customer)
    before = timezone.now() - datetime.timedelta(days=1)
    StageEntryFactory(garment=coat, stage="ordered", by=by, at=before)
    cut_garment(entry_id=uuid.uuid4(), garment=coat, measurement_set=measures, by=by)
    take_back_stage(entry_id=uuid.uuid4(), garment=coat, by=by)

    answer(accepted=False, reason="Other cut.")

    assert told(coat) == [("Let out, side seam", "1/4 in each side", "refused")]


def test_accepted_changes_come_in_working_order(coat, by):
    for operation, seam in (("shorten-cuff", "cuff"), ("pass-up", "side-seam"), ("old", "x")):
        CarryAnswerFactory(garment=coat, operation=operation, seam=seam, by=by)

    assert [line.operation for line in accepted_changes(coat)] == ["pass-up", "shorten-cuff", "old"]


def test_accepted_changes_take_one_query(coat, by, django_assert_num_queries):
    for seam in ("side-seam", "centre-back"):
        CarryAnswerFactory(garment=coat, seam=seam, by=by)

    with django_assert_num_queries(1):
        lines = accepted_changes(coat, "in")
        words = [line.by_whom for line in lines]

    assert words == ["Tam Reed", "Tam Reed"]


@pytest.mark.parametrize(
    "verb", ["UPDATE garments_carryanswer SET amount = 1", "DELETE FROM garments_carryanswer"]
)
def test_answer_is_only_added_to(coat, verb):
    CarryAnswerFactory(garment=coat)

    with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
        connection.cursor().execute(verb)


@pytest.mark.parametrize("wrong", [{"amount": Length(0)}, {"accepted": False, "reason": ""}])
def test_database_refuses_what_the_service_refuses(coat, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        CarryAnswerFactory(garment=coat, **wrong)
