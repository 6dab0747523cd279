"""What a seam loses, and what comes back with new cloth."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from customers.lengths import Length, parse
from garments import seams
from garments.inlays.pieces import inlays_of_piece
from garments.inlays.services import spoil_inlay
from garments.models import Garment, InlayMovement
from garments.queries import inlays_of
from garments.services import order_garment, record_remake
from garments.stages import PIECES
from garments.workroom.services import answer_ticket, issue_ticket
from tests.factories import AlterationFactory, CustomerFactory, CutVersionFactory, UserFactory

pytestmark = pytest.mark.django_db
SIDE = ("side-seam", "L")


@pytest.fixture
def by():
    return UserFactory(role="fitter")


@pytest.fixture
def coat(by):
    return order_garment(
        form_id=uuid.uuid4(),
        customer=CustomerFactory(),
        kind="coat",
        cut_version=CutVersionFactory(),
        cloth="Grey flannel",
        cloth_pattern="plain",
        cutter=by,
        promised_on=None,
        notes="",
        by=by,
    )


def spoil(coat, by, **changed):
    values = {"entry_id": uuid.uuid4(), "seam": "side-seam", "side": "L", "reason": "snipped"}
    return spoil_inlay(garment=coat, by=by, **values | changed)


def done(coat, by, *lines, trim=False):
    """A ticket of these lines, issued and answered; the inlays after it."""
    made = [AlterationFactory(garment=coat, **line) for line in lines]
    values = {"due_on": timezone.localdate(), "note": "", "by": by}
    ticket = issue_ticket(form_id=uuid.uuid4(), garment=coat, alterations=made, **values)
    answer_ticket(
        entry_id=uuid.uuid4(),
        revision=ticket.revisions.get(),
        kind="done",
        reason="",
        trimmed=[line.pk for line in made] if trim else [],
        by=by,
    )
    return inlays_of(coat)


@pytest.mark.parametrize("reason", ["snipped", "soiled", "faded", "trimmed"])
def test_spoilt_inlay_no_longer_counts(coat, by, reason):
    entered = spoil(coat, by, reason=reason)

    assert (entered.amount, inlays_of(coat)[SIDE]) == (Length(0) - parse("1"), Length(0))


def test_part_of_an_inlay_is_spoilt_once(coat, by):
    once = {"entry_id": uuid.uuid4(), "amount": parse("3/8")}

    assert spoil(coat, by, **once) == spoil(coat, by, **once)
    assert inlays_of(coat)[SIDE] == parse("5/8")


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"seam": "pocket"}, "place"),
        ({"side": ""}, "place"),
        ({"reason": "eaten"}, "reason"),
        ({"reason": "freed"}, "reason"),
        ({"amount": parse("1 1/8")}, "amount"),
        ({"amount": Length(0)}, "amount"),
    ],
)
def test_what_cannot_be_spoilt_is_refused(coat, by, changed, field):
    with pytest.raises(ValidationError) as refusal:
        spoil(coat, by, **changed)

    assert list(refusal.value.message_dict) == [field]


def test_nothing_left_cannot_be_spoilt_again(coat, by):
    spoil(coat, by)

    with pytest.raises(ValidationError, match="Nothing is left in that seam"):
        spoil(coat, by)


@pytest.mark.parametrize(("trim", "after"), [(False, "1 1/4"), (True, "1")])
def test_taking_in_frees_unless_trimmed(coat, by, trim, after):
    line = {"operation": "take-in", "seam": "side-seam", "side": "both", "amount": parse("1/4")}

    assert done(coat, by, line, trim=trim)[SIDE] == parse(after)


def test_done_beyond_the_inlay_is_refused_with_what_to_do(coat, by):
    line = {"operation": "let-out", "seam": "side-seam", "side": "L", "amount": parse("1 1/4")}

    with pytest.raises(ValidationError) as refusal:
        done(coat, by, line)

    (told,) = refusal.value.message_dict["kind"]
    assert told.startswith("Side seam: 1 1/4 in is let out, and on record there was only 1 in.")
    assert told.endswith("Count what is in it now, then say done.")


def test_piece_cut_again_brings_its_inlays_back(coat, by):
    spoil(coat, by)
    spoil(coat, by, side="R")
    Garment.objects.filter(pk=coat.pk).update(stage="first-fitting")

    record_remake(
        entry_id=uuid.uuid4(), replaces=coat, piece="left side body", reason="Snipped", by=by
    )

    now = inlays_of(coat)
    assert (now[SIDE], now["side-seam", "R"]) == (parse("1"), Length(0))


def test_recut_line_done_brings_its_seam_back(coat, by):
    spoil(coat, by, seam="cuff")

    now = done(coat, by, {"operation": "recut", "seam": "cuff", "side": "L", "amount": None})

    assert now["cuff", "L"] == seams.normal_inlays("coat")["cuff", "L"]


@pytest.mark.parametrize("kind", PIECES)
def test_pieces_together_hold_every_inlay_of_the_cloth(kind):
    held = {place for piece in PIECES[kind] for place in inlays_of_piece(kind, piece)}

    assert {place for place in seams.normal_inlays(kind) if place[0] != "lining"} == held


def test_page_enters_what_cannot_be_used(client, sign_in, coat):
    sign_in("workroom")
    page = reverse("garments:inlay_spoil", args=[coat.number])
    sent = {"entry_id": str(uuid.uuid4()), "place": "side-seam-L", "reason": "soiled"}

    refused = client.post(page, sent | {"amount": "3"})
    kept = client.post(page, sent | {"amount": "1/4"})

    assert list(refused.context["form"].errors) == ["amount"]
    assert kept.url == reverse("garments:inlay_update", args=[coat.number])
    assert InlayMovement.objects.get(reason="soiled").amount == Length(0) - parse("1/4")


def test_bench_is_asked_before_a_taking_in_is_done(client, sign_in, coat, by):
    sign_in("workroom")
    line = AlterationFactory(
        garment=coat, operation="take-in", seam="side-seam", side="L", amount=parse("1/4")
    )
    values = {"due_on": timezone.localdate(), "note": "", "by": by}
    ticket = issue_ticket(form_id=uuid.uuid4(), garment=coat, alterations=[line], **values)
    page = reverse("workroom:answer_create", args=[ticket.number, 1])
    sent = {"entry_id": str(uuid.uuid4()), "kind": "done"}

    asked = client.post(page, sent | {"back": "list"})
    before = inlays_of(coat)[SIDE]
    client.post(page, sent | {"back": "ticket", "trimmed": [str(line.pk)]})

    assert (asked.url, before) == (ticket.get_absolute_url(), parse("1"))
    assert list(InlayMovement.objects.filter(alteration=line).values_list("reason", flat=True)) == [
        "freed",
        "trimmed",
    ]
