import threading
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from customers.lengths import parse
from customers.numbering import create_numbered
from customers.numbers import tidy
from garments.models import InlayMovement, StageEntry, Ticket
from garments.queries import inlays_of
from garments.services import enter_stage
from tests.factories import GarmentFactory, TicketFactory, UserFactory


def entry(**changed):
    return {"entry_id": uuid.uuid4(), "stage": "basted", "by": UserFactory()} | changed


@pytest.mark.django_db
def test_enter_stage_shows_on_the_garment():
    coat = GarmentFactory(stage="cut")

    kept = enter_stage(**entry(garment=coat, reason="Ready"))

    coat.refresh_from_db()
    assert (coat.stage, coat.stage_since) == ("basted", kept.at)
    assert (kept.garment, kept.reason) == (coat, "Ready")


@pytest.mark.django_db
def test_enter_stage_keeps_the_same_tap_once():
    once = entry(garment=GarmentFactory(stage="cut"))

    assert enter_stage(**once) == enter_stage(**once)
    assert StageEntry.objects.count() == 1


@pytest.mark.django_db
def test_enter_stage_refuses_an_unknown_stage():
    with pytest.raises(ValidationError) as refusal:
        enter_stage(**entry(garment=GarmentFactory(), stage="lost"))

    assert refusal.value.message_dict == {"stage": ["There is no stage called “lost”."]}


@pytest.mark.django_db
def test_create_numbered_starts_at_four_figures():
    first = create_numbered(Ticket, "T", garment=GarmentFactory())

    assert (first.serial, tidy(first.number)) == (1001, first.number)


@pytest.mark.django_db
def test_create_numbered_goes_on_from_the_last():
    last = TicketFactory(serial=4000, number="T4000-X")

    assert create_numbered(Ticket, "T", garment=last.garment).serial > 4000


@pytest.mark.django_db
def test_create_numbered_raises_what_is_not_the_serial():
    taken = TicketFactory()

    with pytest.raises(IntegrityError), transaction.atomic():
        create_numbered(Ticket, "T", garment=taken.garment, form_id=taken.form_id)


def test_create_numbered_by_eight_at_once(either_database):
    coat, numbers, failures = GarmentFactory(), [], []

    def issue():
        try:
            with transaction.atomic():
                numbers.append(create_numbered(Ticket, "T", garment_id=coat.pk).number)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=issue) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failures == []
    assert len(set(numbers)) == 8


@pytest.mark.django_db
def test_inlays_of_a_garment_are_the_sums_of_its_movements():
    coat, by = GarmentFactory(), UserFactory()
    for seam, side, amount, reason in [
        ("side-seam", "L", "1", "left"),
        ("side-seam", "L", "-3/8", "used"),
        ("side-seam", "R", "1", "left"),
        ("centre-back", "", "3/4", "left"),
    ]:
        InlayMovement.objects.create(
            garment=coat, seam=seam, side=side, amount=parse(amount, signed=True),
            reason=reason, by=by,
        )  # fmt: skip
    InlayMovement.objects.create(
        garment=GarmentFactory(), seam="hem", side="L", amount=parse("1"), reason="left", by=by
    )

    assert inlays_of(coat) == {
        ("side-seam", "L"): parse("5/8"),
        ("side-seam", "R"): parse("1"),
        ("centre-back", ""): parse("3/4"),
    }
