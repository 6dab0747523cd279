"""The engine fed from the record."""

import datetime
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from customers.ledger import take_back
from customers.lengths import Length
from fittings.diary.promised import bounds
from fittings.models import Absence, StageTime
from fittings.promising.queries import latest_day, read_promises, ready_by
from garments import seams
from garments.models import TicketLine
from tests.factories.customers import UserFactory
from tests.factories.fittings import BookingFactory, MakerFactory
from tests.factories.garments import (
    AlterationFactory,
    GarmentFactory,
    StageEntryFactory,
    TicketRevisionFactory,
)

TODAY = datetime.date(2026, 3, 2)  # a Monday
DAY = datetime.timedelta(days=1)


@pytest.fixture(autouse=True)
def monday(monkeypatch):
    """Nine in the morning of TODAY."""
    now = datetime.datetime(2026, 3, 2, 9, tzinfo=datetime.UTC)
    monkeypatch.setattr(timezone, "now", lambda: now)


def basted(**values):
    values = {"stage": "basted", "promised_on": datetime.date(2026, 5, 1)} | values
    coat = GarmentFactory(ordered_on=TODAY - 30 * DAY, **values)
    for number, stage in enumerate(("ordered", "cut", "basted")):
        at = timezone.now() - (30 - 10 * number) * DAY
        StageEntryFactory(garment=coat, stage=stage, at=at)
    return coat


def test_latest_days_of_a_coat_by_hand(makers):
    """Worked backward by hand from Friday 1 May 2026, open Monday to Saturday, 420 minutes a day.

    Last touches (60 min) on Thursday 30 April; the final look on Wednesday 29, asked for three
    days before: the coat hangs by the 26th, a day after it was pressed off: finished by the evening
    of the 24th. 540 min are two days: from the 23rd. 960 min of making up are three: 20th to 22nd.
    240 min on the 18th (the 19th is a Sunday). The forward fitting is on the 17th at the latest.
    Five days' notice, so it hangs on the 12th, a Sunday; dried one day: forward baste done by the
    evening of the 10th, 720 min, two days, from the 9th; cut again on the 8th; the first fitting on
    the 7th.
    """
    coat = basted()

    days = [latest_day(coat, look) for look in ("first-fitting", "forward-fitting", "final-look")]
    assert days == [
        datetime.date(2026, 4, 7),
        datetime.date(2026, 4, 17),
        datetime.date(2026, 4, 29),
    ]


@pytest.mark.parametrize("purpose", ["measure", "return-look", "nonsense"])
def test_no_latest_day_for_what_is_no_fitting(makers, purpose):
    assert latest_day(basted(), purpose) is None


def test_no_latest_day_without_a_promise(makers):
    assert latest_day(basted(promised_on=None), "first-fitting") is None


def test_no_days_while_nobody_makes(db):
    coat = basted()

    assert (latest_day(coat, "first-fitting"), ready_by(coat)) == (None, None)


def test_trousers_forward_fitting_is_before_making_up(makers):
    """480 min of making up must be done by Saturday 18 April: two days, from the 17th."""
    trousers = GarmentFactory(
        kind="trousers", stage="first-fitting", promised_on=datetime.date(2026, 4, 27)
    )

    assert latest_day(trousers, "forward-fitting") == datetime.date(2026, 4, 16)


def test_ready_by_waits_behind_earlier_promises(makers):
    """720 min of forward baste are two days alone; behind another 720 they are four."""
    promised = {"stage": "first-fitting", "stage_since": timezone.now() - 3 * DAY}
    first = GarmentFactory(promised_on=datetime.date(2026, 5, 1), **promised)
    second = GarmentFactory(promised_on=datetime.date(2026, 5, 2), **promised)

    # Cut again on Monday 2, baste on 3 and 4, dry on 5, there on the morning of 6 March.
    assert ready_by(first) == datetime.date(2026, 3, 6)
    assert ready_by(second) > datetime.date(2026, 3, 7)


def test_finished_garment_is_ready_for_the_last_look(makers):
    coat = GarmentFactory(stage="finished", stage_since=timezone.now() - 5 * DAY)

    assert ready_by(coat) == TODAY


def test_booked_fitting_is_kept_in_the_plan(makers):
    coat = basted()
    at = datetime.datetime(2026, 3, 20, 10, tzinfo=datetime.UTC)
    BookingFactory(garments=[coat], starts_at=at)

    (order,) = read_promises().case.orders
    assert order.booked == {"first-fitting": at.date()}


@pytest.mark.parametrize(
    "values",
    [
        {"state": "cancelled"},
        {"purpose": "measure"},
        {"starts_at": datetime.datetime(2026, 2, 20, 10, tzinfo=datetime.UTC)},
    ],
)
def test_booking_that_keeps_no_day_is_left_out(makers, values):
    coat = basted()
    later = {"starts_at": datetime.datetime(2026, 3, 20, 10, tzinfo=datetime.UTC)}
    BookingFactory(garments=[coat], **later | values)

    (order,) = read_promises().case.orders
    assert order.booked == {}


def test_house_stage_time_replaces_the_shipped(makers):
    by = UserFactory()
    entry = StageTime.objects.create(
        kind="coat", stage="baste", minutes=600, wait_days=2, reason="Counted in May", by=by
    )
    rows = {row.key: row for row in read_promises().case.stages["coat"]}
    same = ["kind", "stage", "minutes", "wait_days", "reason"]
    take_back(entry, entry_id=uuid.uuid4(), by=by, same=same)

    assert (rows["baste"].minutes, rows["baste"].wait_days) == (600, 2)
    assert {r.key: r for r in read_promises().case.stages["coat"]}["baste"].minutes == 480


def test_delivered_garment_is_not_planned(makers):
    GarmentFactory(stage="delivered")

    assert read_promises().plans == {}


def test_returned_garment_is_not_late_for_its_old_promise(makers):
    coat = GarmentFactory(stage="returned", promised_on=TODAY - 60 * DAY)

    plan = read_promises().plans[coat.number]
    assert (plan.order.due, [row.stage.key for row in plan.stages]) == (None, ["last-touches"])


def test_kind_nobody_makes_is_told_apart(makers):
    makers["trouser-maker"].delete()
    trousers, coat = GarmentFactory(kind="trousers"), GarmentFactory()

    promises = read_promises()
    assert list(promises.plans) == [coat.number]
    assert promises.unplanned == {trousers.number: "Nobody sits at the bench of the trouser maker."}


def test_maker_counts_from_first_day_to_last(makers):
    makers["coat-maker"].delete()
    MakerFactory(since=datetime.date(2026, 3, 9), until=datetime.date(2026, 3, 10))
    MakerFactory(until=TODAY - DAY)
    hands = read_promises().case.workroom.hands

    days = [datetime.date(2026, 3, day).toordinal() for day in (7, 9, 10, 11)]
    assert [hands("coat-maker", day) for day in days] == [(0, 0), (1, 420), (1, 420), (0, 0)]


def test_maker_on_leave_is_not_at_the_bench(makers):
    person = UserFactory()
    MakerFactory(user=person)
    Absence.objects.create(person=person, first=TODAY, last=TODAY + DAY, by=person)
    hands = read_promises().case.workroom.hands

    days = [(TODAY + number * DAY).toordinal() for number in range(3)]
    assert [hands("coat-maker", day) for day in days] == [(1, 420), (1, 420), (2, 420)]


def test_open_ticket_minutes_are_work_of_their_own(makers):
    coat = GarmentFactory(stage="finished")
    revision = TicketRevisionFactory(ticket__garment=coat)
    TicketLine.objects.create(
        revision=revision, position=1, alteration=AlterationFactory(garment=coat)
    )
    minutes = seams.operation("let-out").minutes(Length.inches("3/8"), "both")

    (order,) = read_promises().case.orders
    (ticket, *_) = read_promises().case.stages[order.kind]
    assert (order.kind, ticket.craft, ticket.minutes) == (
        f"coat {coat.number}",
        "coat-maker",
        minutes,
    )


@pytest.mark.parametrize("count", [1, 3, 10])
def test_promises_cost_the_same_queries(makers, count, django_assert_num_queries):
    for number in range(count):
        coat = basted(serial=70_000 + number, number=f"G-{number}")
        BookingFactory(garments=[coat], starts_at=timezone.now() + 20 * DAY)

    with django_assert_num_queries(12):
        assert len(read_promises().plans) == count


@pytest.mark.parametrize("purpose", ["first-fitting", "forward-fitting", "final-look"])
def test_days_of_one_reading_are_those_of_each_garment_asked_by_itself(makers, purpose):
    again = basted(promised_on=datetime.date(2026, 5, 2))
    home = GarmentFactory(stage="delivered", promised_on=datetime.date(2026, 5, 1))
    garments = (basted(), again, home)
    known = read_promises()

    shared = [(latest_day(one, purpose, known), ready_by(one, known)) for one in garments]
    alone = [(latest_day(one, purpose), ready_by(one)) for one in garments]

    assert shared == alone
    assert None not in shared[0]


def test_plan_of_all_in_work_is_read_once_for_all_garments(makers, django_assert_num_queries):
    coats = [basted() for _ in range(3)]
    with CaptureQueriesContext(connection) as one:
        bounds(coats[:1], "final-look")

    with django_assert_num_queries(len(one)):
        found = bounds(coats, "final-look")

    assert None not in found
