"""The plan on its page: proposed, a line changed and seen, taken, and what is told beside it."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from customers.lengths import parse
from garments import cutting
from garments.benchplan.queries import bench_of
from garments.benchplan.services import take_lines
from garments.models import Alteration, FinishedMeasure, InlayMovement
from garments.planning import Step
from garments.queries import inlays_of
from garments.seams import normal_inlays
from tests.factories import (
    AlterationFactory,
    CutFactory,
    CutVersionFactory,
    GarmentFactory,
    MeasurementSetFactory,
    UserFactory,
)

SIDE = "let-out-waist.side-seam.both"
WAIST = "38 1/2"  # what the body below is aimed at with the ease of the cut


def made(stage="first-fitting", **more):
    """A coat with its normal inlays but none behind, aimed by a cut of the house."""
    figures = cutting.data_of(cutting.house_cut("soft-shoulder", "coat"))
    version = CutVersionFactory(cut=CutFactory(), data=figures)
    coat = GarmentFactory(cut_version=version, stage=stage, **more)
    by = UserFactory(role="fitter")
    for (seam, side), amount in normal_inlays("coat").items():
        left = parse("1/4") if seam == "centre-back" else amount
        InlayMovement.objects.create(
            garment=coat, seam=seam, side=side, amount=left, reason="left", by=by
        )
    return coat


@pytest.fixture
def coat(db):
    return made()


MISSING = "1/2 in of inlay is missing: make it less, or count the inlay again if there is more."


@pytest.fixture
def tight(coat):
    """An inch tight at the waist, measured on the board, against a body of its own."""
    body = MeasurementSetFactory(customer=coat.customer)
    by = body.by
    body.measurements.create(point="waist", side="", reading=1, value=parse("34"))
    body.measurements.create(point="chest", side="", reading=1, value=parse("40"))
    coat.measurement_set = body
    coat.save()
    aimed = cutting.targets(
        {("waist", ""): parse("34")}, cutting.read_cut("coat", coat.cut_version.data)
    )
    target = aimed["waist", ""].length
    FinishedMeasure.objects.create(garment=coat, point="waist", value=target - parse("1"), by=by)
    return coat


def page(coat):
    return reverse("garments:plan_page", args=[coat.number])


def sent(do, amount="1/4", key=SIDE, **more):
    entry = {"entry_id": str(uuid.uuid4()), "lines": key, f"amount-{key}": amount, "do": do}
    return entry | {"asked": "on"} | more


def lines_of(response):
    return response.context["form"].keys


def test_plan_page_proposes_the_side_seams(client, sign_in, tight):
    sign_in("fitter")

    response = client.get(page(tight))

    assert lines_of(response) == [SIDE]
    assert response.context["shown"].measures[0][3:] == (
        response.context["shown"].measures[0][2],
        "inside",
    )
    assert response.context["form"][f"amount-{SIDE}"].value() == "1/4 in"


def test_changed_line_is_seen_and_nothing_is_kept(client, sign_in, tight):
    sign_in("fitter")

    response = client.post(page(tight), sent("see", "1/8"))

    assert response.context["shown"].rows[0].inlay == "1 in to 7/8 in"
    assert response.context["shown"].effect.measures[0].moved == parse("1/2")
    assert Alteration.objects.count() == 0


def test_changed_line_comes_back_as_a_fragment(client, sign_in, tight):
    sign_in("fitter")

    response = client.post(page(tight), sent("see", "3/4"), headers={"hx-request": "true"})

    text = response.content.decode()
    assert text.count("<html") == 0
    assert "of inlay is missing" in text


def test_lines_taken_are_decided_once(client, sign_in, tight):
    sign_in("fitter")
    twice = sent("take")

    for _ in range(2):
        response = client.post(page(tight), twice)

    assert response.headers["Location"] == tight.get_absolute_url()
    assert [
        (row.operation, row.seam, row.side, row.amount) for row in Alteration.objects.all()
    ] == [("let-out-waist", "side-seam", "both", parse("1/4"))]


def test_lines_taken_go_back_to_the_fitting(client, sign_in, tight):
    sign_in("fitter")

    response = client.post(page(tight), sent("take", next="/fitting/1/"))

    assert response.headers["Location"] == "/fitting/1/"


@pytest.mark.parametrize(
    ("values", "said"),
    [
        (sent("take", "plenty"), "plenty cannot be read"),
        (sent("take", "-1/4"), "leave out the minus sign"),
        (sent("take", "7"), "At most 6 in"),
        (sent("take", ""), "Take at least one line."),
        (sent("take", key="mend.hem.both"), "A line is none of this garment"),
        (sent("take", key="let-out.fork.both"), "A line is none of this garment"),
        (sent("take", key="let-out.side-seam."), "A line is none of this garment"),
        (sent("take", key="\u202e..."), "A line is none of this garment"),
    ],
)
def test_bad_line_is_told_and_kept_as_typed(client, sign_in, tight, values, said):
    sign_in("fitter")

    response = client.post(page(tight), values)

    assert response.status_code == 422
    assert said in response.content.decode()
    assert Alteration.objects.count() == 0


def test_garment_gone_takes_no_line(client, sign_in, tight):
    sign_in("fitter")
    tight.stage = "delivered"
    tight.save()

    response = client.post(page(tight), sent("take"))

    assert response.status_code == 422
    assert Alteration.objects.count() == 0


def test_plan_with_nothing_measured_sends_to_the_tape(client, sign_in, coat):
    sign_in("fitter")

    response = client.get(page(coat))

    assert "Nothing to plan from yet" in response.content.decode()


def test_what_is_cut_is_known_from_the_stage(client, sign_in, db):
    sign_in("fitter")
    checked = made("finished", cloth_pattern="check")

    response = client.get(page(checked))

    assert response.context["stops"].cleaned_data["stopped"] == [
        "cut-pocket",
        "cut-buttonholes",
        "cut-cuff-holes",
        "checks",
    ]


def test_stops_unticked_open_the_seams_again(client, sign_in, tight):
    sign_in("fitter")
    tight.cloth_pattern = "check"
    tight.save()

    stopped, free = client.get(page(tight)), client.get(page(tight), {"asked": "on"})

    assert (lines_of(stopped), lines_of(free)) == ([], [SIDE])
    assert "Checks or stripes" in stopped.context["plan"].left_out[0]


def test_decided_alterations_are_planned_with(client, sign_in, tight):
    sign_in("fitter")
    AlterationFactory(
        garment=tight, operation="let-out-seat", seam="side-seam", side="both", amount=parse("1/8")
    )

    response = client.get(page(tight))

    assert [(row.name, row.decided) for row in response.context["shown"].rows] == [
        ("Let out over seat, side seam, both sides", True),
        ("Let out at waist, side seam, both sides", False),
    ]


@pytest.mark.parametrize(("decided", "added"), [("1/8", ["1/8 in"]), ("1/4", []), ("2", [])])
def test_plan_adds_to_what_is_decided_at_that_seam(coat, tight, decided, added):
    tight.cut_version.data["points"]["waist"]["tolerance"] = "1/8 in"
    AlterationFactory(
        garment=tight,
        operation="let-out-waist",
        seam="side-seam",
        side="both",
        amount=parse(decided),
    )
    bench = bench_of(tight, "in")

    proposed = bench.proposed(bench.plan([], None))

    assert [step.amount.text("in") for step in proposed if step.seam == "side-seam"] == added


def test_conflict_is_told_on_plan_and_ticket(client, sign_in, tight):
    sign_in("fitter")
    for operation in ("take-in", "let-out-seat"):
        AlterationFactory(
            garment=tight, operation=operation, seam="side-seam", side="both", amount=parse("1/8")
        )

    pages = [
        client.get(page(tight)).content.decode(),
        client.get(reverse("workroom:ticket_create", args=[tight.number])).content.decode(),
    ]

    assert ["work against each other at one seam" in text for text in pages] == [True, True]


def test_amount_beyond_the_inlay_is_not_taken(client, sign_in, tight):
    sign_in("fitter")
    field = f"amount-{SIDE}"

    response = client.post(
        page(tight), {"entry_id": uuid.uuid4(), "lines": SIDE, field: "1 1/8", "do": "take"}
    )

    assert response.status_code == 422
    assert response.context["form"].errors[field] == [MISSING]
    assert 'value="1 1/8"' in response.content.decode()
    assert "is missing" in response.context["shown"].rows[0].effect.warnings[0]
    assert Alteration.objects.count() == 0


def test_inlay_that_a_line_before_it_takes_is_missing(tight):
    taken = Step("let-out-seat", "side-seam", "both", parse("1/2"))
    more = Step("let-out-waist", "side-seam", "both", parse("1/2"))
    once = {"garment": tight, "by": UserFactory(role="fitter")}
    take_lines(entry_id=uuid.uuid4(), lines=[taken], **once)

    with pytest.raises(ValidationError) as refused:
        take_lines(entry_id=uuid.uuid4(), lines=[more], **once)

    assert list(refused.value.message_dict) == [f"amount-{SIDE}"]
    assert Alteration.objects.count() == 1


def test_lines_are_taken_all_or_none(tight):
    steps = [
        Step("let-out", "side-seam", "both", parse("1/4")),
        Step("let-out", "pocket", "both", parse("1/4")),
    ]

    with pytest.raises(Exception, match="no seam called “pocket”"):
        take_lines(entry_id=uuid.uuid4(), garment=tight, lines=steps, by=UserFactory(role="fitter"))

    assert Alteration.objects.count() == 0


@pytest.mark.parametrize("more", [1, 3, 10])
def test_plan_page_asks_the_same_queries(client, sign_in, tight, django_assert_num_queries, more):
    sign_in("fitter")
    for _ in range(more):
        AlterationFactory(
            garment=tight, operation="let-down-hem", seam="hem", side="both", amount=parse("1/8")
        )

    # Two of them ask how the planned works came out before; a third once one was measured.
    with django_assert_num_queries(13):
        client.get(page(tight))

    assert len(inlays_of(tight)) == len(normal_inlays("coat"))


def test_two_that_make_up_for_each_other_are_not_told(client, sign_in, tight):
    sign_in("fitter")
    AlterationFactory(
        garment=tight, operation="take-in", seam="centre-back", side="", amount=parse("1/8")
    )

    response = client.get(page(tight))

    assert lines_of(response) == ["let-out-waist.side-seam.both"]
    assert [row.beyond.nm for row in response.context["shown"].effect.measures] == [0]
    assert response.context["shown"].conflicts == []
