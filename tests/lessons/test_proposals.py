import pytest

from fittings import catalogue
from fittings.diagnosis import network_for, posterior
from fittings.lessons.proposals import proposals_that_came_out
from fittings.lessons.reading import cases_before
from tests.factories import CauseTakenFactory
from tests.lessons import scenes
from tests.lessons.scenes import CAUSE, COLLAR, DAY, proposed, taught

pytestmark = pytest.mark.django_db


def kept():
    return proposals_that_came_out(cases_before(DAY, catalogue.load()), catalogue.load())


def test_cause_taken_and_cured_came_true_others_not():
    proposed(taught("cured"), back_balance_short=0.7, collar_too_long=0.2)
    alone = posterior(network_for(catalogue.load(), "coat"), [COLLAR], [])

    assert kept() == {
        "looks": 1,
        "pairs": [
            [0.7, round(alone[CAUSE], 4), True],
            [0.2, round(alone["collar-too-long"], 4), False],
        ],
    }


@pytest.mark.parametrize("verdict", ["better", "same", "worse"])
def test_cause_taken_and_not_cured_did_not_come_true(verdict):
    proposed(taught(verdict), back_balance_short=0.7)

    assert [came for _, _, came in kept()["pairs"]] == [False]


def test_look_with_a_cause_not_judged_yet_waits():
    taken = proposed(taught(), back_balance_short=0.7)
    CauseTakenFactory(fitting=taken.fitting, garment=taken.garment, cause="collar-too-long")

    assert kept() == {"looks": 0, "pairs": []}


def test_last_proposal_of_a_look_counts():
    alteration = taught()
    proposed(alteration, back_balance_short=0.3)
    later = proposed(alteration, back_balance_short=0.8)

    assert later.at > scenes.noon(10)
    assert [said for said, _, _ in kept()["pairs"]] == [0.8]


def test_finding_the_catalogue_has_dropped_is_passed_over():
    taken = proposed(taught(), back_balance_short=0.7)
    said = taken.proposed | {"present": ["dropped-since"]}
    CauseTakenFactory(
        fitting=taken.fitting, garment=taken.garment, cause=CAUSE, proposed=said, strikes=taken
    )

    assert kept() == {"looks": 0, "pairs": []}
