"""What a process keeps of its plans is what it would work out anew, whatever was entered since."""

import datetime
import uuid

import pytest
from django.utils import timezone

from customers.ledger import take_back
from customers.models import Customer, House
from fittings.models import (
    Absence,
    Booking,
    Closure,
    HolidayRule,
    Maker,
    OpeningHours,
    StageTime,
    Trip,
)
from fittings.promising import queries
from fittings.promising.answering import answer
from fittings.promising.queries import named, read_promises
from garments.models import Garment, StageEntry, TicketLine
from tests.factories.customers import UserFactory
from tests.factories.fittings import (
    AgreedOvertimeFactory,
    BookingFactory,
    MakerFactory,
    RoomFactory,
)
from tests.factories.garments import (
    AlterationFactory,
    GarmentFactory,
    StageEntryFactory,
    TicketRevisionFactory,
)

DAY = datetime.timedelta(days=1)


@pytest.fixture
def work(makers):
    """Four garments; one with an open ticket, one booked, makers with a person each."""
    for maker in makers.values():
        maker.user = UserFactory()
        maker.save()
    today = timezone.localdate()
    kinds = ("coat", "coat", "trousers", "waistcoat")
    coats = [
        GarmentFactory(kind=kind, promised_on=today + (60 + 5 * place) * DAY)
        for place, kind in enumerate(kinds)
    ]
    revision = TicketRevisionFactory(ticket__garment=coats[1])
    TicketLine.objects.create(
        revision=revision, position=1, alteration=AlterationFactory(garment=coats[1])
    )
    BookingFactory(garments=coats[:1], starts_at=timezone.now() + 30 * DAY)
    return coats


def entered_stage(work):
    StageEntryFactory(garment=work[0], stage="cut", at=timezone.now() - DAY)


def struck_stage(work):
    (entry,) = StageEntry.objects.all()
    take_back(entry, entry_id=uuid.uuid4(), by=entry.by, same=["garment", "stage", "at"])


def put_back_by_hand(work):
    Garment.objects.filter(pk=work[0].pk).update(stage="basted", stage_since=timezone.now())


def promised_sooner(work):
    Garment.objects.filter(pk=work[3].pk).update(promised_on=timezone.localdate() + 10 * DAY)


def went_home(work):
    Garment.objects.filter(pk=work[0].pk).update(stage="delivered")


def ordered_another(work):
    GarmentFactory(promised_on=timezone.localdate() + 20 * DAY)


def another_ticket(work):
    revision = TicketRevisionFactory(ticket__garment=work[0])
    TicketLine.objects.create(
        revision=revision, position=1, alteration=AlterationFactory(garment=work[0])
    )


def struck_alteration(work):
    line = TicketLine.objects.get()
    take_back(line.alteration, entry_id=uuid.uuid4(), by=line.alteration.by, same=["garment"])


def booked(work):
    BookingFactory(garments=work[1:2], starts_at=timezone.now() + 25 * DAY)


def moved_the_booking(work):
    starts = timezone.now() + 40 * DAY
    Booking.objects.update(starts_at=starts, ends_at=starts + DAY / 48)


def cancelled_the_booking(work):
    Booking.objects.update(state="cancelled")


def tied_to_another(work):
    Booking.objects.get().garments.set(work[1:2])


def fitted_in_a_town(work):
    room = RoomFactory(town="Harwold")
    day = timezone.localdate() + 30 * DAY
    hours = {"opens": datetime.time(10), "closes": datetime.time(17), "there": 60, "back": 60}
    trip = Trip.objects.create(room=room, first=day, last=day + 3 * DAY, by=UserFactory(), **hours)
    trip.fitters.set([Booking.objects.get().fitter])
    Booking.objects.update(room=room)


def another_maker(work):
    MakerFactory()


def maker_comes_later(work):
    Maker.objects.filter(craft="cutter").update(since=timezone.localdate() + 9 * DAY)


def maker_is_away(work):
    person = Maker.objects.get(craft="cutter").user
    today = timezone.localdate()
    Absence.objects.create(person=person, first=today, last=today + 9 * DAY, by=person)


def overtime(work):
    AgreedOvertimeFactory(craft="cutter", first=timezone.localdate())


def other_minutes(work):
    StageTime.objects.create(
        kind="coat", stage="baste", minutes=900, wait_days=2, reason="Counted", by=UserFactory()
    )


def closed(work):
    today = timezone.localdate()
    Closure.objects.create(first=today, last=today + 9 * DAY, reason="Fair", by=UserFactory())


def closed_on_another_weekday(work):
    OpeningHours.objects.create(weekday=2, by=UserFactory())


def public_holidays(work):
    HolidayRule.objects.create(country="GB", subdivision="ENG", by=UserFactory())


CHANGES = [
    entered_stage,
    put_back_by_hand,
    promised_sooner,
    went_home,
    ordered_another,
    another_ticket,
    struck_alteration,
    booked,
    moved_the_booking,
    cancelled_the_booking,
    tied_to_another,
    fitted_in_a_town,
    another_maker,
    maker_comes_later,
    maker_is_away,
    overtime,
    other_minutes,
    closed,
    closed_on_another_weekday,
    public_holidays,
]


def worked_out(promises):
    return promises.case, promises.unplanned, promises.plans, promises.risks


def anew(monkeypatch):
    with monkeypatch.context() as nothing_kept:
        nothing_kept.setattr(queries._Latest, "promises", None)
        nothing_kept.setattr(queries._Latest, "run", None)
        return worked_out(read_promises())


@pytest.mark.parametrize("change", CHANGES)
def test_kept_plans_are_those_worked_out_anew(work, monkeypatch, change):
    before = worked_out(read_promises())

    change(work)

    assert worked_out(read_promises()) == anew(monkeypatch)
    assert worked_out(read_promises()) != before


def test_struck_stage_is_as_if_never_entered(work, monkeypatch):
    before = worked_out(read_promises())
    entered_stage(work)
    read_promises()

    struck_stage(work)

    assert worked_out(read_promises()) == anew(monkeypatch) == before


def test_another_day_is_another_plan(work, monkeypatch):
    today = timezone.localdate()
    first = worked_out(read_promises(today))

    assert worked_out(read_promises(today + DAY)) != first
    assert worked_out(read_promises(today)) == first == anew(monkeypatch)


def test_nothing_is_worked_out_again_while_the_record_says_the_same(work):
    promises = read_promises()

    assert read_promises() is promises
    assert answer(read_promises(), "coat", None).earliest is answer(promises, "coat", None).earliest


def test_one_garment_by_itself_is_not_taken_for_all(work):
    promises = read_promises()
    alone = queries.read_alone(work[0])

    assert list(alone.plans) == [work[0].number]
    assert read_promises() is promises
    assert len(read_promises().plans) == len(work)


def test_names_are_those_of_now(work):
    read_promises()
    Customer.objects.filter(pk=work[0].customer.pk).update(family_name="Withycombe")

    assert named([work[0].number])[work[0].number].customer.family_name == "Withycombe"


def test_named_keeps_the_order_and_leaves_out_who_is_not_there(work, django_assert_num_queries):
    numbers = [work[2].number, "G-none", work[0].number]

    assert list(named(numbers)) == [work[2].number, work[0].number]
    with django_assert_num_queries(0):
        assert named([]) == {}


def test_house_that_works_on_another_clock_is_planned_anew(work, monkeypatch):
    worked_out(read_promises())
    House.objects.update(opens=datetime.time(6))

    assert worked_out(read_promises()) == anew(monkeypatch)
