"""The day the demo is opened at: every state there is, and the services go on from there."""

import uuid

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from customers.models import Customer
from fittings.diary.services import mark_booking
from fittings.models import Booking, Fitting, Judgement
from fittings.session.queries import alterations_to_judge, open_sessions
from fittings.session.services import decide_next_step, judge_alteration, start_fitting
from garments.models import Answer, Garment, Stage
from garments.workroom.queries import State, newest_revisions, with_state
from garments.workroom.services import answer_ticket


@pytest.fixture
def bookings(demo):
    return list(Booking.objects.filter(starts_at__date=demo).order_by("starts_at"))


@pytest.fixture
def now():
    return timezone.make_aware(timezone.datetime(2026, 3, 12, 13, 30))


def test_diary_holds_every_state(bookings):
    states = [booking.state for booking in bookings]

    assert {state: states.count(state) for state in Booking.State.values} == {
        "booked": 4,
        "arrived": 1,
        "kept": 3,
        "missed": 1,
        "cancelled": 1,
    }


def test_diary_holds_every_purpose(bookings):
    assert {booking.purpose for booking in bookings} == set(Booking.Purpose.values)


def test_what_is_kept_lies_before_what_is_booked(bookings, now):
    by_state = {state: [b for b in bookings if b.state == state] for state in ("kept", "booked")}

    assert max(booking.starts_at for booking in by_state["kept"]) < now
    assert min(booking.starts_at for booking in by_state["booked"]) > now


def test_open_session_waits_for_judgements(demo, now):
    (fitting,) = open_sessions(since=now - timezone.timedelta(days=1))
    (garment,) = fitting.garments.all()

    waiting = list(alterations_to_judge(fitting, garment))
    assert waiting
    assert {alteration.done for alteration in waiting} == {True}
    assert {tuple(alteration.said_now) for alteration in waiting} == {()}


def test_tickets_are_in_every_state_but_two(demo):
    states = set(with_state(newest_revisions()).values_list("state", flat=True))

    assert states == set(State.values) - {State.WITHDRAWN, State.REPLIED}


def test_ticket_is_late_and_another_due_today(demo):
    owed = with_state(newest_revisions()).exclude(state=State.DONE)

    assert owed.filter(due_on__lt=demo).exists()
    assert owed.filter(due_on=demo).exists()


def test_ticket_was_done_today(demo):
    assert Answer.objects.filter(kind=Answer.Kind.DONE, at__date=demo).exists()


def test_garment_awaits_delivery_after_its_last_look(demo):
    waiting = Garment.objects.filter(
        stage=Stage.FINISHED, stage_entries__stage=Stage.FINAL_LOOK
    ).distinct()

    assert waiting.count() >= 1


def test_customer_of_today_has_no_measures(demo):
    (customer,) = Customer.objects.filter(created_at__date=demo)

    assert customer.measurement_sets.count() == 0
    assert [booking.purpose for booking in customer.bookings.all()] == ["measure"]


def test_customer_who_arrived_can_be_fitted(demo_to_write):
    booking = Booking.objects.get(state=Booking.State.ARRIVED)
    fitting = start_fitting(
        fitting_id=uuid.uuid4(),
        customer=booking.customer,
        garments=list(booking.garments.all()),
        fitter=booking.fitter,
        purpose=booking.purpose,
        booking=booking,
        by=booking.fitter,
    )

    assert fitting.garments.get().stage == Stage.FIRST_FITTING
    assert booking.state == Booking.State.KEPT


def test_open_session_can_be_judged_and_closed(demo_to_write):
    since = timezone.make_aware(timezone.datetime(2026, 3, 12))
    (fitting,) = open_sessions(since=since)
    garment, by = fitting.garments.get(), fitting.fitter
    for alteration in alterations_to_judge(fitting, garment):
        judge_alteration(
            entry_id=uuid.uuid4(), fitting=fitting, alteration=alteration, verdict="cured", by=by
        )

    decide_next_step(entry_id=uuid.uuid4(), fitting=fitting, garment=garment, step="finish", by=by)

    assert set(Judgement.objects.filter(fitting=fitting).values_list("verdict")) == {("cured",)}
    assert Garment.objects.get(pk=garment.pk).stage == Stage.FINISHING


def test_ticket_in_hand_can_be_done(demo_to_write):
    hand = User.objects.get(username="seffor")
    revision = with_state(newest_revisions()).filter(state=State.IN_HAND).first()

    answer_ticket(
        entry_id=uuid.uuid4(), revision=revision, kind=Answer.Kind.DONE, reason="", by=hand
    )

    assert with_state(newest_revisions()).get(pk=revision.pk).state == State.DONE


def test_garment_that_comes_back_can_be_looked_at(demo_to_write):
    booking = Booking.objects.get(
        state="booked", purpose="return-look", starts_at__date=demo_to_write
    )

    fitting = start_fitting(
        fitting_id=uuid.uuid4(),
        customer=booking.customer,
        garments=list(booking.garments.all()),
        fitter=booking.fitter,
        purpose=booking.purpose,
        booking=booking,
        by=booking.fitter,
    )

    assert fitting.garments.get().stage == Stage.RETURNED


def test_missed_customer_may_still_arrive(demo_to_write):
    booking = Booking.objects.get(state=Booking.State.MISSED, starts_at__date=demo_to_write)
    front = User.objects.get(username="lorrith")

    mark_booking(entry_id=uuid.uuid4(), booking=booking, what="arrived", by=front)

    assert Booking.objects.get(pk=booking.pk).state == Booking.State.ARRIVED
    assert not Fitting.objects.filter(booking=booking).exists()
