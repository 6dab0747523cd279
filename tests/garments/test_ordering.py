import datetime
import threading
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.utils import timezone

from customers.numbers import tidy
from customers.versions import ChangedMeanwhileError
from garments.models import Garment, InlayMovement
from garments.queries import inlays_of
from garments.seams import normal_inlays
from garments.services import order_garment, update_garment
from tests.factories import CustomerFactory, CutVersionFactory, GarmentFactory, UserFactory


def order(**changed):
    kind = changed.get("kind", "coat")
    values = {
        "form_id": uuid.uuid4(),
        "customer": changed.get("customer") or CustomerFactory(),
        "kind": kind,
        "cut_version": changed.get("cut_version") or CutVersionFactory(cut__kind=kind),
        "cloth": "Grey worsted, 11 oz",
        "cloth_pattern": "plain",
        "cutter": changed.get("cutter") or UserFactory(),
        "promised_on": timezone.localdate() + datetime.timedelta(days=60),
        "notes": "",
        "by": changed.get("by") or UserFactory(),
    }
    return values | changed


@pytest.mark.django_db
def test_order_garment_enters_its_first_stage():
    by = UserFactory()

    coat = order_garment(**order(by=by))

    (entry,) = coat.stage_entries.all()
    assert (coat.stage, coat.stage_since) == ("ordered", entry.at)
    assert (entry.stage, entry.by) == ("ordered", by)
    assert (coat.serial, tidy(coat.number)) == (1001, coat.number)


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["coat", "waistcoat", "trousers", "overcoat"])
def test_order_garment_leaves_the_normal_inlays(kind):
    garment = order_garment(**order(kind=kind))

    assert inlays_of(garment) == normal_inlays(kind)
    assert set(garment.inlay_movements.values_list("reason", flat=True)) == {"left"}


@pytest.mark.django_db
def test_order_garment_keeps_the_same_form_once():
    once = order()

    assert order_garment(**once) == order_garment(**once)
    assert Garment.objects.count() == 1
    assert InlayMovement.objects.count() == len(normal_inlays("coat"))


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changed", "field", "message"),
    [
        ({"promised_on": datetime.date(2020, 1, 1)}, "promised_on", "That day is gone by"),
        ({"promised_on": datetime.date(2199, 1, 1)}, "promised_on", "more than five years"),
        ({"cloth": "  "}, "cloth", "This field cannot be blank."),
        ({"cloth": "x" * 121}, "cloth", "at most 120 characters"),
        ({"cloth_pattern": "tartan"}, "cloth_pattern", "not a valid choice"),
    ],
)
def test_order_garment_refuses_what_cannot_be(changed, field, message):
    with pytest.raises(ValidationError) as refusal:
        order_garment(**order(**changed))

    assert message in refusal.value.message_dict[field][0]
    assert Garment.objects.count() == 0


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("cut", "message"),
    [
        (
            {"cut__kind": "trousers", "cut__name": "Long"},
            "Long is not a cut for this kind of garment.",
        ),
        ({"cut__retired": True, "cut__name": "Old"}, "Old is laid aside: choose a cut in use."),
    ],
)
def test_order_garment_refuses_a_cut_not_on_offer(cut, message):
    with pytest.raises(ValidationError) as refusal:
        order_garment(**order(cut_version=CutVersionFactory(**cut)))

    assert refusal.value.message_dict == {"cut_version": [message]}


@pytest.mark.django_db
def test_order_garment_is_promised_for_today():
    today = timezone.localdate()

    assert order_garment(**order(promised_on=today)).promised_on == today


def test_order_garment_by_six_at_once(either_database):
    orders = [order() for _ in range(6)]
    numbers, failures = [], []

    def take(values):
        try:
            numbers.append(order_garment(**values).number)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=take, args=[values]) for values in orders]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failures == []
    assert len(set(numbers)) == 6


def test_order_garment_sent_thrice_at_once_is_kept_once(either_database):
    once = order()
    numbers, failures = [], []

    def take():
        try:
            numbers.append(order_garment(**once).number)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=take) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failures == []
    assert (len(numbers), len(set(numbers)), Garment.objects.count()) == (3, 1, 1)


@pytest.mark.django_db
def test_update_garment_writes_and_counts_the_version():
    coat, cutter = GarmentFactory(), UserFactory()

    update_garment(
        garment=coat, version=1, values={"cloth": "Navy serge", "cutter": cutter}, by=cutter
    )

    coat.refresh_from_db()
    assert (coat.cloth, coat.cutter, coat.version) == ("Navy serge", cutter, 2)


@pytest.mark.django_db
def test_update_garment_refuses_an_old_version():
    coat = GarmentFactory(version=3)

    with pytest.raises(ChangedMeanwhileError) as refusal:
        update_garment(garment=coat, version=2, values={"cloth": "Navy"}, by=UserFactory())

    assert refusal.value.row.cloth == "Grey worsted, 11 oz"


@pytest.mark.django_db
def test_update_garment_leaves_a_stage_entered_meanwhile():
    coat = GarmentFactory()
    Garment.objects.filter(pk=coat.pk).update(stage="basted")

    update_garment(garment=coat, version=1, values={"notes": "Ticket pocket"}, by=UserFactory())

    assert Garment.objects.get(pk=coat.pk).stage == "basted"


@pytest.mark.django_db
def test_update_garment_keeps_a_promise_already_late():
    late = datetime.date(2020, 1, 1)
    coat = GarmentFactory(promised_on=late)

    update_garment(
        garment=coat, version=1, values={"promised_on": late, "notes": "Late"}, by=UserFactory()
    )

    coat.refresh_from_db()
    assert (coat.promised_on, coat.notes) == (late, "Late")


@pytest.mark.django_db
def test_update_garment_keeps_the_cut_once_cut():
    coat, other = GarmentFactory(stage="cut"), CutVersionFactory()

    with pytest.raises(ValidationError) as refusal:
        update_garment(garment=coat, version=1, values={"cut_version": other}, by=UserFactory())

    assert refusal.value.message_dict == {
        "cut_version": ["It is cut already: the cut it was cut by stays."]
    }
