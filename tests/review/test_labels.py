import datetime
from dataclasses import replace

import pytest

from fittings.catalogue import Change, Link, load
from fittings.housebook.queries import HouseBook, one_book
from fittings.review.asking import By
from fittings.review.labels import fault_name, name_groups
from tests.factories import CutVersionFactory, UserFactory

JANUARY, MARCH, DECEMBER = (datetime.date(2026, month, 1) for month in (1, 3, 12))


@pytest.fixture(autouse=True)
def shipped_book():
    """These go by the catalogue as shipped, and ask no database for it."""
    with one_book(HouseBook(load())):
        yield


def test_months_without_a_delivery_are_named_too():
    assert list(name_groups(By.MONTH, {MARCH, JANUARY}).values()) == [
        "2026-01",
        "2026-02",
        "2026-03",
    ]


def test_quarters_run_over_the_year():
    names = name_groups(By.QUARTER, {datetime.date(2025, 10, 1), datetime.date(2026, 4, 1)})

    assert list(names.values()) == ["2025 quarter 4", "2026 quarter 1", "2026 quarter 2"]


@pytest.mark.parametrize("by", By)
@pytest.mark.django_db
def test_no_groups_have_no_names(by):
    assert name_groups(by, set()) == {}


@pytest.mark.django_db
def test_two_cutters_of_one_name_stay_apart():
    one, two = (UserFactory(first_name="Ann", last_name="Weir") for _ in range(2))
    nameless = UserFactory(first_name="", last_name="", username="bench")

    assert name_groups(By.CUTTER, {one.pk, two.pk, nameless.pk}) == {
        one.pk: f"Ann Weir ({one.username})",
        two.pk: f"Ann Weir ({two.username})",
        nameless.pk: "bench",
    }


@pytest.mark.django_db
def test_cut_is_named_with_version_and_kind():
    version = CutVersionFactory(cut__name="Long roll", cut__kind="trousers", version=4)

    assert name_groups(By.CUT, {version.pk}) == {version.pk: "Long roll 4 (trousers)"}


def test_fault_is_named_with_garment_and_zone():
    assert fault_name("collar-stands-off") == "Coat, collar: Stands off the neck"


def test_fault_no_longer_in_the_catalogue_keeps_its_key():
    assert fault_name("gone-since") == "gone-since"


def test_retired_fault_is_named_apart_from_a_new_one():
    old = load().fault("collar-stands-off")
    twin = replace(old, key="house-stands-off", source="house: Ann Weir")
    link = Link(cause="collar-too-long", fault=twin.key, strength="usually", source=twin.source)
    book = load().with_changes([Change(old, retired=True), Change(twin), Change(link)])

    with one_book(HouseBook(book)):
        names = [fault_name(old.key), fault_name(twin.key)]

    assert names == [
        "Coat, collar: Stands off the neck (retired)",
        "Coat, collar: Stands off the neck",
    ]


def test_no_two_faults_of_the_catalogue_share_a_name():
    names = [fault_name(fault.key) for fault in load().faults]

    assert len(set(names)) == len(names)
