import uuid

import pytest
from django.core.exceptions import ValidationError

from customers.lengths import parse
from garments.altering import record_alteration, strike_alteration
from garments.models import Alteration, Answer, TicketLine
from tests.factories import (
    AlterationFactory,
    GarmentFactory,
    TicketFactory,
    TicketRevisionFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


def values(**changed):
    """What a fitter decided: the side seams of a coat let out 3/8 each side."""
    return {
        "entry_id": uuid.uuid4(),
        "operation": "let-out",
        "seam": "side-seam",
        "side": "both",
        "amount": parse("3/8"),
        "why": "Tight over the seat",
    } | changed


def on_a_ticket(alteration, *, revision=1, ticket=None):
    ticket = ticket or TicketFactory(garment=alteration.garment)
    replaced = ticket.revisions.standing().first()
    issued = TicketRevisionFactory(ticket=ticket, revision=revision, strikes=replaced)
    TicketLine.objects.create(revision=issued, position=1, alteration=alteration)
    return issued


def test_record_alteration_keeps_what_was_decided():
    coat, fitter = GarmentFactory(), UserFactory()

    kept = record_alteration(**values(garment=coat, by=fitter, cause="seat-small", why=" Tight "))

    row = Alteration.objects.get()
    assert row == kept
    assert (row.operation, row.seam, row.side, row.amount, row.cause, row.why, row.by) == (
        "let-out",
        "side-seam",
        "both",
        parse("3/8"),
        "seat-small",
        "Tight",
        fitter,
    )


def test_record_alteration_keeps_the_same_tap_once():
    once = values(garment=GarmentFactory(), by=UserFactory())

    assert record_alteration(**once) == record_alteration(**once)
    assert Alteration.objects.count() == 1


def test_record_alteration_refuses_an_id_of_someone_else():
    theirs = AlterationFactory()

    with pytest.raises(ValidationError) as refusal:
        record_alteration(**values(entry_id=theirs.pk, garment=theirs.garment, by=UserFactory()))

    assert list(refusal.value.message_dict) == ["entry_id"]


REFUSED = [
    ({"operation": "mend"}, "operation", "There is no operation called “mend”."),
    ({"operation": ""}, "operation", "There is no operation called “”."),
    ({"seam": "fork"}, "seam", "A coat has no seam called “fork”."),
    ({"seam": "hem"}, "seam", "“Let out” is not done at the hem of a coat."),
    ({"seam": "<script>"}, "seam", "A coat has no seam called “<script>”."),
    ({"side": ""}, "side", "Say left, right or both."),
    ({"side": "up"}, "side", "Say left, right or both."),
    ({"seam": "centre-back", "side": "L"}, "side", "There is no left or right here."),
    ({"amount": None}, "amount", "Say how much."),
    ({"amount": parse("0")}, "amount", "Say how much."),
    (
        {"amount": parse("-1/8", signed=True)},
        "amount",
        "The amount is never below nothing: choose the operation for the other way.",
    ),
    (
        {"amount": parse("6 1/8")},
        "amount",
        "At most 6 in: more is no alteration. Look at the amount again.",
    ),
    (
        {"operation": "release-lining", "seam": "lining"},
        "amount",
        "“Release lining” takes no amount.",
    ),
    (
        {"why": "x" * 301},
        "why",
        "Ensure this value has at most 300 characters (it has 301).",
    ),
]


@pytest.mark.parametrize(("changed", "field", "said"), REFUSED)
def test_record_alteration_refuses_beside_the_field(changed, field, said):
    with pytest.raises(ValidationError) as refusal:
        record_alteration(**values(garment=GarmentFactory(), by=UserFactory(), **changed))

    assert refusal.value.message_dict == {field: [said]}
    assert not Alteration.objects.exists()


def test_record_alteration_takes_six_inches_and_no_more():
    kept = record_alteration(
        **values(garment=GarmentFactory(), by=UserFactory(), amount=parse("6"))
    )

    assert kept.amount == parse("6")


@pytest.mark.parametrize(
    ("stage", "words"), [("delivered", "delivered"), ("remade", "replaced by a remake")]
)
def test_record_alteration_refuses_a_garment_gone(stage, words):
    gone = GarmentFactory(stage=stage)

    with pytest.raises(ValidationError) as refusal:
        record_alteration(**values(garment=gone, by=UserFactory()))

    assert refusal.value.message_dict == {
        "garment": [f"{gone.number} is {words}: take it back first."]
    }


def test_strike_alteration_leaves_the_old_one_readable():
    wrong, fitter = AlterationFactory(), UserFactory()

    strike = strike_alteration(entry_id=uuid.uuid4(), alteration=wrong, by=fitter)

    assert (strike.strikes, strike.void, strike.by) == (wrong, True, fitter)
    assert Alteration.objects.filter(pk=wrong.pk).exists()
    assert not Alteration.objects.standing().exists()


def test_strike_alteration_twice_by_one_tap_is_kept_once():
    once = {"entry_id": uuid.uuid4(), "alteration": AlterationFactory(), "by": UserFactory()}

    assert strike_alteration(**once) == strike_alteration(**once)
    assert Alteration.objects.count() == 2


def test_strike_alteration_refuses_one_already_struck():
    wrong, fitter = AlterationFactory(), UserFactory()
    strike_alteration(entry_id=uuid.uuid4(), alteration=wrong, by=fitter)

    with pytest.raises(ValidationError, match="already struck out"):
        strike_alteration(entry_id=uuid.uuid4(), alteration=wrong, by=fitter)


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("", "The workroom has it on ticket {}: change the ticket first."),
        ("taken", "The workroom has it on ticket {}: change the ticket first."),
        ("done", "It is done (ticket {}): judge it instead."),
    ],
)
def test_strike_alteration_refuses_what_the_bench_holds(kind, said):
    issued = on_a_ticket(AlterationFactory())
    if kind:
        Answer.objects.create(revision=issued, kind=kind, by=issued.by)
    alteration = issued.lines.get().alteration

    with pytest.raises(ValidationError) as refusal:
        strike_alteration(entry_id=uuid.uuid4(), alteration=alteration, by=UserFactory())

    assert refusal.value.message_dict == {"alteration": [said.format(issued.ticket.number)]}


@pytest.mark.parametrize("kind", ["cannot", "asks"])
def test_strike_alteration_allows_what_was_sent_back(kind):
    issued = on_a_ticket(AlterationFactory())
    Answer.objects.create(revision=issued, kind=kind, reason="No inlay", by=issued.by)
    alteration = issued.lines.get().alteration

    strike_alteration(entry_id=uuid.uuid4(), alteration=alteration, by=UserFactory())

    assert not Alteration.objects.standing().exists()


def test_strike_alteration_allows_one_only_on_a_replaced_revision():
    dropped = AlterationFactory()
    ticket = on_a_ticket(dropped).ticket
    on_a_ticket(AlterationFactory(garment=dropped.garment), revision=2, ticket=ticket)

    strike_alteration(entry_id=uuid.uuid4(), alteration=dropped, by=UserFactory())

    assert not Alteration.objects.standing().filter(pk=dropped.pk).exists()
