import uuid

import pytest
from django.core.exceptions import ValidationError

from customers.lengths import parse
from garments.altering import strike_alteration
from garments.models import Answer, InlayMovement
from garments.queries import inlays_of
from garments.services import enter_stage
from garments.workroom.queries import newest_revisions, outstanding, with_state
from garments.workroom.services import answer_ticket

pytestmark = pytest.mark.django_db


def answer(revision, kind, by, reason="", **changed):
    values = {"entry_id": uuid.uuid4(), "revision": revision, "kind": kind}
    return answer_ticket(reason=reason, by=by, **(values | changed))


def state_of(revision):
    return with_state(newest_revisions()).get(pk=revision.pk).state


def stage_of(garment):
    garment.refresh_from_db()
    return garment.stage


def test_answer_taken_puts_the_coat_in_hand(revision, coat, bench):
    kept = answer(revision, "taken", bench)

    assert (kept.kind, kept.by, kept.revision) == ("taken", bench, revision)
    assert (state_of(revision), stage_of(coat)) == ("in-hand", "altering")
    assert coat.stage_entries.get().reason == f"Ticket {revision.ticket.number} in hand"


@pytest.mark.parametrize("stage", ["ordered", "finishing"])
def test_answer_taken_leaves_a_stage_under_way(make_garment, issue, decide, bench, stage):
    garment = make_garment(stage=stage)
    ticket = issue(decide("take-in", "centre-back", "", "1/4", garment=garment), garment=garment)

    answer(ticket.revisions.get(), "taken", bench)

    assert stage_of(garment) == stage


def test_answer_done_moves_the_inlays_of_both_sides(revision, coat, bench):
    answer(revision, "done", bench)

    moved = InlayMovement.objects.exclude(reason="left").order_by("seam", "side")
    assert list(moved.values_list("seam", "side", "amount", "reason", "alteration__operation")) == [
        ("hem", "L", parse("-1/2", signed=True), "used", "let-down-hem"),
        ("hem", "R", parse("-1/2", signed=True), "used", "let-down-hem"),
        ("side-seam", "L", parse("-3/8", signed=True), "used", "let-out"),
        ("side-seam", "R", parse("-3/8", signed=True), "used", "let-out"),
    ]
    assert inlays_of(coat)["hem", "L"] == parse("1")


def test_answer_done_frees_inlay_on_one_side_only(issue, decide, coat, bench):
    ticket = issue(
        decide("take-in", "side-seam", "L", "1/4"),
        decide("deepen-scye", "scye", "R", "1/4"),
        decide("move-buttons-in", "buttons", "", "1/4"),
    )

    answer(ticket.revisions.get(), "done", bench)

    moved = InlayMovement.objects.exclude(reason="left")
    assert list(moved.values_list("seam", "side", "amount", "reason")) == [
        ("side-seam", "L", parse("1/4"), "freed")
    ]


def test_answer_done_makes_the_coat_ready_to_fit(revision, coat, bench):
    answer(revision, "taken", bench)
    answer(revision, "done", bench)

    assert (state_of(revision), stage_of(coat)) == ("done", "basted")


def test_answer_done_leaves_a_finished_coat_finished(revision, coat, bench, fitter):
    for stage in ("finished", "delivered", "returned"):
        enter_stage(entry_id=uuid.uuid4(), garment=coat, stage=stage, by=fitter)

    answer(revision, "taken", bench)
    answer(revision, "done", bench)

    assert stage_of(coat) == "finished"


def test_answer_done_waits_for_the_other_ticket(revision, issue, decide, coat, bench):
    other = issue(decide("take-in", "centre-back", "", "1/4")).revisions.get()
    answer(revision, "taken", bench)
    answer(revision, "done", bench)
    before = stage_of(coat)

    answer(other, "done", bench)

    assert (before, stage_of(coat)) == ("altering", "basted")


def test_answer_twice_by_one_tap_is_kept_once(revision, bench):
    entry_id = uuid.uuid4()

    first = answer(revision, "done", bench, entry_id=entry_id)

    assert answer(revision, "done", bench, entry_id=entry_id) == first
    assert (Answer.objects.count(), InlayMovement.objects.exclude(reason="left").count()) == (1, 4)


@pytest.mark.parametrize(("kind", "state"), [("cannot", "sent-back"), ("asks", "asks")])
def test_answer_sent_back_keeps_the_reason(revision, bench, kind, state):
    kept = answer(revision, kind, bench, reason=" No cloth in the hem ")

    assert (kept.reason, state_of(revision)) == ("No cloth in the hem", state)
    assert not InlayMovement.objects.exclude(reason="left").exists()


@pytest.mark.parametrize(
    ("kind", "reason", "said"),
    [
        ("cannot", "", {"reason": ["Say why, so that the fitter can answer."]}),
        ("asks", "  ", {"reason": ["Say why, so that the fitter can answer."]}),
        (
            "asks",
            "x" * 301,
            {"reason": ["Ensure this value has at most 300 characters (it has 301)."]},
        ),
        ("lost", "", {"kind": ["Choose one of the answers."]}),
        ("", "", {"kind": ["Choose one of the answers."]}),
    ],
)
def test_answer_refuses_beside_the_field(revision, bench, kind, reason, said):
    with pytest.raises(ValidationError) as refusal:
        answer(revision, kind, bench, reason=reason)

    assert refusal.value.message_dict == said
    assert not Answer.objects.exists()


@pytest.mark.parametrize(
    ("before", "kind", "said"),
    [
        (["taken"], "taken", "It is in hand already."),
        (["taken", "done"], "done", "It is done already."),
        (["done"], "cannot", "It is done already."),
        (["cannot"], "done", "It was sent back to the fitter: take it in hand first."),
        (["taken", "asks"], "done", "It was sent back to the fitter: take it in hand first."),
    ],
)
def test_answer_refuses_what_cannot_follow(revision, bench, before, kind, said):
    for earlier in before:
        answer(revision, earlier, bench, reason="Look at it")

    with pytest.raises(ValidationError) as refusal:
        answer(revision, kind, bench, reason="Look at it")

    assert refusal.value.message_dict == {"kind": [said]}


def test_answer_on_a_replaced_revision_names_the_new_one(revision, changed, bench):
    with pytest.raises(ValidationError) as refusal:
        answer(revision, "done", bench)

    number = revision.ticket.number
    assert refusal.value.message_dict == {
        "revision": [f"Revision 1 was replaced: work by revision 2 of {number}."]
    }


def test_answer_on_a_coat_delivered_is_refused(revision, coat, bench, fitter):
    enter_stage(entry_id=uuid.uuid4(), garment=coat, stage="delivered", by=fitter)

    with pytest.raises(ValidationError, match="is delivered"):
        answer(revision, "done", bench)


def test_answer_done_refuses_a_line_struck_out(revision, bench, fitter):
    answer(revision, "cannot", bench, reason="No cloth in the hem")
    hem = revision.lines.get(position=2).alteration
    strike_alteration(entry_id=uuid.uuid4(), alteration=hem, by=fitter)

    with pytest.raises(ValidationError) as refusal:
        answer(revision, "taken", bench)

    assert refusal.value.message_dict == {
        "kind": ["A line was struck out: the fitter must change the ticket."]
    }


def test_ticket_with_every_line_struck_is_withdrawn(revision, bench, fitter):
    answer(revision, "cannot", bench, reason="No cloth at all")
    for line in revision.lines.all():
        strike_alteration(entry_id=uuid.uuid4(), alteration=line.alteration, by=fitter)

    assert state_of(revision) == "withdrawn"
    assert not outstanding().exists()
