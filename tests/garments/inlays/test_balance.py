"""Never less than nothing in a seam: the database refuses it, whoever writes."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import IntegrityError, close_old_connections, connection

from customers.lengths import Length, parse
from garments.models import Garment, InlayMovement
from garments.queries import inlays_of
from tests.factories import GarmentFactory, UserFactory

CLIENTS = 32


@pytest.fixture
def coat(either_database):
    coat = GarmentFactory()
    move(coat, "1/2", UserFactory(), reason="left")
    return coat


def move(garment, amount, by, *, reason="used", seam="side-seam", **more):
    value = parse(amount.lstrip("-")) * (-1 if amount.startswith("-") else 1)
    return InlayMovement.objects.create(
        garment=garment, seam=seam, side="L", amount=value, reason=reason, by=by, **more
    )


def test_more_than_there_is_is_refused(coat):
    by = UserFactory()
    move(coat, "-3/8", by)

    with pytest.raises(IntegrityError, match="less than nothing in a seam"):
        move(coat, "-1/4", by)

    assert inlays_of(coat)["side-seam", "L"] == parse("1/8")


def test_all_that_there_is_may_be_used(coat):
    move(coat, "-1/2", UserFactory())

    assert inlays_of(coat)["side-seam", "L"] == Length(0)


def test_other_seam_and_other_garment_lend_nothing(coat):
    by, other = UserFactory(), GarmentFactory()
    move(other, "2", by, reason="left")
    move(coat, "2", by, reason="left", seam="centre-back")

    with pytest.raises(IntegrityError, match="less than nothing"):
        move(coat, "-5/8", by)


def test_gain_that_is_used_cannot_be_struck(coat):
    by = UserFactory()
    gained = move(coat, "1/2", by, reason="freed")
    move(coat, "-3/4", by)

    with pytest.raises(IntegrityError, match="less than nothing"):
        move(coat, "1/2", by, strikes=gained, void=True)


def test_thirty_two_at_once_take_no_more_than_there_is(coat):
    """Each lets an eighth out of four, and none goes through the service that takes turns."""
    by = UserFactory()

    def let_out(_number):
        try:
            move(Garment.objects.get(pk=coat.pk), "-1/8", by)
        except IntegrityError:
            return False
        else:
            return True
        finally:
            connection.close()

    close_old_connections()
    with ThreadPoolExecutor(CLIENTS) as clients:
        taken = list(clients.map(let_out, range(CLIENTS)))

    assert (sum(taken), inlays_of(coat)["side-seam", "L"]) == (4, Length(0))
