"""What past garments needed, read from the record, and proposed for the next."""

import datetime

import pytest
from django.utils import timezone

from customers.lengths import parse
from garments.carrying.queries import carry_lines, past_garments, unanswered
from garments.models import Garment
from tests.factories import (
    AlterationFactory,
    CarryAnswerFactory,
    CustomerFactory,
    FittingFactory,
    JudgementFactory,
    MeasurementSetFactory,
    RemakeFactory,
    StageEntryFactory,
)
from tests.garments.carrying.scenes import told

pytestmark = pytest.mark.django_db


def test_what_was_cured_is_proposed_next(made, coat):
    made({})

    assert told(coat) == [("Let out, side seam", "1/4 in each side", None)]


def test_nothing_is_proposed_for_a_first_garment(coat):
    assert (told(coat), unanswered(coat)) == ([], 0)


@pytest.mark.parametrize(
    "other", [{"kind": "waistcoat"}, {"customer": None}, {"stage": "ordered"}, {"later": True}]
)
def test_only_garments_cut_before_of_customer_and_kind_count(made, coat, other):
    if "customer" in other:
        other = {"customer": CustomerFactory()}
    if other.pop("later", False):
        other = {"serial": coat.serial + 50}
    customer = other.pop("customer", coat.customer)
    before = made({}, **other)
    Garment.objects.filter(pk=before.pk).update(customer=customer)

    assert told(coat) == []


@pytest.mark.parametrize(("void", "found"), [(True, []), (False, ["1/2 in each side"])])
def test_struck_alteration_is_not_counted(made, coat, void, found):
    wrong = made({}).alterations.get()
    right = AlterationFactory(
        garment=wrong.garment, strikes=wrong, void=void, amount=parse("1/2"), at=wrong.at
    )
    JudgementFactory(alteration=right)

    assert [line[1] for line in told(coat)] == found


def test_last_standing_verdict_counts_of_several(made, coat):
    alteration = made({"verdict": ""}).alterations.get()
    days_ago = [timezone.now() - datetime.timedelta(days=number) for number in (30, 20, 10)]
    said = [
        JudgementFactory(
            alteration=alteration, verdict=verdict, at=at, fitting=FittingFactory(started_at=at)
        )
        for verdict, at in zip(("worse", "cured", "same"), days_ago, strict=True)
    ]
    JudgementFactory(alteration=alteration, strikes=said[-1], void=True, verdict="same")

    (garment,) = past_garments(coat.customer, "coat")

    assert [row.verdict for row in garment.done] == ["cured"]


def test_verdicts_of_two_fittings_leave_one_alteration(made, coat):
    alteration = made({"verdict": "better"}).alterations.get()
    JudgementFactory(alteration=alteration, fitting=FittingFactory(started_at=timezone.now()))

    assert told(coat) == [("Let out, side seam", "1/4 in each side", None)]


@pytest.mark.parametrize(
    ("stage", "settled"),
    [("delivered", True), ("returned", False), ("forward-fitting", False), ("remade", False)],
)
def test_garment_is_settled_once_it_left_the_house(made, coat, stage, settled):
    made(stage=stage)

    (garment,) = past_garments(coat.customer, "coat", coat)

    assert garment.settled is settled


def test_garment_that_came_back_stays_settled(made, coat, by):
    garment = made()
    StageEntryFactory(garment=garment, stage="returned", by=by)
    Garment.objects.filter(pk=garment.pk).update(stage="returned")

    assert [row.settled for row in past_garments(coat.customer, "coat", coat)] == [True]


def test_garment_replaced_after_delivery_is_not_settled(made, coat):
    Garment.objects.filter(pk=made().pk).update(stage="remade")

    assert [row.settled for row in past_garments(coat.customer, "coat", coat)] == [False]


def test_piece_cut_again_unsettles_its_garment(made, coat):
    RemakeFactory(replaces=made(), garment=None, piece="back")

    assert [row.settled for row in past_garments(coat.customer, "coat", coat)] == [False]


def test_remake_of_a_garment_learns_from_it(made, coat):
    failed = made({}, stage="remade")
    RemakeFactory(replaces=failed, garment=coat)

    assert told(coat) == [("Let out, side seam", "1/4 in each side", None)]


def test_cutting_counts_from_the_day_it_was_entered(made, coat):
    made()

    (garment,) = past_garments(coat.customer, "coat", coat)

    entered = coat.customer.garments.earliest("serial").stage_entries.get(stage="cut")
    assert garment.cut_on == timezone.localdate(entered.at)


def test_change_carried_before_is_still_needed(made, coat):
    CarryAnswerFactory(garment=made(), amount=parse("3/8"))

    assert told(coat) == [("Let out, side seam", "3/8 in each side", None)]


def test_change_left_out_before_was_not_in_the_pattern(made, coat):
    CarryAnswerFactory(garment=made(), accepted=False)

    assert told(coat) == []


def test_figure_changed_since_is_told(made, coat):
    for waist, year in ((34, 2024), (37, 2026)):
        measures = {("waist", ""): waist, ("chest", ""): 40}
        taken = MeasurementSetFactory(
            customer=coat.customer, measures=measures, taken_on=f"{year}-01-01"
        )
        made({}, measurement_set=taken)

    garments = past_garments(coat.customer, "coat", coat)

    assert [garment.changed for garment in garments] == [("Waist",), ()]


def test_customer_in_centimetres_is_told_in_centimetres(made, coat):
    coat.customer.unit = "cm"
    coat.customer.save()
    made({"amount": "6 mm"})

    assert told(coat) == [("Let out, side seam", "0.6 cm each side", None)]


@pytest.mark.parametrize("garments", [1, 3, 30])
def test_lines_take_five_queries_whatever_the_data(made, coat, garments, django_assert_num_queries):
    for _ in range(garments):
        made({}, {"verdict": "better"}, {"operation": "take-in"})
    garment = Garment.objects.for_lists().get(pk=coat.pk)

    # house (the unit), garments, alterations, changes carried, answers
    with django_assert_num_queries(5):
        carry_lines(garment)
