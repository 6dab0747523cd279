import pytest
from django.db import DatabaseError, connection, transaction

from customers.models import MeasurementSet
from fittings.models import Observation
from tests.factories import (
    AlterationFactory,
    BookingFactory,
    CauseTakenFactory,
    ConsentFactory,
    DecisionFactory,
    JudgementFactory,
    MeasurementFactory,
    ObservationFactory,
    OmissionFactory,
    RemakeFactory,
    RemarkFactory,
    SpotAnswerFactory,
    StageEntryFactory,
    TicketRevisionFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

LEDGERS = [
    ConsentFactory,
    MeasurementFactory,
    StageEntryFactory,
    AlterationFactory,
    TicketRevisionFactory,
    RemakeFactory,
    ObservationFactory,
    CauseTakenFactory,
    SpotAnswerFactory,
    RemarkFactory,
    JudgementFactory,
    DecisionFactory,
    OmissionFactory,
]


@pytest.mark.parametrize("make", LEDGERS)
@pytest.mark.parametrize("verb", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_ledger_table_refuses_raw_change(make, verb):
    row = make()

    with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
        connection.cursor().execute(verb.format(row._meta.db_table))

    assert type(row).objects.filter(pk=row.pk).exists()


def test_struck_and_void_entries_do_not_stand():
    wrong = ObservationFactory(fault="collar-stands-off")
    right = ObservationFactory(strikes=wrong, fitting=wrong.fitting)
    taken_back = ObservationFactory()
    ObservationFactory(strikes=taken_back, void=True)

    assert list(Observation.objects.standing()) == [right]


def test_entry_is_struck_at_most_once():
    wrong = ObservationFactory()
    ObservationFactory(strikes=wrong)

    with pytest.raises(DatabaseError):
        ObservationFactory(strikes=wrong)


def test_measures_come_back_exact_to_the_nanometre():
    row = MeasurementFactory()

    kept = MeasurementSet.objects.get(pk=row.in_set_id).lengths()

    assert kept == {("chest", ""): row.value}


@pytest.mark.parametrize("what", ["fitter", "room"])
def test_overlapping_booking_is_refused_by_database(what):
    first = BookingFactory()
    shared = {what: getattr(first, what)}

    with pytest.raises(DatabaseError, match=f"no_double_booking_of_{what}"), transaction.atomic():
        BookingFactory(**shared)

    BookingFactory(**shared, starts_at=first.ends_at)  # touching is no overlap


def test_cancelled_booking_frees_its_time():
    first = BookingFactory(state="cancelled")

    again = BookingFactory(fitter=first.fitter, room=first.room)

    assert again.starts_at == first.starts_at


def test_user_factory_puts_people_in_groups():
    fitter = UserFactory(role="fitter")

    assert [group.name for group in fitter.groups.all()] == ["fitter"]
