"""A session begun: from a booking, for a walk-in, once however often it is tapped."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from fittings.models import Booking, Fitting
from fittings.session.services import start_fitting
from garments.models import StageEntry
from tests.factories import BookingFactory, CustomerFactory, GarmentFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def begin(customer, coat, fitter):
    def start(**values):
        usual = {"fitting_id": uuid.uuid4(), "customer": customer, "garments": [coat]}
        people = {"fitter": fitter, "purpose": "first-fitting", "by": fitter}
        return start_fitting(**(usual | people | values))

    return start


@pytest.fixture
def booking(customer, coat, fitter):
    return BookingFactory(
        customer=customer, garments=[coat], fitter=fitter, starts_at=timezone.now()
    )


def test_walk_in_begins_session_with_its_garments(begin, coat):
    fitting = begin()

    assert (list(fitting.garments.all()), fitting.booking) == ([coat], None)


def test_same_tap_twice_begins_one_session(begin):
    fitting_id = uuid.uuid4()

    assert begin(fitting_id=fitting_id) == begin(fitting_id=fitting_id)
    assert Fitting.objects.count() == 1


def test_booking_begins_one_session_only(begin, booking):
    first = begin(booking=booking)

    assert begin(booking=booking) == first


def test_booking_begun_counts_as_kept(begin, booking):
    begin(booking=booking)

    booking.refresh_from_db()
    assert booking.state == Booking.State.KEPT


@pytest.mark.parametrize(
    ("purpose", "stages"),
    [
        ("first-fitting", ("basted", "first-fitting")),
        ("forward-fitting", ("altering", "forward-fitting")),
        ("final-look", ("finished", "final-look")),
        ("return-look", ("delivered", "returned")),
        # whatever a delivered coat is looked at for, it has come back
        ("final-look", ("delivered", "returned")),
    ],
)
def test_garment_is_at_the_fitting_held(begin, customer, fitter, purpose, stages):
    before, after = stages
    garment = garment_of(customer, fitter, stage=before)

    begin(garments=[garment], purpose=purpose)

    newest = StageEntry.objects.filter(garment=garment).order_by("at").last()
    assert (garment.stage, newest.stage) == (after, after)


def test_other_customers_garment_is_refused(begin):
    with pytest.raises(ValidationError) as refusal:
        begin(garments=[GarmentFactory()])

    assert refusal.value.message_dict == {"garments": ["That garment is another customer's."]}
    assert Fitting.objects.count() == 0


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"garments": []}, {"garments": ["Choose at least one garment."]}),
        ({"purpose": "tea"}, {"purpose": ["Say what the fitting is for."]}),
    ],
)
def test_start_without_sense_is_refused(begin, values, message):
    with pytest.raises(ValidationError) as refusal:
        begin(**values)

    assert refusal.value.message_dict == message


@pytest.mark.parametrize("state", ["cancelled", "missed"])
def test_lost_booking_begins_no_session(begin, booking, state):
    Booking.objects.filter(pk=booking.pk).update(state=state)
    booking.refresh_from_db()

    with pytest.raises(ValidationError) as refusal:
        begin(booking=booking)

    assert refusal.value.message_dict == {
        "booking": [f"That booking is {state}: book again first."]
    }


def test_other_customers_booking_is_refused(begin, coat, fitter):
    booking = BookingFactory(customer=CustomerFactory(), fitter=fitter)

    with pytest.raises(ValidationError) as refusal:
        begin(booking=booking)

    assert refusal.value.message_dict == {"booking": ["That booking is another customer's."]}


def test_stage_that_cannot_follow_refuses_start_whole(begin, customer, fitter):
    garment = garment_of(customer, fitter, stage="finished")

    with pytest.raises(ValidationError) as refusal:
        begin(garments=[garment], purpose="first-fitting")

    assert list(refusal.value.message_dict) == ["garments"]
    assert Fitting.objects.count() == 0
