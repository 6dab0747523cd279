"""The pages of what is promised."""

import datetime
import re
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from customers.models import Customer
from fittings.promising import views
from garments.models import Garment
from tests.factories.customers import CustomerFactory, UserFactory
from tests.factories.fittings import MakerFactory
from tests.factories.garments import CutVersionFactory, GarmentFactory

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
LIST = "/promises/"


@pytest.fixture
def desk(client):
    client.force_login(UserFactory(role="front of house"))
    return client


def promised(days, **values):
    """A coat that was fitted first today, promised so many days from now."""
    today = timezone.localdate()
    values = {"stage": "first-fitting", "ordered_on": today - 30 * DAY} | values
    return GarmentFactory(promised_on=today + days * DAY, **values)


def rows_of(page):
    body = page.content.decode().partition("<tbody>")[2].partition("</tbody>")[0]
    return [" ".join(strip_tags(row).split()) for row in body.split("</tr>")[:-1]]


def test_list_shows_those_at_risk(desk, makers):
    late, sure = promised(8), promised(200)

    page = desk.get(LIST)

    assert [row.garment for row in page.context["rows"]] == [late]
    assert (page.context["at_risk"], page.context["count"]) == (1, 2)
    assert desk.get(LIST, {"show": "all"}).context["rows"][1].garment == sure


def test_long_list_is_paged_by_due_day(desk, makers, monkeypatch):
    monkeypatch.setattr(views, "ROWS_SHOWN", 2)
    coats = [promised(200 + days) for days in (2, 0, 1)]

    first = desk.get(LIST, {"show": "all"})
    second = desk.get(LIST, {"show": "all", "page": "2"})

    shown = [[row.garment for row in page.context["rows"]] for page in (first, second)]
    assert shown == [[coats[1], coats[2]], [coats[0]]]
    assert "?show=all&amp;page=2" in first.content.decode()
    assert (second.context["count"], "page 2 of 2" in second.content.decode()) == (3, True)


@pytest.mark.parametrize("page", ["0", "-1", "9", "x", "9" * 40])
def test_page_that_is_not_there_is_another(desk, makers, page):
    promised(8)

    assert len(desk.get(LIST, {"page": page}).context["rows"]) == 1


def test_list_tells_step_and_reason_in_words(desk, makers):
    """Coats due the same day: the last waits longest for the one coat maker."""
    for _ in range(3):
        promised(33)

    (*_, last) = rows_of(desk.get(LIST, {"show": "all"}))

    assert re.search(r"(late|tight) [\w ]+ at the coat maker in week \d+$", last)


def test_list_without_makers_says_what_to_do(desk, db):
    promised(8)

    page = desk.get(LIST)

    assert "Nobody sits at a bench yet" in page.content.decode()
    assert page.context["count"] == 0


def test_garment_shows_every_stage_before_it(desk, makers):
    coat = promised(60)

    page = desk.get(reverse("promising:promise_detail", args=[coat.number]))

    assert [row.partition(" ")[0] for row in rows_of(page)] == [
        "Cutting",
        "Forward",
        "Forward",
        "Altering",
        "Making",
        "Finishing",
        "Final",
        "Last",
    ]
    critical = [line.planned.slack for line in page.context["lines"] if line.critical]
    assert set(critical) == {min(line.planned.slack for line in page.context["lines"])}


def test_delivered_garment_owes_nothing(desk, makers):
    coat = promised(60, stage="delivered")

    page = desk.get(reverse("promising:promise_detail", args=[coat.number]))

    assert "It is not in work any more" in page.content.decode()


def tried(desk, coat, **asked):
    return desk.get(reverse("promising:what_if", args=[coat.number]), asked)


def test_another_maker_gains_days_and_writes_nothing(desk, makers):
    coats = [promised(44) for _ in range(4)]
    before = [row.pk for row in type(makers["cutter"]).objects.all()]

    page = tried(desk, coats[-1], maker="coat-maker")

    assert page.context["mine"].difference.gained > 0
    moved = page.context["others"] + page.context["sooner"]
    assert {row.garment for row in moved} <= set(coats[:-1])
    assert [row.pk for row in type(makers["cutter"]).objects.all()] == before


def test_one_fitting_less_gains_its_notice(desk, makers):
    coat = promised(44)

    page = tried(desk, coat, less="forward-fitting")

    assert page.context["mine"].difference.gained >= 5
    assert page.context["others"] == []
    assert page.context["form"].said == "no forward fitting"


@pytest.mark.parametrize(
    ("asked", "field", "says"),
    [
        ({"maker": ""}, "__all__", "Choose something to try"),
        ({"maker": "cobbler"}, "maker", "Select a valid choice"),
        ({"overtime": "finisher", "minutes": "60", "first": "2026-01-01"}, "last", "needs this"),
        ({"overtime": "finisher", "minutes": "many"}, "minutes", "whole minutes"),
        ({"overtime": "finisher", "minutes": "999"}, "minutes", "More than 300"),
        ({"overtime": "finisher", "first": "1026-01-01"}, "first", "over three years away"),
    ],
)
def test_wrong_what_if_is_told_beside_its_field(desk, makers, asked, field, says):
    page = tried(desk, promised(44), **asked)

    assert page.status_code == 422
    assert any(says in error for error in page.context["form"].errors[field])


def test_ask_tells_earliest_day_and_fittings(desk, makers):
    page = desk.get("/promises/ask/", {"kind": "coat"})

    told = page.context["told"]
    assert told.earliest.order.due == told.earliest.ready
    assert [row.partition(" fitting")[0] for row in rows_of(page)][:2] == ["First", "Forward"]


def test_ask_tells_which_promises_a_wish_would_break(desk, makers):
    soon = [promised(days) for days in (46, 47, 48)]

    earliest = desk.get("/promises/ask/", {"kind": "coat"}).context["told"].earliest.ready
    kept = [desk.get("/promises/ask/", {"kind": "coat", "wished": str(earliest)})]
    wish = earliest - 20 * DAY
    page = desk.get("/promises/ask/", {"kind": "coat", "wished": str(wish)})

    assert (kept[0].context["told"].kept, page.context["told"].kept) == (True, False)
    assert page.context["doubt"].startswith("That cannot be kept. The earliest day")
    assert set(page.context["told"].broken) <= set(soon)


def test_ask_refuses_a_day_gone_by(desk, makers):
    page = desk.get("/promises/ask/", {"kind": "coat", "wished": "2020-01-01"})

    assert page.status_code == 422
    assert page.context["form"].errors == {
        "wished": ["That is over three years away: look at the year."]
    }


@pytest.mark.parametrize("asked", [{}, {"kind": "hat"}, {"kind": "coat", "promised_on": "x"}])
def test_line_for_the_order_stands_whatever_is_typed(desk, makers, asked):
    page = desk.get("/promises/earliest/", asked)

    told = asked.get("kind") == "coat"
    assert (page.status_code, "told" in page.context) == (200, told)


def order(client, day, **values):
    customer = CustomerFactory()
    version = CutVersionFactory()
    typed = {
        "entry_id": uuid.uuid4(),
        "kind": "coat",
        "cut_version": version.pk,
        "cloth": "Grey",
        "cloth_pattern": "plain",
    }
    cutter = UserFactory(role="fitter")
    where = reverse("garments:garment_create", args=[customer.number])
    return client.post(where, {**typed, "cutter": cutter.pk, "promised_on": str(day), **values})


def test_order_asks_before_a_day_too_early(desk, makers):
    page = order(desk, timezone.localdate() + 5 * DAY)

    (told,) = page.context["form"].errors["promised_on"]
    assert told.startswith("That cannot be kept. The earliest day that breaks no promise is ")
    assert 'name="all_the_same"' in page.content.decode()
    assert Garment.objects.count() == 0


def test_order_is_taken_when_promised_all_the_same(desk, makers):
    day = timezone.localdate() + 5 * DAY

    order(desk, day, all_the_same="on")

    assert Garment.objects.get().promised_on == day


@pytest.mark.parametrize("days", [300, 5])
def test_order_is_not_asked_without_reason(desk, db, days):
    """Far off with makers, or at any day while nobody is named."""
    if days == 300:
        for craft in ("cutter", "coat-maker", "finisher"):
            MakerFactory(craft=craft)

    order(desk, timezone.localdate() + days * DAY)

    assert (Garment.objects.count(), Customer.objects.count()) == (1, 1)


def change(client, garment, day, **values):
    form = client.get(f"/garments/{garment.number}/change/").context["form"]
    kept = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    typed = kept | {"promised_on": str(day)} | values
    return client.post(f"/garments/{garment.number}/change/", typed)


def test_change_asks_before_a_day_that_cannot_be_kept(desk, makers):
    coat = promised(300)
    soon = timezone.localdate() + 5 * DAY

    page = change(desk, coat, soon)

    (told,) = page.context["form"].errors["promised_on"]
    assert told.startswith("That cannot be kept. The earliest day that breaks no promise is ")
    assert 'name="all_the_same"' in page.content.decode()
    assert change(desk, coat, soon, all_the_same="on").status_code == 302
    assert Garment.objects.get().promised_on == soon


def test_change_names_the_promises_it_would_break(desk, makers):
    tight, ahead = promised(300), promised(301, stage="forward-fitting")
    page = desk.get(f"/promises/garment/{tight.number}/")
    last = page.context["row"].plan.ready
    Garment.objects.filter(pk=tight.pk).update(promised_on=last)

    page = change(desk, ahead, last - DAY)

    (told,) = page.context["form"].errors["promised_on"]
    assert told.startswith(f"That would break what is promised for {tight.number}.")


@pytest.mark.parametrize("days", [300, 301])
def test_change_is_not_asked_without_reason(desk, makers, days):
    coat = promised(300)

    page = change(desk, coat, timezone.localdate() + days * DAY, cloth="Grey flannel, 11 oz")

    assert page.status_code == 302
    assert Garment.objects.get().promised_on == timezone.localdate() + days * DAY


@pytest.mark.parametrize("count", [1, 3, 10])
def test_pages_cost_the_same_queries(desk, makers, count, django_assert_num_queries):
    coats = [promised(8) for _ in range(count)]
    desk.get(LIST)

    with django_assert_num_queries(16):
        desk.get(LIST)
    with django_assert_num_queries(17):
        tried(desk, coats[0], maker="coat-maker")
    with django_assert_num_queries(16):
        desk.get("/promises/ask/", {"kind": "coat"})
