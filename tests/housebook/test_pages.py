"""The catalogue in the browser: listed, read, changed by the owner, and shown at a fitting."""

import uuid
from dataclasses import replace

import pytest
from django.urls import reverse
from django.utils import timezone

from customers.lengths import Length
from fittings import catalogue
from fittings.housebook.queries import house_catalogue
from fittings.models import CatalogueEntry, Observation
from fittings.session.services import record_observation
from tests.factories import FittingFactory, GarmentFactory, UserFactory
from tests.housebook.conftest import ANN, ROPE, ROPE_LINK
from tests.review.scenes import altered

pytestmark = pytest.mark.django_db
SHIPPED = catalogue.load()
STANDS_OFF = SHIPPED.fault("collar-stands-off")
PAGE = "/catalogue/fault/collar-stands-off/"
ROPE_PAGE = f"/catalogue/fault/{ROPE.key}/"


def tap(**values):
    return {"entry_id": str(uuid.uuid4()), "why": "Seen often here", "who": "Ann Weir"} | values


def new_fault(**values):
    words = {"label": ROPE.label, "sign": ROPE.sign, "look": ROPE.look, "zone_key": "sleeve"}
    shown = {"cause": "sleeve-pitch-back", "strength": "usually", "stages": list(ROPE.stages)}
    return tap(**(words | shown | {"measure": ROPE.measure, "sided": "on"} | values))


def new_cause(**values):
    cause = {"name": "Lining twisted", "where": "making", "words": "It turns the sleeve."}
    cause["how_common"] = "rare"
    shown = {"fault": "sleeve-drags-in-front", "strength": "rare"}
    return tap(**(cause | shown | {"at": "release-lining:lining"} | values))


def new_remedy(**values):
    done = {"cause": "waist-tight", "at": "let-out:underarm-seam", "factor": "1/2", "most": "3/8"}
    return tap(**(done | {"stages": ["baste"], "note": "Seat too", "first": "on"} | values))


def changed_fault(**values):
    words = {"label": "Gapes behind", "sign": "It gapes.", "look": "From the side."}
    return tap(**(words | {"stages": ["baste", "finished"]} | values))


def errors(answer):
    return {name: list(said) for name, said in answer.context["form"].errors.items()}


def titles(answer):
    return [line.title for _, lines in answer.context["zones"] for line in lines]


def test_list_shows_every_fault_of_the_garment(client, owner):
    answer = client.get("/catalogue/?kind=trousers")

    assert titles(answer) == [row.label for row in SHIPPED.faults_of("trousers")]
    assert len(answer.context["causes"]) == len(
        [row for row in SHIPPED.causes if "trousers" in row.kinds]
    )


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("zone=sleeve&q=rope", [ROPE.label]),
        ("only=house", [ROPE.label]),
        ("zone=lapel&only=house", []),
        ("q=twisted+ROPE", [ROPE.label]),
        ("only=retired", []),
    ],
)
def test_list_finds_by_zone_words_and_whose(client, add, asked, found):
    add()

    assert titles(client.get(f"/catalogue/?kind=coat&{asked}")) == found


@pytest.mark.parametrize("asked", ["kind=cape", "kind=coat&zone=fork", "q=" + "x" * 61])
def test_list_asked_for_nonsense_says_so(client, owner, asked):
    answer = client.get(f"/catalogue/?{asked}")

    assert answer.status_code == 200
    assert len(errors(answer)) == 1


def test_row_says_whose_it_is_in_words(client, add):
    add()

    whose = [client.get(page).context["line"].whose for page in (PAGE, ROPE_PAGE)]

    assert whose == ["as shipped", "the house's own"]


def test_changed_row_shows_the_shipped_value_beside(client, change):
    change(STANDS_OFF, label="Gapes behind", source=ANN)

    answer = client.get(PAGE)

    differing = {v.name: (v.now, v.shipped) for v in answer.context["values"] if v.differs}
    assert differing == {
        "Label": ("Gapes behind", STANDS_OFF.label),
        "Source": (ANN, STANDS_OFF.source),
    }
    assert answer.context["line"].whose == "changed by the house"


def test_history_tells_who_when_why_and_what(client, change):
    change(STANDS_OFF, seen=change(STANDS_OFF, label="Gapes"), retired=True, label="Gapes")

    versions = client.get(PAGE).context["versions"]

    told = [(v.number, v.what, v.by, v.entry.why, list(v.changed)) for v in versions]
    assert told == [
        (2, "retired", "Ann Weir", "The house sees it so", []),
        (
            1,
            "changed",
            "Ann Weir",
            "The house sees it so",
            [("Label", STANDS_OFF.label, "Gapes")],
        ),
    ]


def test_fault_is_added_with_its_cause(client, owner):
    answer = client.post("/catalogue/new/fault/coat/", new_fault())

    assert answer.headers["Location"] == ROPE_PAGE
    book = house_catalogue()
    assert book.fault(ROPE.key) == replace(ROPE, origin=catalogue.HOUSE)
    assert book.causes_of(ROPE.key) == (replace(ROPE_LINK, origin=catalogue.HOUSE),)


def test_cause_is_added_with_fault_and_alteration(client, owner):
    client.post("/catalogue/new/cause/coat/", new_cause())

    book = house_catalogue()
    assert book.cause("house-lining-twisted").where == "making"
    assert [row.operation for row in book.remedies_of("house-lining-twisted", "coat")] == [
        "release-lining"
    ]


def test_link_is_added_between_two_rows(client, owner):
    values = {"cause": "neck-too-narrow", "fault": "collar-stands-off", "strength": "rare"}

    client.post("/catalogue/new/link/coat/", tap(**values))

    assert house_catalogue().causes_of("collar-stands-off")[-1].cause == "neck-too-narrow"


def test_remedy_is_added_before_the_others(client, owner):
    client.post("/catalogue/new/remedy/coat/", new_remedy())

    row = house_catalogue().remedies_of("waist-tight", "coat")[0]
    assert (row.operation, row.seam, str(row.factor), str(row.most), row.stages) == (
        "let-out",
        "underarm-seam",
        "1/2",
        "3/8",
        ("baste",),
    )


def test_remedy_is_changed_and_keeps_what_it_is(client, owner):
    old = SHIPPED.remedies_of("waist-tight", "coat")[0]
    page = reverse("housebook:row_update", args=["remedy", catalogue.changes.key_of(old)])

    client.post(page, tap(factor="1/4", least="1/8", most="1/4", stages=["forward"]))

    row = house_catalogue().remedies_of("waist-tight", "coat")[0]
    assert row == replace(
        old,
        factor=row.factor,
        least=row.least,
        most=row.most,
        note="",
        stages=("forward",),
        source=ANN,
        origin=catalogue.CHANGED,
    )
    assert (str(row.factor), str(row.most)) == ("1/4", "1/4")


def test_link_and_cause_are_changed(client, owner):
    link = SHIPPED.causes_of("collar-stands-off")[-1]
    at = f"/catalogue/link/{catalogue.changes.key_of(link)}/change/"
    words = {
        "name": "Back cut short",
        "where": "cut",
        "words": "It is short.",
        "how_common": "common",
    }

    client.post(at, tap(strength="sometimes", tells="Head up.", note=""))
    client.post("/catalogue/cause/back-balance-short/change/", tap(**words))

    book = house_catalogue()
    assert (book.causes_of("collar-stands-off")[-2:][0].origin, book.cause_name(link.cause)) == (
        catalogue.CHANGED,
        SHIPPED.cause_name(link.cause),
    )
    assert book.cause_name("back-balance-short") == "Back cut short"


@pytest.mark.parametrize(
    ("page", "values", "wrong"),
    [
        ("new/fault/coat", new_fault(label="x" * 29), "label"),
        ("new/fault/coat", new_fault(label="…"), "label"),
        ("new/fault/coat", new_fault(label="SLEEVE too long"), "label"),
        ("new/fault/coat", new_fault(who=""), "who"),
        ("new/fault/coat", new_fault(who="Ann; Bea"), "who"),
        ("new/fault/coat", new_fault(why=""), "why"),
        ("new/fault/coat", new_fault(strength="mostly"), "strength"),
        ("new/fault/coat", new_fault(strength=""), "strength"),
        ("new/fault/coat", new_fault(cause="fork-small"), "cause"),
        ("new/fault/coat", new_fault(zone_key="fork"), "zone_key"),
        ("new/fault/coat", new_fault(stages=[]), "stages"),
        ("new/cause/coat", new_cause(name="back balance SHORT"), "name"),
        ("new/cause/coat", new_cause(at="release-lining:hem"), "at"),
        ("new/cause/coat", new_cause(at="mend:hem"), "at"),
        ("new/cause/coat", new_cause(factor="1"), "factor"),
        ("new/cause/coat", new_cause(at="recut:back-neck", work_side="L"), "work_side"),
        ("new/remedy/coat", new_remedy(factor=""), "factor"),
        ("new/remedy/coat", new_remedy(factor="-1"), "factor"),
        ("new/remedy/coat", new_remedy(most="9 8/8"), "most"),
        ("new/remedy/coat", new_remedy(most="1/16"), "most"),
        ("new/remedy/coat", new_remedy(least="0"), "least"),
        ("new/remedy/coat", new_remedy(most="7"), "most"),
        ("new/remedy/coat", new_remedy(at="let-out:centre-back", work_side="L"), "work_side"),
        ("new/remedy/coat", new_remedy(faults=["collar-stands-off"]), "faults"),
        (
            "new/link/coat",
            tap(cause="neck-too-narrow", fault="collar-stands-off", strength="rare", side="L"),
            "side",
        ),
        ("fault/collar-stands-off/change", changed_fault(label="roll under the COLLAR"), "label"),
        ("fault/collar-stands-off/change", changed_fault(sign=""), "sign"),
    ],
)
def test_bad_value_is_told_beside_its_field(client, owner, page, values, wrong):
    answer = client.post(f"/catalogue/{page}/", values)

    assert answer.status_code == 422
    assert list(errors(answer)) == [wrong]
    assert CatalogueEntry.objects.count() == 0


def test_what_is_there_already_is_told_beside_its_name(client, add):
    add()

    same = client.post("/catalogue/new/fault/coat/", new_fault(zone_key="lapel"))
    link = {"cause": "sleeve-pitch-back", "fault": ROPE.key, "strength": "rare"}
    again = client.post("/catalogue/new/link/coat/", tap(**link))

    said = ["The catalogue has that row already: change it instead."]
    assert (errors(same), errors(again)) == ({"label": said}, {"__all__": said})


def test_row_that_would_leave_the_catalogue_wrong_is_refused(client, owner):
    only = "/catalogue/link/leg-wide.bottom-too-wide/"

    answer = client.post(f"{only}retire/", tap(retired="yes"))

    label = SHIPPED.fault_label("bottom-too-wide")
    assert errors(answer)["__all__"][0] == f"Nothing explains fault “{label}”."
    assert answer.status_code == 422


def test_second_owner_keeps_what_was_typed(client, change):
    first = change(STANDS_OFF, label="Gapes", source=ANN)

    late = client.post(f"{PAGE}change/", changed_fault(seen=""))
    again = client.post(f"{PAGE}change/", changed_fault(seen=late.context["form"]["seen"].value()))

    assert late.status_code == 409
    assert late.context["form"]["label"].value() == "Gapes behind"
    assert errors(late)["__all__"][0].startswith("Ann Weir changed this row while you had it open")
    assert (again.status_code, CatalogueEntry.objects.last().strikes) == (302, first)


def test_row_is_retired_taken_up_and_put_back(client, owner):
    told = []
    for verb, values in (
        ("retire", {"retired": "yes"}),
        ("retire", {"retired": "no"}),
        ("as-shipped", {}),
    ):
        newest = CatalogueEntry.objects.last()
        answer = client.post(f"{PAGE}{verb}/", tap(seen=newest.pk if newest else "", **values))
        assert answer.status_code == 302
        told.append(client.get(PAGE).context["versions"][0].what)

    assert told == ["retired", "changed", "put back as shipped"]
    assert house_catalogue() == SHIPPED


@pytest.mark.parametrize(
    "page",
    [
        "fault/nought",
        "table/x",
        "fault/nought/change",
        "new/zone/coat",
        "new/fault/overcoat",
        "cause/collar-stands-off",
    ],
)
def test_unknown_row_is_not_found(client, owner, page):
    assert client.get(f"/catalogue/{page}/").status_code == 404


@pytest.mark.parametrize("table", ["fault", "cause", "link", "remedy"])
def test_forms_open_filled_with_what_stands(client, owner, table):
    row = getattr(SHIPPED, {"remedy": "remedies"}.get(table, f"{table}s"))[0]
    page = reverse("housebook:row_update", args=[table, catalogue.changes.key_of(row)])

    form = client.get(page).context["form"]

    shown = {name: form[name].value() for name in form.fields if hasattr(row, name)}
    said = {name: getattr(row, name) for name in shown}
    assert {name: str(value) for name, value in shown.items()} == {
        name: value.text("in") if isinstance(value, Length) else str(value)
        for name, value in said.items()
    }


@pytest.mark.parametrize("count", [1, 3, 10])
def test_pages_ask_a_fixed_number_of_questions(
    client, add, change, django_assert_num_queries, *, count
):
    add()
    newest = None
    for number in range(count):
        newest = change(STANDS_OFF, label=f"Gapes {number}", source=ANN, seen=newest)
    client.get("/catalogue/")

    with django_assert_num_queries(4):
        client.get("/catalogue/")
    with django_assert_num_queries(5):
        client.get(PAGE)
    with django_assert_num_queries(6):
        client.get(f"{PAGE}change/")


@pytest.fixture
def coat(owner):
    garment = GarmentFactory(kind="coat", stage="first-fitting")
    return garment, FittingFactory(
        customer=garment.customer, fitter=owner, garments=[garment], started_at=timezone.now()
    )


def test_house_fault_is_logged_at_a_fitting(client, add, coat):
    garment, fitting = coat
    add()

    screen = client.get(f"/fitting/{fitting.pk}/")
    client.post(
        f"/fitting/{fitting.pk}/{garment.number}/seen/",
        {"entry_id": uuid.uuid4(), "seen": f"{ROPE.key}:L", "amount": "3/8 in"},
    )

    seen = Observation.objects.get()
    tile = f'value="{ROPE.key}:L"'
    zone = screen.context["panels"].split('id="zone-sleeve"')[1].split('id="zone-waist"')[0]
    assert (tile in zone, ROPE.label in zone) == (True, True)
    assert (seen.zone, seen.fault, seen.side) == ("sleeve", ROPE.key, "L")
    line = client.get(f"/fitting/{fitting.pk}/").context["reading"].fault_lines[0]
    assert (line.words, line.offers[0].usual.cause.key) == (ROPE.label, "sleeve-pitch-back")


def test_retired_fault_keeps_its_words_at_an_old_fitting(client, add, change, coat):
    garment, fitting = coat
    added = add()[0]
    values = {"zone": "sleeve", "fault": ROPE.key, "side": "L", "amount": None}
    record_observation(
        entry_id=uuid.uuid4(), fitting=fitting, garment=garment, by=fitting.fitter, **values
    )
    change(ROPE, retired=True, seen=added)

    answer = client.get(f"/fitting/{fitting.pk}/")
    folio = client.get(f"/folio/garments/{garment.number}/")
    told = [event.text for day in folio.context["days"] for _, event in day.events]

    line = answer.context["reading"].fault_lines[0]
    assert (line.words, line.offers, ROPE.key in answer.context["panels"]) == (
        ROPE.label,
        [],
        False,
    )
    assert [text for text in told if ROPE.label in text] == [f"Sleeve: {ROPE.label}, left"]


def test_exported_tables_hold_the_words_of_the_house(client, add, change):
    added = add()[0]
    altered("cured", "2025-06-02", fault=ROPE.key)
    asked = {"since": "2025-01-01", "until": "2025-12-31", "by": "fault"}

    before = client.get("/review/cures.csv", asked).content.decode()
    change(ROPE, retired=True, seen=added)
    after = client.get("/review/cures.csv", asked).content.decode()

    assert [file.splitlines()[1].split('",')[0] for file in (before, after)] == [
        f'"Coat, sleeve: {ROPE.label}',
        f'"Coat, sleeve: {ROPE.label} (retired)',
    ]


def test_nothing_is_proposed_where_all_that_was_seen_is_retired(client, change, coat):
    garment, fitting = coat
    values = {"zone": "collar", "fault": STANDS_OFF.key, "side": "", "amount": None}
    record_observation(
        entry_id=uuid.uuid4(), fitting=fitting, garment=garment, by=fitting.fitter, **values
    )
    change(STANDS_OFF, retired=True)

    answer = client.get(f"/fitting/{fitting.pk}/")

    assert (answer.status_code, list(answer.context["proposal"].lines)) == (200, [])


def test_remedy_form_offers_the_faults_of_its_cause_alone(client, owner):
    form = client.get("/catalogue/new/remedy/coat/?cause=collar-too-long").context["form"]

    assert form.fields["faults"].choices == [(STANDS_OFF.key, STANDS_OFF.label)]


def test_fitter_reads_and_does_not_change(client, owner):
    client.force_login(UserFactory(role="fitter"))

    statuses = [
        client.get("/catalogue/").status_code,
        client.get(PAGE).status_code,
        client.get(f"{PAGE}change/").status_code,
        client.post(f"{PAGE}retire/", tap(retired="yes")).status_code,
    ]

    assert statuses == [200, 200, 403, 403]
    assert "Change it" not in client.get(PAGE).content.decode()
