"""Tests done on the spot: which is named, what its answer does, how it is kept."""

import uuid

import pytest
from django.core.exceptions import ValidationError

from fittings import catalogue
from fittings.diagnosis import Look, Sign, evidence_of, network_for, tell_apart
from fittings.models import SpotAnswer
from fittings.session.services import answer_spot_test, strike_spot_answer
from tests.factories import SpotAnswerFactory
from tests.session.test_behind import address, post, propose, shown, words_of

__all__ = ["address", "post", "shown"]  # fixtures

pytestmark = pytest.mark.django_db

DIAGONALS = ("shoulder", "shoulder-diagonals", "both")
BOOK = catalogue.load()


@pytest.fixture
def answer(fitting, coat, fitter):
    def say(test="pad-shoulder-end", yes=True, **values):  # noqa: FBT002 - the answer itself
        usual = {"entry_id": uuid.uuid4(), "fitting": fitting, "garment": coat, "by": fitter}
        return answer_spot_test(**usual | {"test": test, "yes": yes} | values)

    return say


def standing():
    return [str(row) for row in SpotAnswer.objects.standing()]


def named_after(*answers):
    return propose(DIAGONALS, answers=answers)


def odds_of(proposal, cause):
    p = {row["cause"]: row["probability"] for row in proposal.record["causes"]}[cause]
    return p / (1 - p)


def test_test_named_is_one_of_a_cause_shown():
    proposal = named_after()
    assert {line.cause.key for line in proposal.lines} & proposal.test.yes.keys()


def test_test_named_tells_most_of_those_there_are():
    proposal = named_after()
    shown_causes = [line.cause.key for line in proposal.lines]
    evidence = evidence_of(BOOK, "coat", [Sign(*DIAGONALS)], stage="baste")
    looks = [
        Look(row.key, yes={cause: row.likelihood(cause) for cause in row.yes})
        for row in BOOK.tests_for(shown_causes, "coat", "baste")
    ]
    told = tell_apart(
        network_for(BOOK, "coat"), evidence.present, evidence.absent, looks, among=shown_causes
    )
    assert proposal.test.key == told[0].look.key


@pytest.mark.parametrize("yes", [True, False])
def test_answer_moves_its_cause_the_way_it_says(yes):
    before = odds_of(named_after(), "shoulder-too-square")
    said = SpotAnswer(test="pad-shoulder-end", yes=yes)
    after = odds_of(named_after(said), "shoulder-too-square")
    assert (after > before) == yes


def test_answered_test_is_a_reason_and_not_asked_again():
    proposal = named_after(SpotAnswer(test="pad-shoulder-end", yes=False))
    square = next(line for line in proposal.lines if line.cause.key == "shoulder-too-square")
    asks = next(row.asks for row in BOOK.tests if row.key == "pad-shoulder-end")
    assert f"{asks} No" in [each.what for each in square.speaking_against]
    assert proposal.test is None or proposal.test.key != "pad-shoulder-end"


def test_test_dropped_from_the_catalogue_says_nothing():
    dropped = SpotAnswer(test="no-such-test", yes=True)
    assert named_after(dropped).record == named_after().record


def test_last_answer_of_a_session_holds(answer):
    answer(yes=True)
    answer(yes=False)
    answer(yes=False)
    assert (standing(), SpotAnswer.objects.count()) == (["pad-shoulder-end: no"], 2)


def test_same_tap_twice_is_kept_once(answer):
    entry_id = uuid.uuid4()
    assert answer(entry_id=entry_id) == answer(entry_id=entry_id)
    with pytest.raises(ValidationError, match="used already"):
        answer(yes=False, entry_id=entry_id)


@pytest.mark.parametrize("test", ["no-such-test", ""])
def test_unknown_test_is_refused(answer, test):
    with pytest.raises(ValidationError) as refusal:
        answer(test)
    assert refusal.value.message_dict == {"test": ["That is no test for a coat."]}


def test_answer_taken_back_twice_is_struck_once(answer, fitter):
    kept = answer()
    first, again = (
        strike_spot_answer(entry_id=uuid.uuid4(), answer=kept, by=fitter) for _ in range(2)
    )
    assert (first, standing()) == (again, [])


def test_answer_is_one_tap_and_shown(post, see, shown):
    see(zone="shoulder", fault="shoulder-diagonals", side="both")
    post("tests", answer="pad-shoulder-end:yes")
    asks = next(row.asks for row in BOOK.tests if row.key == "pad-shoulder-end")
    assert standing() == ["pad-shoulder-end: yes"]
    assert f"{asks} Yes." in words_of(shown())


def test_answer_struck_on_the_screen_is_gone(post, see, shown):
    see(zone="shoulder", fault="shoulder-diagonals", side="both")
    post("tests", answer="pad-shoulder-end:yes")
    post(f"tests/{SpotAnswer.objects.get().pk}/strike")
    assert (standing(), "What tests answered" in shown()) == ([], False)


@pytest.mark.parametrize("tap", [True, False])
@pytest.mark.parametrize(
    ("said", "field"),
    [("", "answer"), ("pad-shoulder-end:maybe", "answer"), ("no-such-test:yes", "test")],
)
def test_bad_answer_is_refused(post, see, said, field, *, tap):
    see()
    answer = post("tests", tap=tap, answer=said)
    assert (answer.status_code, [*answer.context["form"].errors][-1:]) == (
        422,
        [field if field == "answer" else "__all__"],
    )
    assert SpotAnswer.objects.count() == 0


def test_answer_of_another_session_is_not_found(post):
    assert post(f"tests/{SpotAnswerFactory().pk}/strike").status_code == 404
