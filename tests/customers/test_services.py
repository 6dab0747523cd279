import datetime
import threading
import uuid
from functools import partial

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from customers.lengths import Length
from customers.models import Consent, Customer, House, MeasurementSet
from customers.numbers import tidy
from customers.services import (
    record_consent,
    register_customer,
    save_measurement_set,
    update_customer,
    update_house,
)
from customers.versions import ChangedMeanwhileError
from tests.factories import CustomerFactory, GarmentFactory, MeasurementSetFactory, UserFactory

CHEST = {("chest", ""): Length.inches(38)}


def registered(**values):
    given = {"given_name": "Ida", "family_name": "Lark", **values}
    return {"form_id": uuid.uuid4(), "values": given, "by": UserFactory()}


@pytest.fixture
def taken(db):
    """What save_measurement_set is told, ready to be varied."""
    hand = UserFactory()
    return {
        "entry_id": uuid.uuid4(),
        "customer": CustomerFactory(),
        "taken_on": datetime.date(2026, 1, 5),
        "taken_by": hand,
        "unit": "in",
        "measures": CHEST,
        "by": hand,
    }


@pytest.mark.django_db
def test_register_customer_gives_a_readable_number():
    customer = register_customer(**registered(phone="+44 1632 960 101"))

    assert tidy(customer.number) == customer.number
    assert (customer.search_name, customer.search_phone) == (" ida lark", "441632960101")


@pytest.mark.django_db
def test_register_customer_twice_from_one_form_keeps_one():
    form = registered()

    first, second = register_customer(**form), register_customer(**form)

    assert (first.pk, Customer.objects.count()) == (second.pk, 1)


def all_at_once(*tasks):
    """Run each in a thread with a connection of its own; what they raised."""
    failures = []

    def run(task):
        try:
            task()
        except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[task]) for task in tasks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return failures


def test_register_customer_by_many_at_once_gives_each_a_number(either_database):
    hand, form_id = UserFactory(), uuid.uuid4()
    forms = [form_id, form_id, *(uuid.uuid4() for _ in range(6))]
    register = partial(register_customer, values={"family_name": "Lark"}, by=hand)

    failures = all_at_once(*(partial(register, form_id=form) for form in forms))

    assert failures == []
    assert len(set(Customer.objects.values_list("serial", flat=True))) == 7


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("family_name", ""),
        ("family_name", "<script>alert(1)</script>"),
        ("given_name", "a\x00b"),
        ("family_name", "x" * 61),
        ("phone", "ring me"),
        ("email", "not an address"),
        ("unit", "ell"),
    ],
)
def test_register_customer_refuses_what_no_customer_has(field, value):
    with pytest.raises(ValidationError) as refusal:
        register_customer(**registered(**{field: value}))

    assert list(refusal.value.message_dict) == [field]
    assert Customer.objects.count() == 0


@pytest.mark.django_db
def test_update_customer_refuses_an_older_version():
    customer, hand = CustomerFactory(family_name="Lark"), UserFactory()
    mine = Customer.objects.get(pk=customer.pk)
    update_customer(customer=customer, version=1, values={"family_name": "Rook"}, by=hand)

    with pytest.raises(ChangedMeanwhileError) as clash:
        update_customer(customer=mine, version=1, values={"family_name": "Wren"}, by=hand)

    assert clash.value.row.family_name == "Rook"
    assert Customer.objects.get().search_name == " tobiah rook"


@pytest.mark.django_db
def test_update_house_counts_versions_up():
    house = House.get()

    update_house(house=house, version=1, values={"name": "Weir & Daughter"}, by=UserFactory())

    assert (House.get().name, House.get().version) == ("Weir & Daughter", 2)


@pytest.mark.django_db
def test_house_cannot_close_before_it_opens_even_by_sql():
    with pytest.raises(DatabaseError), transaction.atomic():
        House.objects.update(opens="18:00", closes="09:00")


@pytest.fixture
def consent(db):
    return {
        "entry_id": uuid.uuid4(),
        "customer": CustomerFactory(),
        "kind": "publicity",
        "given": False,
        "given_on": datetime.date(2026, 1, 5),
        "wording": "No pictures in the window.",
        "by": UserFactory(),
    }


def test_record_consent_sent_twice_is_kept_once(consent):
    first, second = record_consent(**consent), record_consent(**consent)

    assert (first, str(first)) == (second, "refused photographs shown to others")
    assert Consent.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("given_on", timezone.localdate() + datetime.timedelta(days=1)),
        ("given_on", datetime.date(1, 1, 1)),
        ("kind", "everything"),
        ("wording", " "),
    ],
)
def test_record_consent_refuses_beside_the_field(consent, field, value):
    with pytest.raises(ValidationError) as refusal:
        record_consent(**{**consent, field: value})

    assert list(refusal.value.message_dict) == [field]
    assert Consent.objects.count() == 0


def test_set_is_kept_whole_with_both_readings(taken):
    second = {("chest", ""): Length.inches(38.125)}

    kept = save_measurement_set(**taken, second=second, note=" stood still ")

    rows = list(kept.measurements.values_list("point", "side", "reading", "value"))
    assert rows == [
        ("chest", "", 1, Length.inches(38)),
        ("chest", "", 2, Length.inches(38.125)),
    ]
    assert (kept.note, kept.lengths()) == ("stood still", CHEST)


def test_set_sent_twice_is_kept_once(taken):
    first, second = save_measurement_set(**taken), save_measurement_set(**taken)

    assert (first, MeasurementSet.objects.count()) == (second, 1)
    assert first.measurements.count() == 1


def test_set_id_of_someone_else_is_refused(taken):
    save_measurement_set(**taken)

    with pytest.raises(ValidationError, match="already used by someone else"):
        save_measurement_set(**{**taken, "by": UserFactory()})


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("measures", {}, "Take at least one measure before keeping the set."),
        ("measures", {("ear", ""): Length.inches(3)}, "There is no measure “ear ”."),
        ("measures", {("chest", "L"): Length.inches(3)}, "There is no measure “chest L”."),
        ("measures", {("chest", ""): Length()}, "A measure is more than nothing."),
        ("second", {("waist", ""): Length.inches(3)}, "A second reading needs its first."),
        ("unit", "ell", "Measure in inches or in centimetres."),
        (
            "taken_on",
            timezone.localdate() + datetime.timedelta(days=1),
            "That day has not come yet.",
        ),
        (
            "taken_on",
            datetime.date(1026, 1, 5),
            "That is more than a hundred years ago: look at the year.",
        ),
    ],
)
def test_set_that_cannot_be_is_refused_whole(taken, field, value, message):
    with pytest.raises(ValidationError) as refusal:
        save_measurement_set(**{**taken, field: value})

    assert refusal.value.messages == [message]
    assert MeasurementSet.objects.count() == 0


def test_correction_strikes_the_old_set(taken):
    old = save_measurement_set(**taken)

    new = save_measurement_set(**{**taken, "entry_id": uuid.uuid4(), "corrects": old})

    assert list(MeasurementSet.objects.standing()) == [new]
    assert MeasurementSet.objects.get(pk=old.pk).struck_by == new


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (
            lambda old: GarmentFactory(measurement_set=old, customer=old.customer),
            "A garment was cut from that set, so it stays as it is. Take a new set instead.",
        ),
        (
            lambda old: MeasurementSetFactory(strikes=old, customer=old.customer),
            "That set was corrected already: correct the newer one.",
        ),
    ],
)
def test_correction_is_refused_once_set_is_used(taken, spoil, message):
    old = save_measurement_set(**taken)
    spoil(old)

    with pytest.raises(ValidationError) as refusal:
        save_measurement_set(**{**taken, "entry_id": uuid.uuid4(), "corrects": old})

    assert refusal.value.messages == [message]


def test_set_sent_by_many_at_once_is_kept_once(either_database):
    hand, customer = UserFactory(), CustomerFactory()
    day, entry_id = datetime.date(2026, 1, 5), uuid.uuid4()
    save = partial(
        save_measurement_set, customer=customer, taken_on=day, taken_by=hand, unit="in",
        measures=CHEST, by=hand,
    )  # fmt: skip

    failures = all_at_once(*[partial(save, entry_id=entry_id)] * 8)

    assert failures == []
    assert MeasurementSet.objects.get().lengths() == CHEST


def test_set_corrected_by_many_at_once_is_corrected_once(either_database):
    hand, old = UserFactory(), MeasurementSetFactory()
    day = datetime.date(2026, 1, 5)
    save = partial(
        save_measurement_set, customer=old.customer, taken_on=day, taken_by=hand, unit="in",
        measures=CHEST, by=hand, corrects=old,
    )  # fmt: skip

    failures = all_at_once(*(partial(save, entry_id=uuid.uuid4()) for _ in range(8)))

    assert {type(error) for error in failures} == {ValidationError}
    assert (len(failures), MeasurementSet.objects.standing().count()) == (7, 1)


def test_correction_of_another_customers_set_is_refused(taken):
    theirs = MeasurementSetFactory()

    with pytest.raises(ValidationError, match="belongs to another customer"):
        save_measurement_set(**taken, corrects=theirs)


def test_database_itself_freezes_a_set_cut_from(either_database):
    old = MeasurementSetFactory()
    GarmentFactory(measurement_set=old, customer=old.customer)

    with pytest.raises(DatabaseError, match="a garment was cut from the set"), transaction.atomic():
        MeasurementSetFactory(strikes=old, customer=old.customer)

    assert MeasurementSet.objects.get() == old


def test_database_lets_an_unused_set_be_struck(either_database):
    old = MeasurementSetFactory()

    MeasurementSetFactory(strikes=old, customer=old.customer)

    assert MeasurementSet.objects.count() == 2
