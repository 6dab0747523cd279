"""A sign-in ends, and nothing typed is lost: signing in again sends it, under its writer's name."""

import time

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from fittings.accounts.carrying import Carried, opened
from fittings.models import Room, SignInRules
from tests.accounts.conftest import PIN, by_pin, code_of, sign_in, signed_in, with_factor
from tests.factories import FittingFactory, UserFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db
ROOMS = "/diary/rooms/"
HTMX = {"HX-Request": "true"}
HOUR = 60 * 60


def at(seconds):
    """The clock, so much later."""
    patch, later = pytest.MonkeyPatch(), time.time() + seconds
    patch.setattr("time.time", lambda: later)
    return patch


def who_after(browser, seconds):
    clock = at(seconds)
    try:
        return signed_in(browser)
    finally:
        clock.undo()


@pytest.fixture
def later():
    """Two hours and a minute: past the two hours that a house begins with."""
    clock = at(121 * 60)
    yield
    clock.undo()


def test_sign_in_ends_two_hours_after_the_last_touch(client, hester):
    sign_in(client)

    assert [who_after(client, seconds) for seconds in (119 * 60, 120 * 60)] == [str(hester.pk), ""]


def test_no_touch_makes_it_longer_than_a_day_of_work(client, hester):
    sign_in(client)
    for minutes in range(110, 12 * 60, 110):
        clock = at(minutes * 60)
        assert client.get("/people/keys/").status_code == 200
        clock.undo()

    assert who_after(client, 12 * HOUR) == ""


def test_owners_rules_hold_from_the_next_sign_in(client, hester):
    sign_in(client)
    version = SignInRules.get().version
    rules = {"idle_minutes": 5, "pin_idle_minutes": 2, "longest_hours": 1, "version": version}

    client.post("/people/tablets/", rules)

    assert who_after(client, 10 * 60) == str(hester.pk)
    client.post("/people/sign-out/")
    sign_in(client)
    assert who_after(client, 5 * 60) == ""


@pytest.mark.parametrize(
    ("field", "value"),
    [("idle_minutes", 4), ("pin_idle_minutes", 241), ("longest_hours", 25), ("idle_minutes", "x")],
)
def test_rule_out_of_bounds_is_refused_beside_it(client, hester, field, value):
    sign_in(client)
    rules = {"idle_minutes": 60, "pin_idle_minutes": 9, "longest_hours": 8, "version": 1}

    answer = client.post("/people/tablets/", rules | {field: value})

    assert (answer.status_code, list(answer.context["form"].errors)) == (422, [field])


def test_what_pages_ask_by_themselves_is_no_touch(client, otto):
    fitting = FittingFactory(fitter=otto, started_at=timezone.now())
    coat = garment_of(fitting.customer, otto)
    fitting.garments.add(coat)
    client.force_login(otto)
    for minutes in (60, 119):
        clock = at(minutes * 60)
        assert client.get(f"/fitting/{fitting.pk}/{coat.number}/news/").status_code < 400
        client.get("/workroom/", headers={"If-None-Match": '"x"', **HTMX})
        clock.undo()

    assert who_after(client, 120 * 60) == ""


def test_wall_of_the_workroom_stays_untouched(client, otto):
    client.force_login(otto)
    for hours in (1, 2, 3):
        clock = at(hours * HOUR)
        client.get("/workroom/wall/", headers={"If-None-Match": '"x"', **HTMX})
        clock.undo()

    assert who_after(client, 4 * HOUR) == str(otto.pk)


def test_session_older_than_the_rules_is_asked_again(client, hester):
    client.force_login(hester)
    session = client.session
    del session["sitting"]
    session.save()

    assert signed_in(client) == ""


def test_page_sent_too_late_is_carried_through_signing_in(client, hester, later_form):
    page = later_form(client)
    again = sign_in(client, carried=page.context["carried"])

    form = again.context["carried"]
    assert (page.status_code, page.context["writer"]) == (401, "Hester Bray")
    assert (form.to, dict(form.fields)) == (ROOMS, {"name": "Long room"})
    client.post(form.to, dict(form.fields))
    assert Room.objects.filter(name="Long room").count() == 1


@pytest.fixture
def later_form(hester, later):
    """Somebody's form that comes two hours after they signed in."""

    def send(browser, **options):
        clock = at(-121 * 60)
        sign_in(browser)
        clock.undo()
        return browser.post(ROOMS, {"name": "Long room"}, **options)

    return send


def test_carried_form_is_never_another_persons(client, later_form, otto):
    page = later_form(client)

    answer = sign_in(client, "otto", carried=page.context["carried"])

    said = answer.context["form"].non_field_errors()
    assert said == ["Hester Bray typed what waits here: it goes out under that name only."]
    assert (signed_in(client), answer.context["carried"] != "") == ("", True)


def test_carried_form_goes_through_the_second_step(client, hester, later_form):
    page = later_form(client)
    with_factor(hester)
    step = sign_in(client, carried=page.context["carried"])

    said = {"code": code_of(hester), "carried": step.context["carried"]}
    answer = client.post("/people/second-step/", said)

    assert answer.context["carried"].fields == [["name", "Long room"]]


def test_carried_form_goes_through_name_and_pin(tablet, hester, later_form):
    from fittings.accounts.hands import set_pin

    page = later_form(tablet)
    set_pin(person=hester, pin=PIN)

    answer = by_pin(tablet, hester, carried=page.context["carried"])

    # The owner's own page: the password is asked for, and the form is carried on.
    sent = tablet.post(answer.context["carried"].to, {"name": "Long room"})
    assert (sent.status_code, "carried" in sent.context) == (401, True)
    proved = tablet.post(
        "/people/prove/", {"password": "chalk-and-thread-7", "carried": sent.context["carried"]}
    )
    tablet.post(proved.context["carried"].to, dict(proved.context["carried"].fields))
    assert Room.objects.filter(name="Long room").count() == 1


def test_form_of_htmx_is_answered_in_place(client, later_form):
    page = later_form(client, headers=HTMX)

    assert (page.status_code, page["HX-Retarget"]) == (422, "body")
    assert page.context["carried"] != ""


def test_part_of_a_page_leads_nobody_away(client, hester):
    answer = client.get("/customers/", {"q": "mar"}, headers=HTMX)

    assert (answer.status_code, "HX-Redirect" in answer) == (401, False)


def test_secrets_and_files_are_not_carried(client, hester):
    file = SimpleUploadedFile("a.csv", b"x")
    said = {"password": "linen-thread-21", "pin": PIN, "first_name": "Odile", "file": file}

    page = client.post("/people/new/", said)

    carried = opened(page.context["carried"])
    assert (carried.fields, carried.without, carried.by) == ([["first_name", "Odile"]], True, "")
    answer = sign_in(client, carried=page.context["carried"])
    assert "Passwords, PINs and codes are never carried" in answer.content.decode()


def test_what_others_made_up_is_not_opened(client, hester):
    sealed = Carried("/diary/rooms/", [["name", "x"]]).sealed()

    assert [opened(each) for each in ("", "x", sealed[:-1] + "-?"[sealed[-1] == "-"], "a:b:c")] == [
        None
    ] * 4
    assert opened(sealed).fields == [["name", "x"]]


def test_too_much_is_not_carried(client, hester):
    answer = client.post(ROOMS, {"name": "x" * 70_000})

    assert (answer.status_code, answer.context["carried"]) == (401, None)
    assert "too long to be carried" in answer.content.decode()


def test_lone_button_is_carried_as_well(client, hester):
    page = client.post("/diary/rooms/1/retire/")

    answer = sign_in(client, carried=page.context["carried"])

    assert answer.context["carried"].fields == []
    assert "it was a press of a button" in answer.content.decode()


def test_someone_unknown_is_asked_whether_it_is_theirs(client, hester):
    page = client.post(ROOMS, {"name": "Long room"})

    answer = sign_in(client, carried=page.context["carried"])

    assert "If it is not yours, let it go" in answer.content.decode()


def test_session_ended_elsewhere_keeps_no_entry_half(client, otto, monkeypatch):
    """Ended between the asking and the note: the entry is refused, not kept and called lost."""
    client.force_login(otto)
    client.get("/")
    from django.contrib.sessions.backends.db import SessionStore
    from django.contrib.sessions.exceptions import SessionInterrupted  # noqa: F401
    from django.contrib.sessions.models import Session

    load = SessionStore.load

    def load_and_lose(self):
        said = load(self)
        Session.objects.all().delete()
        return said

    monkeypatch.setattr(SessionStore, "load", load_and_lose)
    clock = at(90)
    answer = client.post("/fitting/start/", {"customer": "x"}, headers={"Kept-By": str(otto.pk)})
    clock.undo()

    assert answer.status_code == 401


def test_fitter_sends_on_after_changing_hands_twice(tablet, otto):
    orla = UserFactory(role="fitter")
    sign_in(tablet)
    by_pin(tablet, otto)

    refused = tablet.post("/contrast/", {"contrast": "high"}, headers={"Kept-By": str(orla.pk)})
    taken = tablet.post("/contrast/", {"contrast": "high"}, headers={"Kept-By": str(otto.pk)})

    assert (refused.status_code, taken.status_code) == (412, 302)
