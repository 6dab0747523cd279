"""A version of a cut keeps its figures; editing them makes the next version, and nothing else."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, connection

from customers.models import House
from garments import cutting
from garments.cutbook.figures import figures_of
from garments.cutbook.services import add_cut_version, make_cut
from garments.models import CutVersion
from tests.factories import CutFactory, CutVersionFactory, GarmentFactory

DRAPE = cutting.house_cut("drape", "coat")
DATA = cutting.data_of(DRAPE)


def page_of(version):
    return f"/garments/cuts/{version.cut_id}/"


def sent(client, version, **changed):
    """What the browser sends of the next version's page, with some fields typed anew."""
    form = client.get(page_of(version)).context["form"]
    shown = {name: field.initial for name, field in form.fields.items()}
    return shown | {"version": form["version"].value(), "note": "More linen"} | changed


@pytest.fixture
def first(db):
    return CutVersionFactory(data=DATA)


@pytest.mark.parametrize("statement", ["UPDATE {} SET note = 'x'", "DELETE FROM {}"])
def test_guard_of_cut_versions_refuses_after_the_migration(either_database, statement):
    CutVersionFactory(note="First")

    with pytest.raises(IntegrityError, match="only added to"), connection.cursor() as cursor:
        cursor.execute(statement.format(CutVersion._meta.db_table))

    assert CutVersion.objects.get().note == "First"


def test_migration_there_and_back_keeps_versions_and_guard(sqlite_database):
    garment = GarmentFactory(cut_version__note="First")
    call_command("migrate", "garments", "0003", verbosity=0)
    with pytest.raises(IntegrityError, match="only added to"), connection.cursor() as cursor:
        cursor.execute("DELETE FROM garments_cutversion")

    call_command("migrate", "garments", verbosity=0)

    with pytest.raises(IntegrityError, match="only added to"), connection.cursor() as cursor:
        cursor.execute("UPDATE garments_cutversion SET note = 'x'")
    version = CutVersion.objects.get()
    assert (version, version.note, version.data) == (garment.cut_version, "First", {})


@pytest.mark.django_db
def test_make_cut_starts_from_the_figures_chosen():
    made = make_cut(name="Weir", kind="coat", note="", start="drape")

    assert figures_of("coat", made) == DRAPE


@pytest.mark.django_db
def test_make_cut_refuses_figures_of_another_kind():
    with pytest.raises(ValidationError) as refusal:
        make_cut(name="Weir", kind="overcoat", note="", start="close")

    assert refusal.value.message_dict == {
        "start": ["It has no figures for this garment: choose another."]
    }
    assert CutVersion.objects.count() == 0


def test_add_cut_version_refuses_contradiction_by_figure(first):
    data = {**DATA, "points": DATA["points"] | {"chest": DATA["points"]["chest"] | {"least": "9"}}}

    with pytest.raises(ValidationError) as refusal:
        add_cut_version(cut=first.cut, version=2, note="Closer", data=data)

    assert refusal.value.message_dict == {
        "chest-least": ["The least ease at the chest is more than its ease, 5 1/2 in."]
    }
    assert CutVersion.objects.count() == 1


def test_unreadable_figures_aim_at_nothing(first):
    first.data = {"points": {"chest": {"ease": "much"}}}

    assert figures_of("coat", first).points == {}


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_page_sent_as_shown_changes_no_figure(client, sign_in, first, unit):
    sign_in("owner")
    house = House.get()
    house.unit = unit
    house.save()

    client.post(page_of(first), sent(client, first))

    assert CutVersion.objects.get(version=2).data == DATA


def test_page_makes_a_new_version_and_leaves_the_old(client, sign_in, first):
    sign_in("owner")
    coat = GarmentFactory(cut_version=first)

    response = client.post(page_of(first), sent(client, first, **{"linen-value": "3/4"}))

    added = CutVersion.objects.get(version=2)
    coat.refresh_from_db()
    assert response["Location"] == "/garments/cuts/"
    assert added.data["rules"]["linen"]["value"] == "3/4 in"
    assert (coat.cut_version, coat.cut_version.data) == (first, DATA)


def test_page_sent_twice_makes_one_version(client, sign_in, first):
    sign_in("owner")
    values = sent(client, first, **{"linen-value": "3/4"})

    for _ in range(2):
        assert client.post(page_of(first), values).status_code == 302

    assert CutVersion.objects.count() == 2


@pytest.mark.parametrize(
    ("typed", "messages"),
    [
        ({"chest-least": "9"}, ["The least ease at the chest is more than its ease, 5 1/2 in."]),
        ({"chest-most": ""}, ["Write the measure, for example 38 1/2 or 97.8 cm."]),
        ({"linen-value": "much"}, ["much cannot be read: write it like 38 1/2, 38.5 or 97.8 cm."]),
        ({"linen-value": ""}, ["Write the figure for “linen shown”."]),
        ({"note": ""}, ["This field is required."]),
    ],
)
def test_page_refuses_beside_the_field_and_keeps_typing(client, sign_in, first, typed, messages):
    sign_in("owner")
    (name,) = typed

    response = client.post(page_of(first), sent(client, first, **typed))

    form = response.context["form"]
    assert (response.status_code, {k: list(v) for k, v in form.errors.items()}) == (
        422,
        {name: messages},
    )
    assert form[name].value() == typed[name]


def test_page_leaves_out_a_row_left_empty(client, sign_in, first):
    sign_in("owner")
    empty = {f"cuff-{name}": "" for name in cutting.FIGURES}

    client.post(page_of(first), sent(client, first, **empty))

    assert set(DATA["points"]) - set(CutVersion.objects.get(version=2).data["points"]) == {"cuff"}


def test_page_of_a_cut_without_figures_offers_to_start(client, sign_in, db):
    sign_in("owner")
    bare = CutVersionFactory(cut=CutFactory(kind="overcoat"))

    offered = client.get(page_of(bare)).context["starts"]
    form = client.get(f"{page_of(bare)}?start=drape").context["form"]

    assert [value for value, _ in offered] == ["drape", "soft-shoulder"]
    assert form["back-length-ease"].value() == "13 in"


@pytest.mark.parametrize("cuts", [1, 3])
def test_cut_list_shows_figures_in_the_same_queries(
    client, sign_in, db, django_assert_num_queries, cuts
):
    sign_in("fitter")
    for _ in range(cuts):
        CutVersionFactory(data=DATA)

    # session, user, roles, cuts, versions
    with django_assert_num_queries(5):
        shown = client.get("/garments/cuts/").context["cuts"]

    linen = ("Linen shown", "1/2 in", "1/2 in: FL; 1 to 1.5 cm: JF, BS")
    assert [figures.rules[0] for _, figures in shown] == [linen] * cuts
