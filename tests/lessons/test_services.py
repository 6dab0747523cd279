import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError

from fittings import catalogue
from fittings.diagnosis import prior_of
from fittings.learning import Row
from fittings.lessons import queries, services
from fittings.models import Lessons, Omission
from fittings.session.services import start_fitting
from tests.factories import AlterationFactory, GarmentFactory, UserFactory
from tests.lessons import scenes
from tests.lessons.scenes import DAY, taught

pytestmark = pytest.mark.django_db
REMEDY = Row(scenes.CAUSE, scenes.COLLAR, scenes.OPERATION)
LEARNT = 2  # queries a tap pays for what was learnt
RENEWED = 12


@pytest.fixture
def owner():
    return UserFactory(role="owner")


def learnt():
    return queries.learnt(catalogue.load())


def books(cause):
    return prior_of(catalogue.load().cause_by_key[cause])


def leave_out(owner, **about):
    entry_id = about.pop("entry_id", None) or uuid.uuid4()
    service = services.leave_figure_out if "row" in about else services.leave_case_out
    return service(entry_id=entry_id, by=owner, **about)


def test_lessons_come_back_as_they_were_learnt():
    for number, verdict in enumerate(["cured", "cured", "same"]):
        taught(verdict, days=number + 1)
    scenes.learn()

    figure = learnt().figures[REMEDY]

    # By hand: 4 cases at 0.65 of the books, 2 of 3 of the house.
    assert figure.learnt == pytest.approx((2.6 + 2) / 7)
    assert learnt().remedy_record(scenes.COLLAR, scenes.CAUSE, scenes.OPERATION) == (2, 3)


def test_diagnosis_gets_priors_and_links_of_the_kind():
    taught("cured")
    scenes.learn()

    ours = queries.for_diagnosis(learnt(), "overcoat")

    assert ours.priors[scenes.CAUSE] > books(scenes.CAUSE)
    assert ours.priors["collar-too-long"] < books("collar-too-long")
    assert set(ours.links) == {(scenes.CAUSE, scenes.COLLAR)}
    assert queries.for_diagnosis(learnt(), "trousers").priors == {}


def test_struck_judgement_leaves_no_trace():
    taught("cured", days=3)
    scenes.learn()
    before = learnt().figures[REMEDY]
    judgement = taught("worse", days=2).judgements.get()
    scenes.learn()
    scenes.judge(judgement.alteration, "worse", 2, strikes=judgement, void=True)

    scenes.learn()

    assert learnt().figures[REMEDY] == before


def test_nothing_learnt_goes_by_the_catalogue():
    assert learnt().figures == {}
    assert queries.for_diagnosis(learnt(), "coat").priors == {}


@pytest.mark.parametrize("count", [1, 3, 10])
def test_tap_pays_a_fixed_number_of_queries(count, django_assert_num_queries):
    for days in range(count):
        taught(days=days + 1)
    scenes.learn()

    with django_assert_num_queries(LEARNT):
        assert len(learnt().figures) > 1


@pytest.mark.parametrize("count", [1, 3])
def test_learning_anew_asks_a_fixed_number_of_questions(count, django_assert_num_queries):
    for days in range(count):
        scenes.proposed(taught(days=days + 1), back_balance_short=0.7)
    scenes.learn()

    with django_assert_num_queries(RENEWED):
        scenes.learn()


def test_first_session_of_a_day_learns(django_capture_on_commit_callbacks):
    taught(days=3)
    garment = GarmentFactory(stage="basted")
    for _ in range(2):
        with django_capture_on_commit_callbacks(execute=True):
            start_fitting(
                fitting_id=uuid.uuid4(),
                customer=garment.customer,
                garments=[garment],
                fitter=garment.cutter,
                purpose="first-fitting",
                by=garment.cutter,
            )

    assert Lessons.objects.get().cases == 1


def test_day_already_learnt_is_not_learnt_again(django_assert_num_queries):
    scenes.learn()

    with django_assert_num_queries(1):
        services.renew_when_day_is_new(catalogue=catalogue.load(), today=DAY)
    services.renew_when_day_is_new(
        catalogue=catalogue.load(), today=DAY + datetime.timedelta(days=1)
    )
    assert Lessons.objects.get().before == DAY + datetime.timedelta(days=1)


def test_case_left_out_and_taken_in_again(owner):
    alteration = taught("worse", days=3)
    taught("cured", days=2)
    scenes.learn()
    whole = learnt().figures[REMEDY]
    omission = leave_out(owner, alteration=alteration)

    assert scenes.learn().cases == 1
    services.take_in_again(entry_id=uuid.uuid4(), omission=omission, by=owner)

    scenes.learn()
    assert learnt().figures[REMEDY] == whole


def test_figure_left_out_goes_by_the_catalogue_at_once(owner):
    taught("cured")
    scenes.learn()
    row = Row(scenes.CAUSE, kind="coat")
    before = learnt().priors("coat")[scenes.CAUSE]
    omission = leave_out(owner, row=row)

    assert learnt().priors("coat")[scenes.CAUSE] == books(scenes.CAUSE) != before
    services.take_in_again(entry_id=uuid.uuid4(), omission=omission, by=owner)
    assert learnt().priors("coat")[scenes.CAUSE] == before


def test_same_tap_twice_is_kept_once(owner):
    alteration, entry_id = taught(), uuid.uuid4()
    for _ in range(2):
        first = leave_out(owner, alteration=alteration, entry_id=entry_id)
    second = leave_out(owner, row=REMEDY)

    assert leave_out(owner, row=REMEDY) == second
    assert set(Omission.objects.all()) == {first, second}


def test_taken_in_twice_is_kept_once(owner):
    omission = leave_out(owner, row=REMEDY)
    taken = [
        services.take_in_again(entry_id=uuid.uuid4(), omission=omission, by=owner) for _ in range(2)
    ]

    assert taken[0] == taken[1]
    assert Omission.objects.count() == 2


def test_alteration_never_judged_cannot_be_left_out(owner):
    with pytest.raises(ValidationError, match="Nothing was learnt"):
        leave_out(owner, alteration=AlterationFactory())


def test_id_of_another_figure_is_refused(owner):
    entry_id = leave_out(owner, row=REMEDY).pk

    with pytest.raises(ValidationError, match="used already"):
        leave_out(owner, row=Row("collar-too-long", kind="coat"), entry_id=entry_id)
