"""The owner's rule of keeping: what is due, and nothing by itself unless the owner says so."""

import datetime
import io
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.utils import timezone

from customers.models import Consent, Customer
from fittings.models import Erasure, Photograph, PhotographDeletion, RetentionRule
from fittings.privacy import keeping
from tests.factories import (
    BookingFactory,
    ConsentFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    MeasurementSetFactory,
    StageEntryFactory,
)
from tests.privacy.person import NAME

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2032, 2, 29, 12, tzinfo=datetime.UTC)
LONG_AGO = datetime.datetime(2026, 1, 5, 12, tzinfo=datetime.UTC)
LATELY = datetime.datetime(2031, 1, 5, 12, tzinfo=datetime.UTC)


@pytest.fixture
def set_rule(owner, data):
    def keep(*, years=3, photograph_months=None, alone=False):
        values = {"years": years, "photograph_months": photograph_months, "alone": alone}
        return keeping.keep_rule(entry_id=uuid.uuid4(), by=owner, **values)

    return keep


def old(**values):
    return CustomerFactory(created_at=LONG_AGO, **values)


def due():
    return list(keeping.people_due(keeping.rule(), NOW))


def test_without_a_rule_nobody_is_due(owner):
    old()

    assert (keeping.rule(), due()) == (None, [])


def test_who_was_not_seen_for_the_years_is_due(set_rule):
    set_rule()
    gone = old()
    CustomerFactory(created_at=LATELY)

    assert due() == [gone]


def _entry(customer):
    StageEntryFactory(garment__customer=customer, garment__stage="delivered", at=LATELY)


@pytest.mark.parametrize(
    "happen",
    [
        _entry,
        lambda customer: FittingFactory(customer=customer, started_at=LATELY),
        lambda customer: BookingFactory(customer=customer, starts_at=LATELY),
        lambda customer: MeasurementSetFactory(customer=customer, at=LATELY),
        lambda customer: ConsentFactory(customer=customer, at=LATELY),
        lambda customer: GarmentFactory(customer=customer, stage="ordered"),
    ],
)
def test_whatever_happened_since_keeps_a_person(set_rule, happen):
    set_rule()
    happen(old())

    assert due() == []


def test_newest_rule_holds_and_the_old_one_stays_readable(set_rule, owner):
    set_rule(years=3)
    held = set_rule(years=None)
    old()

    assert (keeping.rule(), due(), RetentionRule.objects.count()) == (held, [], 2)


@pytest.mark.parametrize("years", [0, 101])
def test_rule_out_of_bounds_is_refused(set_rule, years):
    with pytest.raises(ValidationError):
        set_rule(years=years)


def test_rule_sent_twice_is_kept_once(owner):
    values = {"entry_id": uuid.uuid4(), "years": 5, "photograph_months": None, "alone": False}

    assert keeping.keep_rule(**values, by=owner) == keeping.keep_rule(**values, by=owner)


def test_months_end_on_the_months_last_day(set_rule):
    assert keeping._before(NOW, 12) == NOW.replace(year=2031, day=28)
    assert keeping._before(NOW, 2) == NOW.replace(year=2031, month=12, day=29)


def test_timer_does_nothing_unless_the_owner_says_so(set_rule):
    set_rule(photograph_months=1)
    old()

    assert keeping.apply_rule(NOW) == keeping.Kept([], [], 0)
    assert Erasure.objects.count() == 0


def test_timer_erases_in_the_name_of_who_set_the_rule(set_rule, owner):
    set_rule(alone=True)
    gone = old()

    assert keeping.apply_rule(NOW).erased == [gone.number]
    erasure = Erasure.objects.get()
    assert (erasure.by, erasure.reason) == (owner, "kept-long-enough")


def test_timer_leaves_what_is_open_and_says_so(set_rule):
    set_rule(alone=True)
    left = old()
    BookingFactory(customer=left, starts_at=LONG_AGO)

    done = keeping.apply_rule(NOW)

    assert (done.erased, [line.partition(":")[0] for line in done.left]) == ([], [left.number])
    assert Customer.objects.get(pk=left.pk).erased_at is None


def test_photographs_go_sooner_than_people(person, set_rule, owner):
    set_rule(years=50, photograph_months=6)
    taken = Photograph.objects.get(deletion=None, void=False)

    assert list(keeping.photographs_due(keeping.rule(), NOW)) == [taken]
    assert keeping.drop_photographs(entry_id=uuid.uuid4(), now=NOW, by=owner) == 1
    assert not taken.image.storage.exists(taken.image.name)
    assert PhotographDeletion.objects.filter(photograph=taken).count() == 1


def test_photographs_of_garments_in_work_stay(person, set_rule):
    set_rule(photograph_months=6)
    garment = person.garments.get()
    type(garment).objects.filter(pk=garment.pk).update(stage="altering")

    assert keeping.photographs_due(keeping.rule(), NOW).count() == 0


def test_command_lists_and_does_nothing_on_a_dry_run(set_rule, capsys):
    set_rule(years=3, alone=True)
    gone = CustomerFactory(created_at=timezone.now() - datetime.timedelta(days=2000))

    said = io.StringIO()
    call_command("keep_privacy", "--dry-run", stdout=said)

    assert said.getvalue() == f"Due by the rule: 1 people, 0 photographs. {gone.number}\n"
    assert Erasure.objects.count() == 0


def test_command_erases_what_is_due(set_rule):
    set_rule(years=3, alone=True)
    CustomerFactory(created_at=timezone.now() - datetime.timedelta(days=2000), family_name=NAME)

    said = io.StringIO()
    call_command("keep_privacy", stdout=said)

    assert "Erased: 1. Photographs deleted: 0." in said.getvalue().splitlines()
    assert not Customer.objects.filter(family_name=NAME).exists()
    assert Consent.objects.count() == 0
