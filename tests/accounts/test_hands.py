"""Another hand on a shared tablet: by name and PIN, for a while, under the right name."""

import time
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fittings.accounts import hands
from fittings.accounts.services import change_person
from fittings.config.access import OWNERS, PAGES
from fittings.models import Observation, Pin, SharedTablet, SignInRules, Try
from tests.accounts.conftest import (
    PASSWORD,
    PIN,
    by_pin,
    code_of,
    session_cookie,
    sign_in,
    signed_in,
    with_factor,
)
from tests.config.test_access import address_of
from tests.factories import FittingFactory, UserFactory
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db
WRONG = "274916"
NOT_PIN = ["That is not the PIN of this name."]


def test_name_and_pin_go_on_with_a_shared_tablet(tablet, hester, otto):
    sign_in(tablet)

    answer = by_pin(tablet, otto, next="/fitting/")

    assert (answer.url, signed_in(tablet)) == ("/fitting/", str(otto.pk))


def test_entry_after_the_change_carries_the_new_name(tablet, otto):
    fitting = FittingFactory(fitter=otto, started_at=timezone.now())
    coat = garment_of(fitting.customer, otto)
    fitting.garments.add(coat)
    sign_in(tablet)
    by_pin(tablet, otto)

    said = {"entry_id": uuid.uuid4(), "clean_zone": "collar"}
    tablet.post(
        reverse("session:observation_create", args=[fitting.pk, coat.number]),
        said,
        headers={"Kept-By": str(otto.pk)},
    )

    assert list(Observation.objects.values_list("by_id", flat=True)) == [otto.pk]


def test_change_of_hand_ends_the_first_ones_session(tablet, otto):
    sign_in(tablet)
    before = session_cookie(tablet)

    by_pin(tablet, otto)

    thief = Client()
    thief.cookies["sessionid"] = before
    assert signed_in(thief) == ""


def test_pin_opens_nothing_on_another_device(client, otto):
    answer = by_pin(client, otto)

    assert (answer.url, signed_in(client)) == ("/people/sign-in/", "")


@pytest.mark.parametrize("said", ["", "x", "1:x", "9999999999999999999999:x", "+1:x", ":", "1"])
def test_cookie_that_was_not_given_shares_nothing(tablet, said, otto):
    from tests.accounts.conftest import give

    give(tablet, said.replace("1:", f"{tablet.row.pk}:"))  # even signed with the house's key

    assert by_pin(tablet, otto).url == "/people/sign-in/"


def test_changed_cookie_shares_nothing(tablet, otto):
    said = tablet.cookies["ledger-tablet"].value
    tablet.cookies["ledger-tablet"] = said[:-1] + ("A" if said[-1] != "A" else "B")

    assert by_pin(tablet, otto).url == "/people/sign-in/"


def test_cookie_is_closed_to_scripts_and_lasts(client, hester):
    sign_in(client)

    answer = client.post("/people/tablets/new/", {"name": "Cutting table"})

    kept = answer.cookies["ledger-tablet"]
    assert (kept["httponly"], kept["samesite"], kept["max-age"]) == (True, "Lax", 34_560_000)
    secret = kept.value.split(":")[1]
    assert secret not in str(SharedTablet.objects.values())


def test_ended_tablet_signs_out_and_opens_no_more(tablet, hester, otto):
    by_pin(tablet, otto)
    owner = Client()
    sign_in(owner)

    owner.post(f"/people/tablets/{tablet.row.pk}/end/")

    assert (signed_in(tablet), signed_in(owner)) == ("", str(hester.pk))
    assert by_pin(tablet, otto).url == "/people/sign-in/"


def test_fifth_wrong_pin_shuts_until_the_password(tablet, otto):
    said = [by_pin(tablet, otto, WRONG).context["hand"].errors["pin"] for _ in range(5)]
    shut = by_pin(tablet, otto).context["hand"].errors["pin"]

    sign_in(Client(), "otto")

    assert (said, shut) == (
        [NOT_PIN] * 5,
        ["Too many wrong PINs: sign in with your password, that opens it again."],
    )
    assert by_pin(tablet, otto).status_code == 302


def test_wrong_pins_of_one_leave_another_open(tablet, otto):
    orla = UserFactory(role="fitter")
    hands.set_pin(person=orla, pin="906142")
    for _ in range(5):
        Try.objects.create(what="pin", person=otto, tablet=tablet.row)

    assert by_pin(tablet, orla, "906142").status_code == 302


def test_wrong_pins_over_many_tablets_add_up(hester, otto):
    tablets = [hands.share_tablet(name=f"T{n}", by=hester)[0] for n in range(3)]
    for number in range(10):
        with pytest.raises(ValidationError, match="not the PIN"):
            hands.check_pin(person=otto, pin=WRONG, tablet=tablets[number % 3])

    with pytest.raises(ValidationError, match="sign in with your password"):
        hands.check_pin(person=otto, pin=PIN, tablet=tablets[2])


def test_tablet_where_many_names_are_tried_shuts(tablet, otto):
    for person in UserFactory.create_batch(3, role="fitter"):
        for _ in range(5):
            Try.objects.create(what="pin", person=person, tablet=tablet.row)

    shut = by_pin(tablet, otto).context["hand"].errors["pin"]

    assert shut == ["Too many wrong PINs on this tablet: sign in with a password."]


def test_right_pin_forgets_the_wrong_ones(tablet, otto):
    for _ in range(3):
        for _ in range(4):
            with pytest.raises(ValidationError, match="not the PIN"):
                hands.check_pin(person=otto, pin=WRONG, tablet=tablet.row)
        hands.check_pin(person=otto, pin=PIN, tablet=tablet.row)


def test_pin_is_kept_as_passwords_are(otto, settings):
    kept = Pin.objects.get(person=otto).hashed

    assert (PIN in kept, kept.startswith("md5$")) == (False, True)  # the tests' own hasher


def test_pin_session_goes_idle_by_the_owners_minutes(tablet, otto, monkeypatch):
    SignInRules.objects.create(pk=1, pin_idle_minutes=3)
    by_pin(tablet, otto)
    for seconds, who in ((150, str(otto.pk)), (300, str(otto.pk)), (600, "")):
        later = time.time() + seconds
        with pytest.MonkeyPatch.context() as clock:
            clock.setattr("time.time", lambda later=later: later)
            tablet.get("/fitting/")
            assert signed_in(tablet) == who


def test_pin_opens_no_page_of_the_owner_alone(tablet, hester):
    hands.set_pin(person=hester, pin=PIN)
    by_pin(tablet, hester)

    owners = [name for name, roles in PAGES.items() if roles == OWNERS]
    answers = {name: tablet.get(address_of(name)) for name in owners}

    opened = [name for name, answer in answers.items() if answer.status_code != 302]
    elsewhere = [name for name, answer in answers.items() if "/people/prove/" not in answer.url]
    assert (opened, elsewhere, len(owners) > 40) == ([], [], True)


def test_password_after_a_pin_opens_the_owners_pages(tablet, hester, monkeypatch):
    hands.set_pin(person=hester, pin=PIN)
    with_factor(hester)
    by_pin(tablet, hester)
    said = {"password": PASSWORD, "code": code_of(hester), "next": "/review/"}

    proved = tablet.post("/people/prove/", said)

    assert (proved.url, tablet.get("/review/").status_code) == ("/review/", 200)
    later = time.time() + 15 * 60
    monkeypatch.setattr("time.time", lambda: later)
    assert tablet.get("/review/").url == "/people/prove/?next=%2Freview%2F"


def test_pin_is_no_proof_of_a_password(tablet, hester):
    hands.set_pin(person=hester, pin=PIN)
    by_pin(tablet, hester)

    first = tablet.post("/people/prove/", {"password": PIN})
    Try.objects.bulk_create(Try(what="password", person=hester) for _ in range(5))
    last = tablet.post("/people/prove/", {"password": PASSWORD})

    said = [answer.context["form"].errors["password"][0] for answer in (first, last)]
    assert said == [
        "That is not your password.",
        "Too many wrong tries: wait a quarter of an hour.",
    ]


def test_pin_is_set_with_the_password_and_not_a_weak_one(client, otto):
    Pin.objects.all().delete()
    client.force_login(otto)
    page = "/people/keys/pin/"
    good = {"pin": "906142", "again": "906142", "password": PASSWORD}

    weak = client.post(page, good | {"pin": "123456", "again": "123456"}).context["form"].errors
    other = client.post(page, good | {"again": "906143"}).context["form"].errors
    without = client.post(page, good | {"password": "no"}).context["form"].errors
    kept = client.post(page, good)

    assert [list(errors) for errors in (weak, other, without)] == [["pin"], ["again"], ["password"]]
    assert (kept.url, Pin.objects.get().person) == ("/people/keys/", otto)


def test_pin_form_never_shows_what_was_typed(client, otto):
    client.force_login(otto)

    answer = client.post("/people/keys/pin/", {"pin": "906142", "again": "906143"})

    assert b"90614" not in answer.content


def test_who_is_let_go_has_no_pin(tablet, hester, otto):
    by_pin(tablet, otto)

    who = {"first_name": "O", "last_name": "A", "roles": ["fitter"]}
    change_person(person=otto, active=False, by=hester, **who)

    assert (signed_in(tablet), Pin.objects.filter(person=otto).exists()) == ("", False)
    assert sign_in(tablet, "otto").status_code == 200


def test_old_password_is_asked_for_a_few_times_only(client, otto):
    client.force_login(otto)
    new = {"new_password1": "pad-stitch-4411", "new_password2": "pad-stitch-4411"}
    client.post("/people/password/", {"old_password": "no", **new})
    Try.objects.bulk_create(Try(what="password", person=otto) for _ in range(5))

    answer = client.post("/people/password/", {"old_password": PASSWORD, **new})

    assert answer.context["form"].errors["old_password"] == [
        "Too many wrong tries: wait a quarter of an hour."
    ]


@pytest.mark.parametrize("number", [1, 3])
def test_hand_page_costs_same_queries_for_many(tablet, hester, django_assert_num_queries, number):
    for person in UserFactory.create_batch(number, role="fitter"):
        Pin.objects.create(person=person, hashed="x")

    with django_assert_num_queries(2):  # the tablet, the people
        tablet.get("/people/hand/")


@pytest.mark.parametrize("number", [1, 3])
def test_tablets_page_costs_same_queries_for_many(
    client, hester, django_assert_num_queries, number
):
    client.force_login(hester)
    SignInRules.get()
    for count in range(number):
        hands.share_tablet(name=f"T{count}", by=hester)

    with django_assert_num_queries(5):  # session, user, roles, rules, tablets
        client.get("/people/tablets/")
