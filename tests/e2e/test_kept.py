"""What was tapped outlives the network, the page, the server, the sign-in and the tablet."""

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.utils import timezone
from playwright.sync_api import Page, expect

from customers.models import MeasurementSet
from fittings.catalogue import load
from fittings.models import Booking, Fitting, Observation
from tests.e2e.browser import sign_in
from tests.factories import BookingFactory, CustomerFactory, FittingFactory, UserFactory
from tests.live_house import wait_for
from tests.session.conftest import garment_of

SIGNS = [
    (fault.zone, f"{fault.key}:{'L' if fault.sided else ''}")
    for fault in load().faults_of("coat", stage="baste")
][:20]


@pytest.fixture
def fitting(live_house) -> Fitting:
    fitter = UserFactory(role="fitter")
    fitting = FittingFactory(fitter=fitter, started_at=timezone.now())
    fitting.garments.add(garment_of(fitting.customer, fitter))
    return fitting


def open_session(page: Page, fitting: Fitting, user: User) -> Page:
    sign_in(page, user)
    page.goto(f"/fitting/{fitting.pk}/")
    return page


def touch(page: Page, signs: list[tuple[str, str]]) -> None:
    for zone, value in signs:
        page.locator(f"#to-{zone}").tap()
        page.locator(f"#zone-{zone} label:has(input[value='{value}'])").tap()
        page.locator(".amounts [value='3/8 in']").tap()


def waits(page: Page, count: int) -> None:
    """So many are laid down, and the page has noticed that they cannot be sent."""
    expect(page.locator("#outbox summary")).to_have_text(f"{count} waiting")


def laid_down(page: Page) -> int:
    return page.evaluate(
        """() => new Promise((done) => {
        indexedDB.open("ledger", 1).onsuccess = ({ target: { result } }) => {
          result.transaction("waiting").objectStore("waiting").count().onsuccess = (event) =>
            done(event.target.result); }; })"""
    )


def said(by: User) -> list[tuple[str, str]]:
    rows = Observation.objects.filter(by=by).order_by("at")
    return [(row.zone, f"{row.fault}:{row.side}") for row in rows]


def work(page: Page, house, fitting: Fitting, user: User, signs: list[tuple[str, str]]) -> Page:
    """Twenty entries with everything going wrong between them."""
    part = [signs[number::5] for number in range(5)]
    open_session(page, fitting, user)
    tablet = page.context
    tablet.set_offline(True)
    touch(page, part[0])
    waits(page, len(part[0]))
    tablet.set_offline(False)
    waits(page, 0)

    house.server.kill()
    touch(page, part[1])
    waits(page, len(part[1]))
    house.server.begin()
    wait_for(f"{house.url}/health/", house.server)
    page.reload()
    waits(page, 0)

    tablet.set_offline(True)
    touch(page, part[2])
    waits(page, len(part[2]))
    Session.objects.all().delete()
    tablet.set_offline(False)
    page.locator("#last-word", has_text="You are signed out").wait_for()
    open_session(page, fitting, user)
    waits(page, 0)

    page.route("**/seen/", lambda route: route.abort())
    touch(page, part[3])
    waits(page, len(part[3]))
    sign_out(page)
    page.unroute("**/seen/")
    open_session(page, fitting, user)
    waits(page, 0)

    tablet.set_offline(True)
    touch(page, part[4])
    waits(page, len(part[4]))
    page.close()
    tablet.set_offline(False)
    again = tablet.new_page()
    again.goto(f"/fitting/{fitting.pk}/")
    waits(again, 0)
    return again


def sign_out(page: Page) -> None:
    """Told once that entries stay here; the second tap leaves."""
    page.locator(".account:not(#outbox) summary").tap()
    button = page.locator("[data-signs-out] button")
    button.tap()
    expect(button).to_contain_text("stay here: sign out")
    with page.expect_navigation():
        button.tap()


def in_order(signs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    return [sign for number in range(5) for sign in signs[number::5]]


def test_twenty_entries_outlive_all_that_goes_wrong(open_page, live_house, fitting, problems):
    page = work(open_page(), live_house, fitting, fitting.fitter, SIGNS)

    assert (said(fitting.fitter), laid_down(page)) == (in_order(SIGNS), 0)
    problems.clear()


def test_two_tablets_lose_nothing_of_one_session(open_page, live_house, fitting, problems):
    other = UserFactory(role="fitter")
    second = open_page()
    open_session(second, fitting, other)
    second.context.set_offline(True)
    touch(second, SIGNS[10:])
    waits(second, 10)

    work(open_page(), live_house, fitting, fitting.fitter, SIGNS[:10])
    second.context.set_offline(False)
    second.locator("#last-word", has_text="You are signed out").wait_for()
    open_session(second, fitting, other)
    waits(second, 0)

    assert said(fitting.fitter) == in_order(SIGNS[:10])
    assert said(other) == SIGNS[10:]
    problems.clear()


def test_entry_is_never_sent_under_anothers_name(open_page, fitting, problems):
    page = open_page()
    other = UserFactory(role="fitter", first_name="Otto", last_name="Ahlers")
    open_session(page, fitting, fitting.fitter)
    page.route("**/seen/", lambda route: route.abort())
    touch(page, SIGNS[:1])
    waits(page, 1)
    sign_out(page)
    page.unroute("**/seen/")

    open_session(page, fitting, other)
    touch(page, SIGNS[1:2])
    page.locator("#last-word", has_text="⅜ in").wait_for()

    page.locator("#outbox summary").tap()
    expect(page.locator("#outbox")).to_contain_text("go out under that name only")
    assert (said(other), said(fitting.fitter), laid_down(page)) == (SIGNS[1:2], [], 1)
    problems.clear()


def test_tablet_that_refuses_to_store_says_so_at_once(open_page, fitting):
    page = open_page()
    page.add_init_script("Object.defineProperty(window, 'indexedDB', { value: undefined })")

    open_session(page, fitting, fitting.fitter)

    expect(page.locator("#last-word")).to_contain_text("This tablet keeps nothing")
    expect(page.locator("#outbox summary")).to_have_text("Tablet keeps nothing")


def test_measures_typed_without_network_are_kept_once(open_page, live_house, problems):
    fitter, customer = UserFactory(role="fitter"), CustomerFactory()
    page = open_page()
    sign_in(page, fitter)
    page.goto(f"/customers/{customer.number}/measures/new/?for=coat")
    page.locator("#id_chest").fill("40")
    page.locator("[data-kept]", has_text="Kept on this tablet").wait_for()
    page.reload()
    expect(page.locator("#id_chest")).to_have_value("40")
    expect(page.locator("[data-left]")).to_contain_text("As you left it on ")
    page.get_by_role("button", name="Begin this sheet anew").tap()
    expect(page.locator("#id_chest")).to_have_value("")
    page.locator("#id_chest").fill("40")
    page.context.set_offline(True)
    page.get_by_role("button", name="Keep the set").tap()
    waits(page, 1)
    before = MeasurementSet.objects.count()

    page.context.set_offline(False)

    page.wait_for_url("**/measures/*-*/")
    kept = MeasurementSet.objects.get()
    assert (before, str(kept.lengths()["chest", ""])) == (0, "40")
    problems.clear()


@pytest.fixture
def booking(live_house) -> Booking:
    fitter = UserFactory(role="fitter")
    customer = CustomerFactory(given_name="Özge", family_name="Winter")
    coat = garment_of(customer, fitter, stage="basted")
    at = timezone.localtime().replace(hour=12, minute=0, second=0, microsecond=0)
    return BookingFactory(customer=customer, garments=[coat], fitter=fitter, starts_at=at)


def day_kept(page: Page, address: str) -> bool:
    ask = "async (a) => Boolean(await (await caches.open('day-1')).match(a, { ignoreVary: true }))"
    return page.evaluate(ask, address)


def test_booking_is_begun_from_a_cold_start_without_network(open_page, booking, problems):
    page = open_page(service_workers="allow")
    ahead = f"/fitting/ahead/{booking.pk}/"
    sign_in(page, booking.fitter)
    while not day_kept(page, ahead):  # the suite's own limit ends it when that never comes
        page.wait_for_timeout(100)
    tablet = page.context
    page.close()
    tablet.set_offline(True)

    cold = tablet.new_page()
    cold.goto("/")
    cold.get_by_role("button", name="Start the fitting of Özge Winter").tap()
    cold.wait_for_url(f"**{ahead}")
    touch(cold, SIGNS[:1])
    waits(cold, 2)
    before = Fitting.objects.count()
    tablet.set_offline(False)
    waits(cold, 0)

    assert (before, said(booking.fitter), Fitting.objects.get().booking) == (0, SIGNS[:1], booking)
    cold.locator(".account:not(#outbox) summary").tap()
    cold.locator("[data-signs-out] button").tap()
    cold.wait_for_url("**/sign-in/")
    assert not day_kept(cold, ahead)
    problems.clear()


def test_other_tablet_sees_a_new_entry_by_itself(open_page, fitting):
    other, page = open_page(), open_page()
    open_session(other, fitting, UserFactory(role="fitter"))
    open_session(page, fitting, fitting.fitter)

    touch(page, SIGNS[:1])

    expect(other.locator("#seen .seen-line")).to_have_count(1)  # asked every three seconds
    expect(other.locator("#last-word")).to_have_text("New from another tablet.")
