"""A change of hand on a shared tablet: nothing that waits there is lost, and nothing mixed."""

from django.contrib.auth.hashers import make_password
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from fittings.models import Pin
from tests.e2e.browser import sign_in
from tests.e2e.test_kept import SIGNS, fitting, laid_down, said, touch, waits
from tests.factories import UserFactory

__all__ = ["fitting"]
PIN = "274915"


def share(page: Page, fitter) -> None:
    """The tablet is shared by who is signed in with the password."""
    sign_in(page, fitter)
    page.goto("/people/tablets/new/")
    page.get_by_label("What this tablet is called").fill("Fitting room")
    page.get_by_role("button", name="Share this tablet").tap()
    page.wait_for_url("**/people/keys/")


def change_hands(page: Page, name: str, *, told: str = "") -> None:
    """From the sheet of who is signed in, by name and PIN; ``told`` first what stays."""
    page.locator(".account:not(#outbox) summary").tap()
    button = page.locator("form[data-signs-out='change hands'] button")
    button.tap()
    if told:
        expect(button).to_have_text(told)
        button.tap()
    give_pin(page, name)


def give_pin(page: Page, name: str) -> None:
    page.locator("label", has_text=name).tap()
    page.get_by_label("Your PIN").fill(PIN)
    with page.expect_navigation(url=lambda url: "/people/hand/" not in url):
        page.get_by_role("button", name="Go on").tap()


def test_change_of_hand_loses_none_and_mixes_none(open_page, fitting, problems, axe):
    anna = fitting.fitter
    otto = UserFactory(role="fitter", first_name="Otto", last_name="Ahlers")
    for person in (anna, otto):
        Pin.objects.create(person=person, hashed=make_password(PIN))
    page = open_page()
    share(page, anna)
    page.goto(f"/fitting/{fitting.pk}/")
    page.route("**/seen/", lambda route: route.abort())
    touch(page, SIGNS[:3])
    waits(page, 3)

    change_hands(page, "Otto Ahlers", told="3 entries stay here: change hands")
    touch(page, SIGNS[3:5])
    waits(page, 5)
    page.unroute("**/seen/")
    page.reload()
    waits(page, 3)  # Otto's went out, Anna's wait for her
    page.locator("#outbox summary").tap()
    told = f"3 entries of {anna.get_full_name()} wait here, to go out under that name only"
    expect(page.locator("#outbox p").last).to_contain_text(told)
    expect(page.locator("#outbox li")).to_have_count(0)  # what she saw is not for him to read

    assert (said(otto), said(anna), laid_down(page)) == (SIGNS[3:5], [], 3)
    Session.objects.all().delete()  # the PIN's time is over, and entries come
    touch(page, SIGNS[5:6])
    page.locator("#last-word", has_text="You are signed out").wait_for()
    page.goto(f"/people/hand/?next=/fitting/{fitting.pk}/")
    assert axe(page) == []
    give_pin(page, anna.get_full_name())
    waits(page, 1)  # Anna's went out, in order, under her name; Otto's new one waits
    change_hands(page, "Otto Ahlers")
    waits(page, 0)

    assert (said(anna), said(otto)) == (SIGNS[:3], SIGNS[3:6])
    problems.clear()


def test_typed_note_outlives_the_end_of_the_sign_in(open_page, live_house, problems):
    page, owner = open_page(), UserFactory(role="owner")
    sign_in(page, owner)
    page.goto("/diary/rooms/")
    page.get_by_label("Name").fill("Long room")
    page.context.set_offline(True)
    page.get_by_role("button", name="Add the room").tap()
    expect(page.locator("#status")).to_contain_text("nothing you typed is lost")
    page.context.set_offline(False)
    # The house's own computer, its cable pulled: the house answers all the same.
    page.evaluate("Object.defineProperty(navigator, 'onLine', { get: () => false })")
    Session.objects.all().delete()

    page.get_by_role("button", name="Add the room").tap()
    page.get_by_label("Username").fill(owner.username)
    page.get_by_label("Password").fill("chalk-and-thread-7")
    page.get_by_role("button", name="Sign in").tap()
    page.get_by_role("button", name="Send it as").tap()

    expect(page.locator("main")).to_contain_text("Long room")
    problems.clear()
