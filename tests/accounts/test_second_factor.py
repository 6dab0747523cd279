"""The second factor: asked for after the password, each code once, a way in when it is lost."""

import datetime
import time

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from fittings.accounts import second
from fittings.models import PaperCode, SecondFactor, Try
from tests.accounts.conftest import PASSWORD, code_of, sign_in, signed_in, with_factor
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db
PAGE = "/people/keys/second-factor/"
STEP = "/people/second-step/"


def test_password_alone_lets_nobody_in(client, hester):
    with_factor(hester)

    answer = sign_in(client, next="/review/")

    assert (answer.url, signed_in(client)) == (f"{STEP}?next=%2Freview%2F", "")


def test_code_after_the_password_lets_in(client, hester):
    with_factor(hester)
    sign_in(client)

    answer = client.post(STEP, {"code": code_of(hester), "next": "/review/"})

    assert (answer.url, signed_in(client)) == ("/review/", str(hester.pk))


def test_same_code_opens_once_only(hester):
    with_factor(hester)
    code = code_of(hester)
    second.check_code(person=hester, code=code)

    with pytest.raises(ValidationError) as refused:
        second.check_code(person=hester, code=code)

    assert refused.value.message_dict == {"code": [second.USED]}


def test_code_that_confirmed_opens_nothing_after(hester):
    second.begin_factor(person=hester)
    code = code_of(hester)
    second.confirm_factor(person=hester, code=code)

    with pytest.raises(ValidationError):
        second.check_code(person=hester, code=code)


def test_paper_code_opens_once_and_is_kept_hashed(client, hester):
    first, *rest = with_factor(hester)
    kept = list(PaperCode.objects.values_list("digest", flat=True))
    sign_in(client)

    assert client.post(STEP, {"code": first.lower()}).status_code == 302
    with pytest.raises(ValidationError):
        second.check_code(person=hester, code=first.replace(" ", ""))
    assert PaperCode.objects.count() == len(rest) == 7
    assert [code for code in (first, first.replace(" ", "")) if code in str(kept)] == []


def test_seed_is_not_in_the_database(hester):
    with_factor(hester)
    factor = SecondFactor.objects.get()

    assert second.onetime.written_seed(second.seed_of(factor)).replace(" ", "") not in factor.salt
    assert second.seed_of(factor).hex() not in factor.salt


def test_sixth_wrong_code_shuts_the_step(client, hester):
    with_factor(hester)
    sign_in(client)
    answers = [client.post(STEP, {"code": "000000"}).status_code for _ in range(5)]

    shut = client.post(STEP, {"code": code_of(hester)})

    assert (answers, shut.status_code) == ([422] * 5, 422)
    assert shut.context["form"].errors["code"] == [
        "Too many wrong tries: wait a quarter of an hour."
    ]


def test_step_opens_again_until_the_day_is_full(hester):
    with_factor(hester)
    for _ in range(20):
        Try.objects.create(what="code", person=hester)
    Try.objects.update(at=timezone.now() - datetime.timedelta(minutes=16))

    with pytest.raises(ValidationError, match="for one day"):
        second.check_code(person=hester, code=code_of(hester))
    Try.objects.update(at=timezone.now() - datetime.timedelta(hours=25))
    second.check_code(person=hester, code=code_of(hester))


def test_half_a_sign_in_lapses_after_five_minutes(client, hester, monkeypatch):
    with_factor(hester)
    sign_in(client)
    code, later = code_of(hester, later=301), time.time() + 301
    monkeypatch.setattr("time.time", lambda: later)

    answer = client.post(STEP, {"code": code})

    assert answer.url.startswith("/people/sign-in/")


def test_new_password_undoes_half_a_sign_in(client, hester):
    with_factor(hester)
    sign_in(client)
    hester.set_password("pad-stitch-4411")
    hester.save()

    client.post(STEP, {"code": code_of(hester)})

    assert signed_in(client) == ""


def test_owner_confirms_on_the_page_and_sees_paper_once(client, hester):
    other = Client()
    sign_in(other)
    sign_in(client)
    client.post(PAGE, {"do": "begin"})
    drawn = client.get(PAGE)

    client.post(PAGE, {"do": "confirm", "code": code_of(hester)})

    shown, again = client.get(PAGE), client.get(PAGE)
    assert "<svg" in drawn.context["picture"]
    assert (len(shown.context["paper"]), again.context["paper"]) == (8, None)
    assert (signed_in(client), signed_in(other)) == (str(hester.pk), "")


def test_wrong_first_code_is_refused_beside_its_field(client, hester):
    sign_in(client)
    client.post(PAGE, {"do": "begin"})

    answer = client.post(PAGE, {"do": "confirm", "code": "000000"})

    assert (answer.status_code, answer.context["form"].errors["code"]) == (422, [second.WRONG])
    assert second.factor_of(hester) is None


def test_new_paper_makes_the_old_worthless(hester):
    old = with_factor(hester)[0]

    second.renew_paper(person=hester)

    with pytest.raises(ValidationError):
        second.check_code(person=hester, code=old)


def test_another_owner_helps_who_lost_the_device(client, hester):
    with_factor(hester)
    client.force_login(UserFactory(role="owner"))

    shown = client.get(f"/people/{hester.pk}/")
    client.post(f"/people/{hester.pk}/second-factor/")

    assert "Let them in by the password alone" in shown.content.decode()
    assert sign_in(Client()).url == "/"


def test_command_helps_an_only_owner(hester, capsys):
    with_factor(hester)

    call_command("remove_second_factor", "hester")

    assert capsys.readouterr().out.strip() == "hester signs in by the password alone."
    assert second.factor_of(hester) is None
    with pytest.raises(CommandError, match="Nobody signs in by this name"):
        call_command("remove_second_factor", "nobody")


@pytest.mark.parametrize("page", [PAGE, "/people/new/", "/people/{}/"])
def test_keys_page_asks_for_a_password_given_just_now(client, hester, monkeypatch, page):
    """A page that gives somebody a new password too: else the old one is not asked for."""
    page = page.format(hester.pk)
    sign_in(client)
    later = time.time() + 16 * 60
    monkeypatch.setattr("time.time", lambda: later)

    review, keys = client.get("/review/"), client.get(page)

    assert (review.status_code, keys.url) == (
        200,
        f"/people/prove/?next={page.replace('/', '%2F')}",
    )
    client.post("/people/prove/", {"password": PASSWORD})
    assert client.get(page).status_code == 200


def test_proof_asks_for_the_code_as_well(client, hester):
    client.force_login(hester)
    with_factor(hester)

    alone = client.post("/people/prove/", {"password": PASSWORD})
    both = client.post("/people/prove/", {"password": PASSWORD, "code": code_of(hester)})

    assert alone.context["form"].errors == {"code": ["This field is required."]}
    assert both.url == "/"
