"""The owner's pages: makers, what stages take, overtime."""

import datetime
import uuid

import pytest
from django.utils import timezone

from fittings.models import AgreedOvertime, Maker, StageTime
from fittings.promising.queries import house_stages
from tests.factories.customers import UserFactory
from tests.factories.fittings import AgreedOvertimeFactory, MakerFactory

MAKERS = "/promises/makers/"
STAGE = "/promises/stages/coat/baste/"
OVERTIME = "/promises/overtime/"
pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
TYPED = {"name": "Corvin Thale", "craft": "finisher", "minutes": 400, "since": "2026-01-05"}


@pytest.fixture
def owner(client):
    client.force_login(UserFactory(role="owner"))
    return client


def test_maker_added_twice_is_kept_once(owner):
    owner.post(MAKERS, TYPED)
    owner.post(MAKERS, TYPED)

    maker = Maker.objects.get()
    assert (maker.name, maker.craft, maker.minutes) == ("Corvin Thale", "finisher", 400)


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"name": ""}, "name", "This field is required."),
        ({"craft": "cobbler"}, "craft", "Select a valid choice"),
        ({"minutes": "0"}, "minutes", "1 or more."),
        ({"minutes": "721"}, "minutes", "More than 720"),
        ({"since": "soon"}, "since", "year-month-day"),
        ({"since": "1026-01-05"}, "since", "Look at the year again."),
        ({"until": "9999-12-31"}, "until", "over three years away"),
        ({"until": "2025-12-01"}, "__all__", "maker_leaves_after_coming"),
    ],
)
def test_wrong_maker_is_told_beside_its_field(owner, changed, field, says):
    page = owner.post(MAKERS, TYPED | changed)

    assert page.status_code == 422
    assert says in page.context["form"].errors[field][0]
    assert Maker.objects.count() == 0


def test_maker_sits_at_one_bench_only(owner):
    MakerFactory(name="corvin thale", craft="cutter")

    page = owner.post(MAKERS, TYPED)

    (told,) = page.context["form"].errors["name"]
    assert told.startswith("corvin thale sits at the bench of the cutter in these days already")


def test_maker_may_change_craft_after_a_last_day(owner):
    MakerFactory(name="Corvin Thale", craft="cutter", until=datetime.date(2026, 1, 4))

    owner.post(MAKERS, TYPED)

    assert sorted(Maker.objects.values_list("craft", flat=True)) == ["cutter", "finisher"]


def test_maker_gets_a_last_day(owner):
    maker = MakerFactory()
    last = timezone.localdate() + 3 * DAY

    typed = TYPED | {"name": maker.name, "until": str(last), "version": 1}
    owner.post(f"{MAKERS}{maker.pk}/", typed)

    maker.refresh_from_db()
    assert (maker.until, maker.version) == (last, 2)


def test_second_change_of_a_maker_is_told(owner):
    maker = MakerFactory(version=4)

    page = owner.post(f"{MAKERS}{maker.pk}/", TYPED | {"version": 3})

    assert (page.status_code, page.context["form"]["version"].value()) == (409, "4")
    assert Maker.objects.get().name == maker.name


def test_stage_takes_what_the_house_says(owner):
    typed = {"minutes": 500, "wait_days": 2, "reason": "Counted on six coats"}
    owner.post(STAGE, typed | {"entry_id": uuid.uuid4()})
    owner.post(STAGE, typed | {"entry_id": uuid.uuid4(), "minutes": 520})

    (row,) = [row for row in house_stages()["coat"] if row.key == "baste"]
    assert (row.minutes, row.wait_days, row.source) == (520, 2, "Counted on six coats")
    assert StageTime.objects.count() == 2


def test_stage_goes_back_to_the_program(owner):
    before = house_stages()
    owner.post(STAGE, {"entry_id": uuid.uuid4(), "minutes": 5, "wait_days": 9, "reason": "x"})

    owner.post(f"{STAGE}strike/", {"entry_id": uuid.uuid4()})

    assert house_stages() == before


@pytest.mark.parametrize("path", ["coat/nothing/", "hat/cut/"])
def test_unknown_stage_is_not_found(owner, path):
    assert owner.get(f"/promises/stages/{path}").status_code == 404


def test_fitting_asks_for_no_minutes(owner):
    page = owner.get("/promises/stages/coat/first-fitting/")

    assert list(page.context["form"].fields) == ["entry_id", "wait_days", "reason"]


def test_overtime_is_agreed_and_taken_back(owner):
    day = timezone.localdate() + 7 * DAY
    typed = {"craft": "finisher", "minutes": 60, "first": str(day), "last": str(day)}
    owner.post(OVERTIME, typed | {"entry_id": uuid.uuid4()})
    row = AgreedOvertime.objects.standing().get()

    owner.post(f"{OVERTIME}{row.pk}/strike/", {"entry_id": uuid.uuid4()})

    assert (row.minutes, row.first) == (60, day)
    assert not AgreedOvertime.objects.standing().exists()


def test_overtime_that_ends_before_it_starts_is_refused(owner):
    day = timezone.localdate() + 7 * DAY
    typed = {"craft": "finisher", "minutes": 60, "first": str(day), "last": str(day - DAY)}

    page = owner.post(OVERTIME, typed | {"entry_id": uuid.uuid4()})

    assert (page.status_code, list(page.context["form"].errors)) == (422, ["last"])


@pytest.mark.parametrize("count", [1, 3])
def test_owner_pages_cost_the_same_queries(owner, count, django_assert_num_queries):
    for _ in range(count):
        MakerFactory(user=UserFactory())
        AgreedOvertimeFactory()
    owner.get(MAKERS)

    with django_assert_num_queries(5):
        owner.get(MAKERS)
    with django_assert_num_queries(5):
        owner.get("/promises/stages/")
    with django_assert_num_queries(4):
        owner.get(OVERTIME)
