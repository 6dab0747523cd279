"""Booking and greeting under a finger, and booking without JavaScript."""

import datetime

import pytest
from django.utils import timezone

from fittings.models import Booking
from tests.e2e.browser import LANDSCAPE, sign_in
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    RoomFactory,
    UserFactory,
)


@pytest.fixture
def tobiah(live_house):
    customer = CustomerFactory(given_name="Tobiah", family_name="Marrowby")
    GarmentFactory(customer=customer, stage="basted")
    RoomFactory(name="Front room")
    UserFactory(role="fitter", first_name="Ansel", last_name="Wren")
    return customer


@pytest.fixture
def desk(open_page, live_house):
    def opened(address="/", size=LANDSCAPE, **options):
        page = open_page(size, **options)
        sign_in(page, UserFactory(role="front of house"))
        page.goto(address)
        return page

    return opened


def moment(days, hour):
    day = timezone.localdate() + datetime.timedelta(days=days)
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time(hour)))


def test_arrival_is_one_tap_and_moves_no_page(desk, tobiah):
    booking = BookingFactory(customer=tobiah, starts_at=moment(0, 12))
    page = desk()
    page.evaluate("window.same = true")

    page.get_by_role("button", name="Tobiah Marrowby: Arrived").tap()
    page.locator(f"#visit-{booking.pk} .badge", has_text="arrived").wait_for()

    assert page.evaluate("window.same") is True
    assert page.locator("#status").inner_text() == "Tobiah Marrowby: arrived."
    assert Booking.objects.get().state == "arrived"


def test_customer_is_found_on_today_by_two_letters(desk, tobiah):
    page = desk()
    page.locator("#find-q").tap()

    page.keyboard.type("ma")

    page.locator("#found").get_by_role("link", name="Tobiah Marrowby").wait_for()


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_free_time_of_the_sheet_is_booked(desk, tobiah, script):
    tomorrow = timezone.localdate() + datetime.timedelta(days=1)
    page = desk(f"/diary/day/?date={tomorrow}", java_script_enabled=script)

    page.get_by_role("link", name="Book Ansel Wren, 10:30").tap()
    page.locator("#find-q").fill("marrow")
    page.get_by_role("button", name="Find").tap()
    page.locator("#found").get_by_role("link", name="Tobiah Marrowby").tap()
    page.locator(".actions button", has_text="Book").tap()
    page.get_by_role("heading", name="What happened to it").wait_for()

    assert Booking.objects.get().starts_at == moment(1, 10) + datetime.timedelta(minutes=30)


def test_taken_time_is_answered_by_one_tap(desk, tobiah, problems):
    fitter = UserFactory(role="fitter", first_name="Odile", last_name="Fennimore")
    BookingFactory(fitter=fitter, starts_at=moment(1, 10))
    asked = f"fitter={fitter.pk}&date={moment(1, 10):%Y-%m-%d}&time=10:00"
    page = desk(f"/diary/book/?customer={tobiah.number}&{asked}")
    page.locator("#id_note").fill("Brings his shoes")

    page.locator(".actions button", has_text="Book").tap()
    page.locator(".offers button").first.tap()
    page.get_by_role("heading", name="What happened to it").wait_for()

    booking = Booking.objects.get(customer=tobiah)
    half_past = moment(1, 10) + datetime.timedelta(minutes=30)
    assert (booking.starts_at, booking.note) == (half_past, "Brings his shoes")
    assert len(problems) == 1
    assert problems.pop().endswith("status of 422 (Unprocessable Entity)")
