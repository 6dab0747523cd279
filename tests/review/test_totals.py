import datetime

import pytest

from fittings.models import Fitting
from fittings.review.asking import Asked, By
from fittings.review.facts import first_faults
from fittings.review.totals import by_group
from tests.factories import (
    CutVersionFactory,
    FittingFactory,
    GarmentFactory,
    ObservationFactory,
    RemakeFactory,
    StageEntryFactory,
    UserFactory,
)
from tests.review.counted import cures, fittings, remakes, returns, still_watched
from tests.review.scenes import NOW, altered, cut_again, delivered, judged, noon, reach

pytestmark = pytest.mark.django_db

FIRST_HALF = Asked(since=datetime.date(2026, 1, 1), until=datetime.date(2026, 6, 30), by=By.KIND)


def asked(**changes):
    return Asked(**{"since": FIRST_HALF.since, "until": FIRST_HALF.until, "by": By.KIND, **changes})


# -- remakes ---------------------------------------------------------------------------------------


def test_remakes_count_whole_and_piece_among_all_gone():
    delivered()
    cut_again()
    RemakeFactory(replaces=delivered(), garment=None, piece="left forepart", at=noon("2026-03-01"))

    assert remakes(FIRST_HALF, NOW) == {"coat": (2, 3)}


def test_remakes_count_a_garment_once_however_often():
    coat = delivered()
    RemakeFactory(replaces=coat, garment=None, piece="left forepart", at=noon("2026-03-01"))
    RemakeFactory(replaces=coat, garment=None, piece="right forepart", at=noon("2026-03-01"))

    assert remakes(FIRST_HALF, NOW) == {"coat": (1, 1)}


@pytest.mark.parametrize(
    ("gone", "again", "counts"),
    [
        ("2026-04-01", "2026-04-09", (1, 1)),
        ("2026-04-02", "2026-04-09", None),
        ("2026-02-10", "2026-05-11", (1, 1)),
        ("2026-02-10", "2026-05-12", (0, 1)),
    ],
)
def test_remake_counts_only_within_its_ninety_days(gone, again, counts):
    RemakeFactory(replaces=delivered(gone), garment=None, piece="collar", at=noon(again))

    assert remakes(FIRST_HALF, NOW) == ({"coat": counts} if counts else {})


def test_remakes_leave_out_garments_in_work():
    RemakeFactory(replaces=GarmentFactory(), garment=None, piece="collar")

    assert remakes(FIRST_HALF, NOW) == {}


def test_remakes_leave_out_what_was_struck():
    coat = delivered()
    wrong = RemakeFactory(replaces=coat, garment=None, piece="collar", at=noon("2026-03-01"))
    RemakeFactory(
        replaces=coat, garment=None, piece="collar", at=noon("2026-03-01"), strikes=wrong, void=True
    )

    assert remakes(FIRST_HALF, NOW) == {"coat": (0, 1)}


def test_remake_after_delivery_counts_on_first_day_gone():
    coat = delivered("2025-12-31")
    reach(coat, "returned", "2026-01-20")
    reach(coat, "remade", "2026-02-01")
    RemakeFactory(replaces=coat, at=noon("2026-02-01"))

    assert remakes(FIRST_HALF, NOW) == {}
    assert remakes(asked(since=datetime.date(2025, 12, 31)), NOW) == {"coat": (1, 1)}


# -- returns ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("back", "hits"),
    [(None, 0), ("2026-02-10", 1), ("2026-05-11", 1), ("2026-05-12", 0), ("2026-02-09", 0)],
)
def test_return_counts_only_within_ninety_days(back, hits):
    delivered("2026-02-10", back=back)

    assert returns(FIRST_HALF, NOW) == {"coat": (hits, 1)}


def test_return_twice_and_second_delivery_count_once():
    coat = delivered("2026-02-10", back="2026-02-20")
    reach(coat, "delivered", "2026-03-01")
    reach(coat, "returned", "2026-03-10")

    assert returns(FIRST_HALF, NOW) == {"coat": (1, 1)}


def test_garment_still_watched_counts_neither_way():
    delivered("2026-04-02")
    delivered("2026-04-01", back="2026-04-09")
    delivered("2026-06-01", back="2026-06-02")

    assert returns(FIRST_HALF, NOW) == {"coat": (1, 1)}
    assert still_watched(FIRST_HALF, NOW) == 2


def test_hits_of_garments_still_watched_wait_with_them():
    for day in ("2026-04-01", "2026-04-02"):
        coat = delivered(day, back="2026-04-09")
        RemakeFactory(replaces=coat, garment=None, piece="collar", at=noon("2026-04-10"))

    assert returns(FIRST_HALF, NOW) == {"coat": (1, 1)}
    assert remakes(FIRST_HALF, NOW) == {"coat": (1, 1)}


def test_delivery_struck_out_does_not_count():
    coat = delivered("2026-02-10", back="2026-02-12")
    reach(coat, "delivered", "2026-02-10", strikes=coat.stage_entries.first(), void=True)

    assert returns(FIRST_HALF, NOW) == {}


def test_return_struck_out_does_not_count():
    coat = delivered("2026-02-10", back="2026-02-12")
    wrong = coat.stage_entries.get(stage="returned")
    reach(coat, "returned", "2026-02-12", strikes=wrong, void=True)

    assert returns(FIRST_HALF, NOW) == {"coat": (0, 1)}


# -- cures -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("verdict", "hits"), [("cured", 1), ("better", 0), ("same", 0), ("worse", 0)]
)
def test_cure_is_the_verdict_cured_alone(verdict, hits):
    altered(verdict)

    assert cures(FIRST_HALF) == {"coat": (hits, 1)}


def test_cure_counts_the_first_look_alone():
    later_cured = altered("same", "2026-03-02")
    judged(later_cured, "cured", "2026-03-16")
    later_worse = altered("cured", "2026-03-02")
    judged(later_worse, "worse", "2026-03-16")

    assert cures(FIRST_HALF) == {"coat": (1, 2)}


def test_cure_looked_at_before_the_days_is_not_theirs():
    judged(altered("same", "2025-12-30"), "cured", "2026-01-10")

    assert cures(FIRST_HALF) == {}


def test_cure_counts_the_corrected_verdict():
    alteration = altered("cured", "2026-03-02")
    wrong = alteration.judgements.get()
    judged(alteration, "worse", "2026-03-02", strikes=wrong)

    assert cures(FIRST_HALF) == {"coat": (0, 1)}


def test_cure_leaves_out_alterations_struck_out():
    alteration = altered("cured")
    type(alteration).objects.create(
        garment=alteration.garment, by=alteration.by, strikes=alteration, void=True
    )

    assert cures(FIRST_HALF) == {}


# -- fittings --------------------------------------------------------------------------------------


def test_fittings_count_up_to_first_delivery_only():
    coat = delivered("2026-02-10", fittings=["2026-01-10", "2026-02-01", "2026-02-10"])
    after = FittingFactory(garments=[coat], started_at=noon("2026-03-01"))
    reach(coat, "delivered", "2026-03-01")

    assert Fitting.objects.filter(garments=coat).count() == 4
    assert after.started_at > coat.stage_entries.first().at
    assert fittings(FIRST_HALF, NOW) == {"coat": (1, 3, 9)}


def test_fittings_leave_measuring_out():
    coat = delivered("2026-02-10", fittings=["2026-01-10"])
    FittingFactory(garments=[coat], started_at=noon("2026-01-02"), purpose="measure")

    assert fittings(FIRST_HALF, NOW) == {"coat": (1, 1, 1)}


def test_fittings_sum_over_garments_with_their_squares():
    delivered(fittings=["2026-01-10", "2026-01-20"])
    delivered(fittings=["2026-01-10", "2026-01-15", "2026-01-20"])
    delivered()
    delivered(kind="trousers", fittings=["2026-01-10"])

    assert fittings(FIRST_HALF, NOW) == {"coat": (3, 5, 13), "trousers": (1, 1, 1)}


# -- groups and filters ----------------------------------------------------------------------------


def test_groups_by_cutter_and_by_cut_version():
    cutter, version = UserFactory(), CutVersionFactory(version=3)
    delivered(cutter=cutter, cut_version=version)

    assert remakes(asked(by=By.CUTTER), NOW) == {cutter.pk: (0, 1)}
    assert remakes(asked(by=By.CUT), NOW) == {version.pk: (0, 1)}


def test_groups_by_month_and_quarter_of_the_day_counted():
    delivered("2026-01-05")
    delivered("2026-02-05", back="2026-02-08")
    delivered("2026-02-25")

    months = {datetime.date(2026, 1, 1): (0, 1), datetime.date(2026, 2, 1): (1, 2)}
    assert returns(asked(by=By.MONTH), NOW) == months
    assert returns(asked(by=By.QUARTER), NOW) == {datetime.date(2026, 1, 1): (1, 3)}


def test_groups_by_fault_count_a_garment_once_in_each():
    coat = delivered("2026-02-10", fittings=["2026-01-10", "2026-01-20"], fault="collar-stands-off")
    ObservationFactory(fitting=coat.fittings.first(), garment=coat, fault="tight-scye")
    ObservationFactory(fitting=coat.fittings.first(), garment=coat, fault="")
    delivered("2026-02-10", fittings=["2026-01-10"], fault="tight-scye")

    faults = asked(by=By.FAULT)
    assert remakes(faults, NOW) == {"collar-stands-off": (0, 1), "tight-scye": (0, 2)}
    assert fittings(faults, NOW) == {
        "collar-stands-off": (1, 2, 4),
        "tight-scye": (2, 3, 5),
    }


def test_fault_seen_only_after_delivery_does_not_group():
    coat = delivered("2026-02-10", back="2026-02-20")
    look = FittingFactory(garments=[coat], started_at=noon("2026-02-20"))
    ObservationFactory(fitting=look, garment=coat, fault="tight-scye")

    assert returns(asked(by=By.FAULT), NOW) == {}


def test_fault_struck_out_does_not_group():
    coat = delivered("2026-02-10", fittings=["2026-01-10"], fault="tight-scye")
    wrong = coat.observations.get()
    ObservationFactory(fitting=wrong.fitting, garment=coat, strikes=wrong, void=True)

    assert remakes(asked(by=By.FAULT), NOW) == {}


def test_first_fault_by_fault_is_that_fault_among_all_tried_on():
    for fault in ("tight-scye", "tight-scye", "collar-gap", ""):
        delivered("2026-02-10", fittings=["2026-01-10"], fault=fault)
    delivered("2026-03-10", fittings=["2026-03-05"], fault="collar-gap")

    found = first_faults(asked(by=By.FAULT))

    assert by_group(found) == {"tight-scye": (2, 5), "collar-gap": (2, 5)}


def test_cures_by_fault_follow_what_the_alteration_answered():
    altered("cured", fault="tight-scye")
    altered("same", fault="tight-scye")
    altered("cured")

    assert cures(asked(by=By.FAULT)) == {"tight-scye": (1, 2)}


@pytest.mark.parametrize(
    ("utc", "counted"),
    [
        ("2026-05-31T22:59", 0),
        ("2026-05-31T23:00", 1),
        ("2026-06-01T22:59", 1),
        ("2026-06-01T23:00", 0),
    ],
)
def test_day_asked_is_a_summer_day_of_the_house(utc, counted):
    StageEntryFactory(stage="delivered", at=datetime.datetime.fromisoformat(f"{utc}+00:00"))
    first = datetime.date(2026, 6, 1)

    found = remakes(asked(since=first, until=first), NOW + datetime.timedelta(days=365))

    assert found == ({"coat": (0, 1)} if counted else {})


@pytest.mark.parametrize("name", ["cutter", "cut", "kind"])
def test_filter_keeps_the_garments_asked_for(name):
    mine = delivered(kind="trousers")
    delivered()
    altered("cured")
    value = {"cutter": mine.cutter, "cut": mine.cut_version, "kind": "trousers"}[name]

    only = asked(**{name: value})

    assert remakes(only, NOW) == {"trousers": (0, 1)}
    assert fittings(only, NOW) == {"trousers": (1, 0, 0)}
    assert cures(only) == {}
