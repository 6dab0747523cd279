"""What a tablet keeps for a day without a network."""

import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from fittings.models import Booking, Fitting
from fittings.session.services import start_fitting
from tests.factories import BookingFactory, CustomerFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db

PAGES = "/fitting/pages/"
DAY_QUERIES = 6


@pytest.fixture
def book(fitter):
    def make(hour=12, purpose=Booking.Purpose.FIRST):
        customer = CustomerFactory()
        at = timezone.localtime().replace(hour=hour, minute=0, second=0, microsecond=0)
        coat = garment_of(customer, fitter, stage="basted")
        return BookingFactory(
            customer=customer, garments=[coat], fitter=fitter, starts_at=at, purpose=purpose
        )

    return make


def begin(booking, fitter):
    return start_fitting(
        fitting_id=uuid.uuid5(booking.pk, "fitting"),
        customer=booking.customer,
        garments=list(booking.garments.all()),
        fitter=fitter,
        purpose=booking.purpose,
        booking=booking,
        by=fitter,
    )


def test_pages_of_the_day_are_due_begun_and_measured(client, fitter, book):
    due, begun, measured = book(9), book(11), book(13, Booking.Purpose.MEASURE)
    fitting = begin(begun, fitter)

    said = client.get(PAGES).json()

    garments = [each.garments.get().number for each in (due, begun)]
    assert said == {
        "user": str(fitter.pk),
        "pages": [
            "/",
            "/fitting/",
            f"/fitting/ahead/{due.pk}/",
            f"/fitting/ahead/{due.pk}/?garment={garments[0]}",
            f"/customers/{measured.customer.number}/measures/new/",
            f"/fitting/{fitting.pk}/",
            f"/fitting/{fitting.pk}/?garment={garments[1]}",
        ],
    }


def test_pages_of_the_day_take_the_same_queries(client, book, django_assert_num_queries):
    book(9)
    with django_assert_num_queries(DAY_QUERIES):
        client.get(PAGES)
    book(11)
    book(14)

    with django_assert_num_queries(DAY_QUERIES):
        client.get(PAGES)


def test_screen_ahead_of_a_booking_writes_nothing(client, book):
    booking = book()

    answer = client.get(reverse("session:fitting_ahead", args=[booking.pk]))

    fitting = uuid.uuid5(booking.pk, "fitting")
    assert (answer.context["fitting"].pk, answer.context["begins"]) == (fitting, booking.pk)
    assert not Fitting.objects.exists()


def test_screen_ahead_of_what_is_begun_leads_there(client, fitter, book):
    booking = book()
    fitting = begin(booking, fitter)

    answer = client.get(reverse("session:fitting_ahead", args=[booking.pk]))

    assert answer.url == fitting.get_absolute_url()


def test_screen_ahead_of_an_unknown_booking_is_not_there(client, fitter):
    answer = client.get(reverse("session:fitting_ahead", args=[uuid.uuid4()]))

    assert answer.status_code == 404
