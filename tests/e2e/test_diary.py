"""Booking and greeting under a finger, and booking without JavaScript."""

import datetime

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from fittings.models import Booking
from fittings.promise import CRAFTS
from tests.e2e.browser import LANDSCAPE, let_in
from tests.e2e.tablet import Tablet
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    CutVersionFactory,
    GarmentFactory,
    RoomFactory,
    UserFactory,
)
from tests.factories.fittings import MakerFactory


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
        let_in(page, UserFactory(role="front of house"))
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


# -- moving under a finger -------------------------------------------------------------------------


@pytest.fixture
def in_the_week(desk, tobiah):
    """A booking of tomorrow at ten and the sheet of its day."""
    fitter = UserFactory(role="fitter", first_name="Odile", last_name="Fennimore")
    booking = BookingFactory(customer=tobiah, fitter=fitter, starts_at=moment(1, 10))
    day = timezone.localdate(booking.starts_at)
    page = desk(f"/diary/day/?date={day}&fitter={fitter.pk}", size=(1180, 1400))
    return booking, page


def middle(part):
    part.scroll_into_view_if_needed()
    box = part.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + 12


def test_dragged_booking_shows_what_its_move_means(in_the_week):
    booking, page = in_the_week
    target = page.get_by_role("link", name="Book Odile Fennimore, 12:30")
    begins, ends = middle(page.locator("[data-move]")), middle(target)

    page.mouse.move(*begins)
    page.mouse.down()
    page.mouse.move(*ends, steps=5)
    page.mouse.up()
    page.get_by_role("heading", name="What this move means").wait_for()

    booking.refresh_from_db()
    assert page.locator("#id_time").input_value() == "12:30"
    assert booking.starts_at == moment(1, 10)


def test_held_finger_drags_and_a_tap_still_opens(in_the_week):
    booking, page = in_the_week
    begins = middle(page.locator("[data-move]"))
    ends = middle(page.get_by_role("link", name="Book Odile Fennimore, 12:30"))
    finger = page.context.new_cdp_session(page)

    def touch(kind, *points):
        finger.send(
            "Input.dispatchTouchEvent",
            {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]},
        )

    touch("touchStart", begins)
    page.locator(".lifted").wait_for()
    touch("touchMove", ends)
    touch("touchEnd")
    page.get_by_role("heading", name="What this move means").wait_for()
    page.go_back()
    page.locator("[data-move]").tap()

    page.wait_for_url(f"**/diary/{booking.pk}/")
    booking.refresh_from_db()
    assert booking.version == 1


def test_time_is_moved_to_by_touches_without_javascript(desk, tobiah):
    ansel = User.objects.get(groups__name="fitter")
    booking = BookingFactory(customer=tobiah, starts_at=moment(1, 10), fitter=ansel)
    page = desk(f"/diary/{booking.pk}/", java_script_enabled=False)

    page.get_by_role("link", name="Move on the week").tap()
    page.locator(".free a").last.tap()
    page.locator("#id_reason").fill("Rain")
    page.locator(".actions button", has_text="Move").tap()
    page.get_by_role("heading", name="What happened to it").wait_for()

    booking.refresh_from_db()
    assert (booking.version, booking.starts_at > moment(1, 10)) == (2, True)


# -- the telephone ---------------------------------------------------------------------------------

TOUCHES_A_CALL = 12  # beside the name and the number, which are typed


def test_call_of_somebody_unknown_ends_in_a_booking_and_a_promise(open_page, live_house):
    RoomFactory(name="Front room")
    UserFactory(role="fitter", first_name="Ansel", last_name="Wren")
    CustomerFactory(family_name="Eddery")
    CutVersionFactory()
    for craft in CRAFTS:
        MakerFactory(craft=craft)
    tablet = Tablet(open_page(LANDSCAPE), UserFactory(role="front of house"))
    page = tablet.page

    tablet.tap(page.get_by_label("Find a customer"))
    page.keyboard.type("Marrowby")
    tablet.link("Register", exact=False)
    tablet.type("Given name", "Tobiah")
    tablet.type("Family name", "Marrowby")
    tablet.type("Phone", "01632 960 777")
    tablet.button("Register")
    tablet.link("Order a garment")
    earliest = page.locator("[hx-get] strong")
    earliest.wait_for()
    said = earliest.inner_text()
    ahead = (timezone.localdate() + datetime.timedelta(days=number) for number in range(400))
    promised = next(day for day in ahead if f"{day:%A} {day.day} {day:%B %Y}" == said)
    tablet.tap(page.locator("label", has_text="Weir cut"))
    tablet.tap(page.get_by_label("Cloth", exact=True))
    page.keyboard.type("to be chosen")
    tablet.tap(page.get_by_label("Cutter"))
    page.get_by_label("Cutter").select_option(index=1)
    tablet.tap(page.get_by_label("Promised for"))
    tablet.type("Promised for", f"{promised}")
    tablet.button("Order it")
    tablet.link("Book a fitting", exact=False)
    tablet.tap(page.get_by_role("group", name="Free times").get_by_role("button").first)
    page.get_by_role("heading", name="What happened to it").wait_for()

    booking = Booking.objects.get()
    assert booking.customer.phone == "01632 960 777"
    assert (booking.purpose, booking.customer.garments.get().promised_on) == ("measure", promised)
    assert tablet.taps <= TOUCHES_A_CALL
