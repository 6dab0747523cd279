import datetime
import uuid

import pytest
from django.utils import timezone

from customers.lengths import Length, parse
from garments.models import Cut, CutVersion, Garment, InlayMovement, Remake, StageEntry
from garments.queries import inlays_of
from garments.services import set_inlay
from tests.factories import (
    CustomerFactory,
    CutFactory,
    CutVersionFactory,
    GarmentFactory,
    StageEntryFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


def order_values(version, cutter, **changed):
    values = {
        "entry_id": str(uuid.uuid4()),
        "kind": version.cut.kind,
        "cut_version": version.pk,
        "cloth": "Grey worsted, 11 oz",
        "cloth_pattern": "stripe",
        "cutter": cutter.pk,
        "promised_on": str(timezone.localdate() + datetime.timedelta(days=60)),
        "notes": "Ticket pocket",
    }
    return values | changed


def test_order_page_takes_an_order(client, sign_in):
    by, version, cutter = sign_in("front of house"), CutVersionFactory(), UserFactory(role="fitter")
    customer = CustomerFactory()

    response = client.post(f"/garments/order/{customer.number}/", order_values(version, cutter))

    coat = Garment.objects.get()
    assert (response.status_code, response["Location"]) == (302, f"/folio/garments/{coat.number}/")
    assert (coat.customer, coat.cut_version, coat.cutter) == (customer, version, cutter)
    assert (coat.cloth_pattern, coat.notes) == ("stripe", "Ticket pocket")
    assert coat.stage_entries.get().by == by


def test_order_page_sent_twice_orders_once(client, sign_in):
    sign_in("front of house")
    values = order_values(CutVersionFactory(), UserFactory(role="fitter"))
    page = f"/garments/order/{CustomerFactory().number}/"

    places = {client.post(page, values)["Location"] for _ in range(2)}

    assert (len(places), Garment.objects.count()) == (1, 1)


def test_order_page_moves_the_whole_page_by_htmx(client, sign_in):
    sign_in("front of house")
    values = order_values(CutVersionFactory(), UserFactory(role="fitter"))

    response = client.post(
        f"/garments/order/{CustomerFactory().number}/", values, headers={"HX-Request": "true"}
    )

    assert response["HX-Redirect"] == f"/folio/garments/{Garment.objects.get().number}/"


@pytest.mark.parametrize(
    ("role", "shown"), [("owner", "Make the first cut"), ("front of house", "Ask the owner")]
)
def test_order_page_of_a_house_without_cuts_tells_how(client, sign_in, role, shown):
    sign_in(role)

    page = client.get(f"/garments/order/{CustomerFactory().number}/").content.decode()

    assert (page.count(shown), page.count("<textarea")) == (1, 0)


def test_order_page_names_the_kinds_without_a_cut(client, sign_in):
    sign_in("owner")
    CutVersionFactory(cut__kind="coat")

    response = client.get(f"/garments/order/{CustomerFactory().number}/")

    assert response.context["uncut"] == ["waistcoat", "trousers", "overcoat"]


def test_order_page_marks_each_cut_with_its_kind(client, sign_in):
    sign_in("owner")
    for kind in ("coat", "trousers"):
        CutVersionFactory(cut__kind=kind)

    form = client.get(f"/garments/order/{CustomerFactory().number}/").context["form"]

    kinds = [radio.data["attrs"]["data-kind"] for radio in form["cut_version"]]
    assert kinds == ["coat", "trousers"]


@pytest.mark.parametrize("cuts", [1, 3])
def test_order_page_asks_the_same_queries(client, sign_in, django_assert_num_queries, cuts):
    sign_in("owner")
    for _ in range(cuts):
        CutVersionFactory()
        UserFactory(role="fitter")
    page = f"/garments/order/{CustomerFactory().number}/"

    # session, user, roles, customer, house, kinds with a cut, cuts, cutters
    with django_assert_num_queries(8):
        client.get(page)


def change_values(coat, **changed):
    values = {
        "entry_id": str(uuid.uuid4()),
        "version": coat.version,
        "cut_version": coat.cut_version_id,
        "cloth": coat.cloth,
        "cloth_pattern": coat.cloth_pattern,
        "cutter": coat.cutter_id,
        "promised_on": str(coat.promised_on),
        "notes": coat.notes,
    }
    return values | changed


def test_change_page_writes_the_change(client, sign_in):
    sign_in("front of house")
    coat = GarmentFactory()

    response = client.post(
        f"/garments/{coat.number}/change/", change_values(coat, cloth="Navy serge")
    )

    coat.refresh_from_db()
    assert (response.status_code, coat.cloth, coat.version) == (302, "Navy serge", 2)


def test_change_page_shows_what_someone_else_changed(client, sign_in):
    sign_in("front of house")
    coat = GarmentFactory()
    length = {"cloth_length": "3.5 m"}
    values = change_values(coat, cloth="Navy serge", **length)
    Garment.objects.update(cloth="Brown tweed", cloth_length=Length.of_cm(350), version=2)

    response = client.post(f"/garments/{coat.number}/change/", values)

    form = response.context["form"]
    assert (response.status_code, list(form.errors)) == (409, ["__all__", "cloth"])
    assert form.errors["cloth"][0].startswith("“Brown tweed” was kept meanwhile.")
    assert (form["cloth"].value(), form["version"].value()) == ("Navy serge", "2")
    assert Garment.objects.get().cloth == "Brown tweed"


def test_change_page_sent_again_after_a_conflict_wins(client, sign_in):
    sign_in("front of house")
    coat = GarmentFactory()
    Garment.objects.update(cloth="Brown tweed", version=2)

    client.post(
        f"/garments/{coat.number}/change/", change_values(coat, version=2, cloth="Navy serge")
    )

    assert Garment.objects.get().cloth == "Navy serge"


def test_change_page_offers_its_old_cut_still(client, sign_in):
    sign_in("owner")
    coat = GarmentFactory()
    newer = CutVersionFactory(cut=coat.cut_version.cut, version=2)

    form = client.get(f"/garments/{coat.number}/change/").context["form"]

    assert set(form.fields["cut_version"].queryset) == {coat.cut_version, newer}
    assert form["cut_version"].value() == coat.cut_version_id


def test_stage_page_enters_the_stage_and_why(client, sign_in):
    by, coat = sign_in("workroom"), GarmentFactory(stage="cut")
    values = {"entry_id": str(uuid.uuid4()), "stage": "basted", "reason": "Canvas in"}

    response = client.post(f"/garments/{coat.number}/stage/", values)

    entry = StageEntry.objects.get()
    assert response["Location"] == f"/folio/garments/{coat.number}/"
    assert (entry.stage, entry.reason, entry.by) == ("basted", "Canvas in", by)


def test_stage_page_of_an_ended_garment_offers_nothing(client, sign_in):
    sign_in("workroom")
    coat = GarmentFactory(stage="remade")

    page = client.get(f"/garments/{coat.number}/stage/").content.decode()

    assert (page.count("Nothing follows"), page.count("Enter it")) == (1, 0)


def test_stage_taken_back_shows_the_one_before(client, sign_in):
    sign_in("workroom")
    coat = GarmentFactory(stage="basted")
    StageEntryFactory(garment=coat, stage="cut")
    StageEntryFactory(garment=coat, stage="basted")

    response = client.post(
        f"/garments/{coat.number}/stage/take-back/", {"entry_id": str(uuid.uuid4())}, follow=True
    )

    coat.refresh_from_db()
    told = [str(message) for message in response.context["messages"]]
    assert (coat.stage, told) == ("cut", [f"Taken back: coat {coat.number} is cut."])


def test_stage_that_cannot_be_taken_back_is_told(client, sign_in):
    sign_in("workroom")
    coat = GarmentFactory()

    response = client.post(
        f"/garments/{coat.number}/stage/take-back/", {"entry_id": str(uuid.uuid4())}, follow=True
    )

    told = [str(message) for message in response.context["messages"]]
    assert told == ["“ordered” cannot be taken back."]


def inlay_values(client, coat, **changed):
    """What the browser sends of the page as it is, with some fields typed anew."""
    form = client.get(f"/garments/{coat.number}/inlays/").context["form"]
    shown = {name: form.fields[name].prepare_value(form[name].initial) for name in form.places}
    hidden = {f"initial-{name}": text for name, text in shown.items()}
    return {"entry_id": str(uuid.uuid4())} | hidden | shown | changed


def test_inlay_page_enters_only_what_was_typed(client, sign_in):
    by, coat = sign_in("workroom"), GarmentFactory()
    values = inlay_values(client, coat, **{"side-seam-L": "7/8", "centre-back": "1.9 cm"})

    client.post(f"/garments/{coat.number}/inlays/", values)

    assert inlays_of(coat) == {
        ("side-seam", "L"): parse("7/8"),
        ("centre-back", ""): parse("1.9 cm"),
    }
    assert {entry.by for entry in InlayMovement.objects.all()} == {by}


def test_inlay_page_leaves_a_seam_altered_meanwhile(client, sign_in):
    by, coat = sign_in("workroom"), GarmentFactory()
    values = inlay_values(client, coat, **{"hem-L": "1"})
    set_inlay(
        entry_id=uuid.uuid4(), garment=coat, seam="side-seam", side="L", counted=parse("1"), by=by
    )

    client.post(f"/garments/{coat.number}/inlays/", values)

    assert inlays_of(coat) == {("side-seam", "L"): parse("1"), ("hem", "L"): parse("1")}


def test_inlay_page_shows_the_normal_and_its_source(client, sign_in):
    sign_in("workroom")

    rows = client.get(f"/garments/{GarmentFactory().number}/inlays/").context["rows"]

    told = {seam.key: (places[0][0].normal_text, seam.source) for seam, places in rows}
    # W. D. F. Vincent, Vincent's Systems of Cutting, about 1903, page image 246
    assert told["side-seam"] == ("1 in", "VS 246 (forepart side seam)")
    assert told["shoulder-seam"] == ("3/4 in", "VS 246 (shoulder)")


def test_remake_page_of_the_whole_goes_to_the_new(client, sign_in):
    by, old = sign_in("fitter"), GarmentFactory(stage="returned")
    values = {
        "entry_id": str(uuid.uuid4()),
        "what": "whole",
        "reason": "Too small in the chest",
        "cut_version": old.cut_version_id,
        "promised_on": str(timezone.localdate()),
    }

    response = client.post(f"/garments/{old.number}/remake/", values)

    entry = Remake.objects.get()
    assert response["Location"] == f"/folio/garments/{entry.garment.number}/"
    assert (entry.replaces, entry.reason, entry.by) == (old, "Too small in the chest", by)


def test_remake_page_of_a_piece_stays_with_the_garment(client, sign_in):
    sign_in("fitter")
    coat = GarmentFactory(stage="first-fitting")
    values = {"entry_id": str(uuid.uuid4()), "what": "collar", "reason": "Spoilt in pressing"}

    response = client.post(f"/garments/{coat.number}/remake/", values)

    coat.refresh_from_db()
    assert response["Location"] == f"/folio/garments/{coat.number}/"
    assert (coat.stage, Remake.objects.get().piece) == ("altering", "collar")


def test_cut_pages_make_and_version_a_cut(client, sign_in):
    sign_in("owner")

    client.post("/garments/cuts/new/", {"name": "Weir drape", "kind": "coat", "note": "Full"})
    cut = Cut.objects.get()
    client.post(f"/garments/cuts/{cut.pk}/", {"version": "2", "note": "Scye higher"})

    told = list(CutVersion.objects.values_list("cut__name", "version", "note"))
    assert told == [("Weir drape", 2, "Scye higher"), ("Weir drape", 1, "Full")]


def test_cut_version_page_after_a_conflict_is_ready_to_send(client, sign_in):
    sign_in("owner")
    cut = CutVersionFactory().cut
    CutVersionFactory(cut=cut, version=2)

    response = client.post(f"/garments/cuts/{cut.pk}/", {"version": "2", "note": "Scye lower"})

    form = response.context["form"]
    assert (response.status_code, form["note"].value()) == (422, "Scye lower")
    assert form["version"].value() == "3"


@pytest.mark.parametrize(("sent", "retired"), [("yes", True), ("no", False), ("", False)])
def test_cut_is_laid_aside_or_taken_up(client, sign_in, sent, retired):
    sign_in("owner")
    cut = CutFactory(retired=not retired)

    client.post(f"/garments/cuts/{cut.pk}/retire/", {"retired": sent})

    cut.refresh_from_db()
    assert cut.retired is retired


@pytest.mark.parametrize("cuts", [1, 3])
def test_cut_list_asks_the_same_queries(client, sign_in, django_assert_num_queries, cuts):
    sign_in("owner")
    for _ in range(cuts):
        CutVersionFactory()

    # session, user, roles, cuts, versions
    with django_assert_num_queries(5):
        client.get("/garments/cuts/")


@pytest.mark.parametrize("page", ["change", "cut", "stage", "inlays", "remake"])
def test_page_of_an_unknown_garment_is_not_found(client, sign_in, page):
    sign_in("owner")

    assert client.get(f"/garments/G9999-X/{page}/").status_code == 404


@pytest.mark.parametrize("page", ["order/C9999-X", "cuts/99999"])
def test_page_of_nothing_is_not_found(client, sign_in, page):
    sign_in("owner")

    assert client.get(f"/garments/{page}/").status_code == 404


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_garment_pages_refuse_other_methods(client, sign_in, method):
    sign_in("owner")

    answer = getattr(client, method)(f"/garments/{GarmentFactory().number}/change/")

    assert (answer.status_code, answer["Allow"]) == (405, "GET, POST")


@pytest.mark.parametrize("number", ["%00", "g1042-x", "<script>", "1", "G1042", "../cuts"])
def test_address_that_is_no_number_reaches_no_view(client, sign_in, number):
    sign_in("owner")

    assert client.get(f"/garments/{number}/change/").status_code == 404
