"""Every form of this room sent empty, absurd, hostile, of the wrong type or with another's id.

Each time: 422, a clear message beside the field, what was typed kept as it was, nothing written.
"""

import datetime
import uuid
from html import unescape

import pytest
from django.utils import timezone

from customers.lengths import Length
from garments.models import Cut, CutVersion, Garment, InlayMovement, Remake, StageEntry
from garments.queries import inlays_of
from tests.factories import CutVersionFactory, GarmentFactory, MeasurementSetFactory, UserFactory
from tests.garments.ready import measured, ordered

pytestmark = pytest.mark.django_db

SCRIPT = "<script>alert(1)</script>"
HUGE = "x" * 1_000_000
WRITTEN = (Cut, CutVersion, Garment, InlayMovement, Remake, StageEntry)
YESTERDAY = str(timezone.localdate() - datetime.timedelta(days=1))

REQUIRED = "This field is required."
NO_CHOICE = "Select a valid choice. That choice is not one of the available choices."
NOT_OF_CHOICES = "Select a valid choice. {} is not one of the available choices."
TOO_LONG = "Ensure this value has at most {} characters (it has 1000000)."
NOT_A_DAY = "Write the day as year-month-day: 2026-11-25."
BAD_ID = "Enter a valid UUID."

ORDER = [
    ("kind", "", REQUIRED),
    ("kind", "cape", NOT_OF_CHOICES.format("cape")),
    ("kind", SCRIPT, NOT_OF_CHOICES.format(SCRIPT)),
    ("cut_version", "", REQUIRED),
    ("cut_version", "99999", NO_CHOICE),
    ("cut_version", "eleven", NO_CHOICE),
    ("cut_version", "of another kind", "Long is not a cut for this kind of garment."),
    ("cut_version", "laid aside", NO_CHOICE),
    ("cloth", "", REQUIRED),
    ("cloth", "   ", REQUIRED),
    ("cloth", HUGE, TOO_LONG.format(120)),
    ("cloth", "grey\x00worsted", "Null characters are not allowed."),
    ("cloth_pattern", "tartan", NOT_OF_CHOICES.format("tartan")),
    ("cutter", "", REQUIRED),
    ("cutter", "of the workroom", NO_CHOICE),
    ("cutter", "9" * 40, NO_CHOICE),
    ("promised_on", YESTERDAY, "That day is gone by: promise a day from today on."),
    ("promised_on", "9999-12-31", "That is more than five years away: look at the year again."),
    ("promised_on", "2026-02-30", NOT_A_DAY),
    ("promised_on", SCRIPT, NOT_A_DAY),
    ("notes", HUGE, TOO_LONG.format(2000)),
    ("entry_id", "not-an-id", BAD_ID),
]
CHANGE = [
    ("version", "", REQUIRED),
    ("version", "one", "Enter a whole number."),
    ("version", "-1", "Ensure this value is greater than or equal to 1."),
    ("cloth", "", REQUIRED),
    ("cloth", HUGE, TOO_LONG.format(120)),
    ("cut_version", "of another kind", NO_CHOICE),
    ("cutter", "of the workroom", NO_CHOICE),
    ("promised_on", YESTERDAY, "That day is gone by: promise a day from today on."),
    ("promised_on", SCRIPT, NOT_A_DAY),
    ("notes", HUGE, TOO_LONG.format(2000)),
]
CUT = [
    ("measurement_set", "", REQUIRED),
    ("measurement_set", "another customer's", NO_CHOICE),
    ("measurement_set", "struck out", NO_CHOICE),
    ("measurement_set", str(uuid.UUID(int=7)), NO_CHOICE),
    ("measurement_set", SCRIPT, f"“{SCRIPT}” is not a valid UUID."),
    ("measurement_set", HUGE, f"“{HUGE}” is not a valid UUID."),
    ("entry_id", "", REQUIRED),
]
STAGE = [
    ("stage", "", REQUIRED),
    ("stage", "delivered", "It is “cut”: that stage cannot come next."),
    ("stage", SCRIPT, "It is “cut”: that stage cannot come next."),
    ("stage", HUGE, "It is “cut”: that stage cannot come next."),
    ("reason", HUGE, TOO_LONG.format(300)),
    ("entry_id", SCRIPT, BAD_ID),
]
INLAYS = [
    ("side-seam-L", "", "Write what is left in the seam: 0 when nothing is."),
    ("side-seam-L", "7", "More than 6 in: look at the tape again."),
    ("entry_id", "7", BAD_ID),
]
REMAKE = [
    ("what", "", REQUIRED),
    ("what", "fly", NOT_OF_CHOICES.format("fly")),
    ("what", SCRIPT, NOT_OF_CHOICES.format(SCRIPT)),
    ("reason", "", REQUIRED),
    ("reason", HUGE, TOO_LONG.format(300)),
    ("cut_version", "of another kind", NO_CHOICE),
    ("cutter", "of the workroom", NO_CHOICE),
    ("promised_on", YESTERDAY, "That day is gone by: promise a day from today on."),
    ("promised_on", "soon", NOT_A_DAY),
    ("notes", HUGE, TOO_LONG.format(2000)),
]
NEW_CUT = [
    ("name", "", REQUIRED),
    ("name", HUGE, TOO_LONG.format(60)),
    ("name", "long", "There is a cut called long for this garment already."),
    ("kind", "cape", NOT_OF_CHOICES.format("cape")),
    ("note", HUGE, TOO_LONG.format(300)),
]
NEW_VERSION = [
    ("note", "", REQUIRED),
    ("note", HUGE, TOO_LONG.format(300)),
    ("version", "two", "Enter a whole number."),
    ("version", "0", "Ensure this value is greater than or equal to 1."),
]
CASES = [
    pytest.param((page, *row), id=f"{page}-{row[0]}-{row[1][:20]!r}")
    for page, rows in {
        "order": ORDER,
        "change": CHANGE,
        "cut": CUT,
        "stage": STAGE,
        "inlays": INLAYS,
        "remake": REMAKE,
        "new cut": NEW_CUT,
        "new version": NEW_VERSION,
    }.items()
    for row in rows
]


@pytest.fixture
def scene(client, sign_in):
    """For each page its address and values that are good, and what bad values stand for."""
    owner, fitter = sign_in("owner"), UserFactory(role="fitter")
    coat = GarmentFactory(cutter=fitter)
    trousers = CutVersionFactory(cut__kind="trousers", cut__name="Long")
    aside = CutVersionFactory(cut__kind="coat", cut__retired=True)
    uncut, measures = ordered(coat.customer, by=fitter), measured(coat.customer)
    struck = MeasurementSetFactory(customer=coat.customer)
    MeasurementSetFactory(customer=coat.customer, strikes=struck)
    altering, basting = GarmentFactory(stage="altering"), GarmentFactory(stage="cut")
    agreed = {
        "entry_id": str(uuid.uuid4()),
        "cut_version": str(coat.cut_version_id),
        "cloth": "Grey worsted",
        "cloth_pattern": "plain",
        "cutter": str(fitter.pk),
        "promised_on": str(timezone.localdate()),
        "notes": "Ticket pocket",
    }
    entry = {"entry_id": str(uuid.uuid4())}
    return {
        "meant": {
            "of another kind": str(trousers.pk),
            "laid aside": str(aside.pk),
            "of the workroom": str(UserFactory(role="workroom").pk),
            "another customer's": str(MeasurementSetFactory().pk),
            "struck out": str(struck.pk),
        },
        "order": (f"order/{coat.customer.number}", agreed | {"kind": "coat"}),
        "change": (f"{coat.number}/change", agreed | {"version": "1"}),
        "cut": (f"{uncut.number}/cut", entry | {"measurement_set": str(measures.pk)}),
        "stage": (f"{basting.number}/stage", entry | {"stage": "basted", "reason": "Canvas in"}),
        "inlays": (
            f"{coat.number}/inlays",
            entry | {"initial-side-seam-L": shown_of(coat), "side-seam-L": "7/8"},
        ),
        "remake": (
            f"{altering.number}/remake",
            entry | {"what": "whole", "reason": "Too small", "cutter": str(owner.pk)},
        ),
        "new cut": ("cuts/new", {"name": "Weir drape", "kind": "trousers", "note": "Full"}),
        "new version": (f"cuts/{trousers.cut_id}", {"version": "2", "note": "Higher"}),
    }


def shown_of(coat):
    """What the page shows of the left side seam's inlay."""
    return inlays_of(coat).get(("side-seam", "L"), Length(0)).text("in")


def written():
    return [
        *(model.objects.count() for model in WRITTEN),
        *Garment.objects.values_list("cloth", "stage", "version"),
    ]


@pytest.mark.parametrize("case", CASES)
def test_bad_input_is_told_beside_its_field(client, scene, errors_of, case):
    page, field, value, message = case
    address, good = scene[page]
    sent = scene["meant"].get(value, value)
    before = written()

    response = client.post(f"/garments/{address}/", good | {field: sent})

    assert (response.status_code, written()) == (422, before)
    assert errors_of(response) == {field: [message]}
    assert kept(response) == {**kept_values(good, response), field: sent}


def kept(response):
    """What every field of the form shows again."""
    form = response.context["form"]
    return {name: str(form[name].value() or "") for name in form.fields}


def kept_values(good, response):
    return {name: good.get(name, "") for name in response.context["form"].fields}


@pytest.mark.parametrize(
    "text",
    ["1/0", "7/8/8", "-1/8", SCRIPT, HUGE, "½½", "1 in 2 cm", "nan", "1e9", "٣", "9" * 400],
    ids=lambda text: text[:12],
)
def test_inlay_that_is_no_length_is_told(client, scene, errors_of, text):
    address, good = scene["inlays"]

    response = client.post(f"/garments/{address}/", good | {"side-seam-L": text})

    (messages,) = errors_of(response).values()
    counted = InlayMovement.objects.filter(reason="counted").count()
    assert (response.status_code, len(messages), counted) == (422, 1, 0)
    assert response.context["form"]["side-seam-L"].value() == text


@pytest.mark.parametrize("page", ["order", "change", "cut", "stage", "remake", "new cut"])
def test_nothing_sent_at_all_changes_nothing(client, scene, page):
    address, _ = scene[page]
    before = written()

    response = client.post(f"/garments/{address}/", {"x": "y"})

    assert (response.status_code, written()) == (422, before)


@pytest.mark.parametrize(
    ("page", "field"), [("order", "cloth"), ("remake", "reason"), ("new version", "note")]
)
def test_script_kept_as_text_never_runs(client, scene, page, field):
    address, good = scene[page]

    client.post(f"/garments/{address}/", good | {field: SCRIPT})
    shown = client.get("/garments/cuts/" if page == "new version" else written_page()).content

    assert shown.count(SCRIPT.encode()) == 0
    assert unescape(shown.decode()).count(SCRIPT) > 0


def written_page():
    return f"/folio/garments/{Garment.objects.first().number}/"


@pytest.mark.parametrize(
    ("page", "status"), [("order", 302), ("change", 302), ("cut", 302), ("stage", 302)]
)
def test_good_values_of_the_table_are_taken(client, scene, page, status):
    address, good = scene[page]

    assert client.post(f"/garments/{address}/", good).status_code == status


@pytest.mark.parametrize("page", ["inlays", "remake", "new cut", "new version"])
def test_good_values_of_the_other_forms_are_taken(client, scene, page):
    address, good = scene[page]
    before = written()

    response = client.post(f"/garments/{address}/", good)

    assert (response.status_code, written() == before) == (302, False)


def test_entry_of_another_person_is_told(client, scene, errors_of):
    address, good = scene["stage"]
    other = UserFactory()
    StageEntry.objects.create(id=good["entry_id"], garment=GarmentFactory(), stage="cut", by=other)

    response = client.post(f"/garments/{address}/", good)

    assert (response.status_code, StageEntry.objects.get(stage="cut").by) == (422, other)
    assert errors_of(response) == {
        "entry_id": ["This page was already used by someone else: open it again."]
    }


def test_taking_back_with_a_bad_id_changes_nothing(client, scene):
    address, _ = scene["stage"]
    before = written()

    response = client.post(f"/garments/{address}/take-back/", {"entry_id": SCRIPT})

    assert (response.status_code, written()) == (302, before)
