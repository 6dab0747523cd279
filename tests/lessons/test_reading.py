import pytest

from fittings import catalogue
from fittings.diagnosis import network_for
from fittings.lessons import reading
from fittings.lessons.queries import alterations_left_out
from fittings.lessons.reading import books_of, cases_before
from tests.factories import (
    AlterationFactory,
    JudgementFactory,
    ObservationFactory,
    OmissionFactory,
)
from tests.lessons import scenes
from tests.lessons.scenes import COLLAR, DAY, taught

pytestmark = pytest.mark.django_db
READING = 4


def cases(**more):
    return [found.case for found in cases_before(DAY, catalogue.load(), **more)]


def test_case_tells_look_cause_and_verdict():
    taught("better", zones=[("collar", COLLAR), "chest"], purpose="forward-fitting")

    (case,) = cases()

    assert (case.kind, case.cause, case.seen) == ("coat", scenes.CAUSE, {COLLAR})
    assert case.clean == {row.key for row in catalogue.load().faults_of("coat", "chest", "forward")}
    assert [(w.operation, w.faults, w.verdict) for w in case.work] == [
        (scenes.OPERATION, {COLLAR}, "better")
    ]


def test_alterations_of_one_cause_are_one_case():
    one = taught("cured")
    (row,) = one.observations.all()
    other = AlterationFactory(garment=one.garment, cause=scenes.CAUSE, operation="raise-neck")
    row.alterations.add(other)
    scenes.judge(other, "same", 10)

    (case,) = cases()

    assert sorted(work.verdict for work in case.work) == ["cured", "same"]


def test_other_cause_of_the_look_stands_beside():
    one = taught("cured")
    (row,) = one.observations.all()
    other = AlterationFactory(garment=one.garment, cause="collar-too-long")
    row.alterations.add(other)
    scenes.judge(other, "same", 10)

    assert {case.cause: case.beside for case in cases()} == {
        scenes.CAUSE: {"collar-too-long"},
        "collar-too-long": {scenes.CAUSE},
    }


def test_overcoat_teaches_as_a_coat():
    taught(kind="overcoat")

    assert [case.kind for case in cases()] == ["coat"]


def test_first_judgement_counts():
    alteration = taught("same", days=20)
    scenes.judge(alteration, "cured", 5)

    assert [work.verdict for case in cases() for work in case.work] == ["same"]


def struck_judgement():
    judgement = taught().judgements.get()
    JudgementFactory(
        alteration=judgement.alteration, fitting=judgement.fitting, strikes=judgement, void=True
    )


def struck_alteration():
    alteration = taught()
    AlterationFactory(garment=alteration.garment, strikes=alteration, void=True)


def struck_observation():
    row = taught().observations.get()
    ObservationFactory(fitting=row.fitting, garment=row.garment, strikes=row, void=True)


def judged_today():
    taught(days=0)


def without_cause():
    taught(cause="")


def answering_nothing():
    scenes.judge(AlterationFactory(cause=scenes.CAUSE), "cured", 5)


@pytest.mark.parametrize(
    "scene",
    [
        struck_judgement,
        struck_alteration,
        struck_observation,
        judged_today,
        without_cause,
        answering_nothing,
    ],
)
def test_nothing_is_learnt_from_it(scene):
    scene()

    assert cases() == []


def test_case_left_out_is_not_read():
    alteration = taught()
    OmissionFactory(alteration=alteration)

    assert cases(left_out=alterations_left_out()) == []


def test_only_the_newest_are_read(monkeypatch):
    monkeypatch.setattr(reading, "NEWEST_JUDGED", 2)
    for verdict, days in (("same", 30), ("better", 20), ("cured", 10)):
        taught(verdict, days=days)

    assert [work.verdict for case in cases() for work in case.work] == ["better", "cured"]


@pytest.mark.parametrize("count", [1, 3, 10])
def test_reading_asks_a_fixed_number_of_questions(count, django_assert_num_queries):
    for days in range(count):
        taught(days=days + 1)

    with django_assert_num_queries(READING):
        assert len(cases()) == count


@pytest.mark.parametrize("kind", ["coat", "waistcoat", "trousers"])
def test_books_are_the_network_of_the_diagnosis(kind):
    book, network = books_of(catalogue.load())[kind], network_for(catalogue.load(), kind)

    assert book.priors == pytest.approx(network.priors)
    assert book.links == {link: q for link, q in network.links.items() if ":" not in link[1]}
    assert book.leaks == {fault: p for fault, p in network.leaks.items() if ":" not in fault}
