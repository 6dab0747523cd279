"""One way in for each write: what it keeps, what it refuses, and what it keeps once."""

import datetime
import uuid
from contextlib import nullcontext

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from customers.versions import ChangedMeanwhileError
from fittings.diary.services import (
    NEXT,
    SlotTakenError,
    add_room,
    book_fitting,
    cancel_booking,
    mark_booking,
    move_booking,
    retire_room,
)
from fittings.models import Booking, BookingChange, Room
from tests.diary.conftest import moment, next_monday
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    RoomFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

TEN, HALF_PAST, ELEVEN = (
    moment(next_monday(), time).astimezone(datetime.UTC) for time in ("10:00", "10:30", "11:00")
)


@pytest.fixture
def book(customer, coat, ansel, front_room, desk):
    def make(**values):
        usual = {
            "booking_id": uuid.uuid4(),
            "customer": customer,
            "garments": [coat],
            "fitter": ansel,
            "room": front_room,
            "purpose": "first-fitting",
            "starts_at": TEN,
            "ends_at": HALF_PAST,
            "by": desk,
        }
        return book_fitting(**usual | values)

    return make


@pytest.fixture
def move(ansel, front_room, desk):
    def make(booking, **values):
        usual = {
            "entry_id": uuid.uuid4(),
            "booking": booking,
            "version": booking.version,
            "starts_at": HALF_PAST,
            "ends_at": ELEVEN,
            "fitter": ansel,
            "room": front_room,
            "reason": "His train is late",
            "by": desk,
        }
        return move_booking(**usual | values)

    return make


def history(booking):
    return [(entry.what, entry.reason, entry.starts_at) for entry in booking.changes.all()]


# -- booking ---------------------------------------------------------------------------------------


def test_booking_is_kept_with_its_beginning(book, coat):
    booking = Booking.objects.get(pk=book(note="Comes with his wife").pk)

    assert list(booking.garments.all()) == [coat]
    assert (booking.state, booking.version, booking.note) == ("booked", 1, "Comes with his wife")
    assert history(booking) == [("booked", "", TEN)]


def test_same_tap_sent_twice_books_once(book):
    same = uuid.uuid4()

    assert book(booking_id=same) == book(booking_id=same)
    assert (Booking.objects.count(), BookingChange.objects.count()) == (1, 1)


def test_tap_of_someone_else_is_refused(book, ansel):
    same = book().pk

    with pytest.raises(ValidationError, match="used by someone else"):
        book(booking_id=same, by=ansel)


def test_taken_fitter_is_named_with_customer_and_time(book, back_room, customer):
    first = book()

    with pytest.raises(SlotTakenError) as taken:
        book(room=back_room, starts_at=TEN + datetime.timedelta(minutes=15))

    assert (taken.value.what, taken.value.other) == ("fitter", first)
    assert str(taken.value) == f"Ansel Wren is with {customer.number} from 10:00 to 10:30."
    assert (Booking.objects.count(), BookingChange.objects.count()) == (1, 1)


def test_taken_room_is_named_with_customer_and_time(book, odile, customer):
    book()

    with pytest.raises(SlotTakenError) as taken:
        book(fitter=odile)

    assert str(taken.value) == f"Front room is taken by {customer.number} from 10:00 to 10:30."


def test_slot_let_go_meanwhile_asks_to_try_again():
    assert str(SlotTakenError("room", None)) == "The room was just taken. Try again."


def test_bookings_that_touch_do_not_overlap(book):
    book()
    book(starts_at=HALF_PAST, ends_at=ELEVEN)

    assert Booking.objects.count() == 2


@pytest.mark.parametrize(
    ("values", "field", "message"),
    [
        ({"garments": []}, "garments", "Choose what is to be fitted."),
        ({"ends_at": TEN}, "time", "It must end after it starts."),
        ({"ends_at": TEN - datetime.timedelta(hours=1)}, "time", "It must end after it starts."),
        (
            {"ends_at": TEN + datetime.timedelta(hours=4, minutes=1)},
            "length",
            "Four hours is the longest that can be booked at once.",
        ),
        ({"purpose": "a-chat"}, "purpose", "Value 'a-chat' is not a valid choice."),
        (
            {"note": "x" * 301},
            "note",
            "Ensure this value has at most 300 characters (it has 301).",
        ),
    ],
)
def test_nonsense_is_refused_by_field(book, values, field, message):
    with pytest.raises(ValidationError) as refused:
        book(**values)

    assert refused.value.message_dict == {field: [message]}
    assert Booking.objects.count() == 0


def test_garment_of_another_customer_is_refused(book):
    with pytest.raises(ValidationError, match="of this customer"):
        book(garments=[GarmentFactory()])


@pytest.mark.parametrize(
    ("stage", "purpose", "allowed"),
    [
        ("basted", "first-fitting", True),
        ("delivered", "forward-fitting", False),
        ("delivered", "return-look", True),
        ("remade", "return-look", False),
    ],
)
def test_garment_comes_while_the_house_works_on_it(book, customer, stage, purpose, allowed):
    garment = GarmentFactory(customer=customer, stage=stage)

    expected = nullcontext() if allowed else pytest.raises(ValidationError, match=garment.number)
    with expected:
        book(garments=[garment], purpose=purpose)

    assert Booking.objects.exists() is allowed


def test_measuring_needs_no_garment(book):
    assert book(garments=[], purpose="measure").garments.count() == 0


@pytest.mark.parametrize("who", ["front of house", "workroom", None, "gone"])
def test_only_a_fitter_is_booked(book, who):
    values = {"role": "fitter", "is_active": False} if who == "gone" else {"role": who}

    with pytest.raises(ValidationError) as refused:
        book(fitter=UserFactory(**values))

    assert refused.value.message_dict == {"fitter": ["Choose someone who fits."]}


def test_room_out_of_use_is_refused(book):
    with pytest.raises(ValidationError, match="not used any more"):
        book(room=RoomFactory(retired=True))


# -- moving and letting go -------------------------------------------------------------------------


def test_move_keeps_where_it_was_in_history(book, move, odile, back_room):
    booking = move(book(), fitter=odile, room=back_room)

    stored = Booking.objects.get(pk=booking.pk)
    assert (stored.starts_at, stored.fitter, stored.room) == (HALF_PAST, odile, back_room)
    assert history(stored) == [("booked", "", TEN), ("moved", "His train is late", HALF_PAST)]
    assert stored.version == booking.version == 2


def test_move_over_its_own_time_is_free(book, move):
    quarter_past = TEN + datetime.timedelta(minutes=15)

    assert move(book(), starts_at=quarter_past).starts_at == quarter_past


def test_refused_move_leaves_the_booking_as_it_was(book, move):
    book(starts_at=HALF_PAST, ends_at=ELEVEN)
    booking = book()

    with pytest.raises(SlotTakenError):
        move(booking)

    assert (booking.starts_at, booking.version) == (TEN, 1)
    assert history(booking) == [("booked", "", TEN)]


def test_move_seen_too_late_is_told(book, move):
    booking = book()
    move(booking)

    with pytest.raises(ChangedMeanwhileError) as changed:
        move(booking, version=1, starts_at=ELEVEN, ends_at=ELEVEN + datetime.timedelta(minutes=30))

    assert changed.value.row.starts_at == HALF_PAST
    assert booking.changes.count() == 2


def test_move_sent_twice_moves_once(book, move):
    booking, tap = book(), uuid.uuid4()

    move(booking, entry_id=tap)
    move(Booking.objects.get(pk=booking.pk), entry_id=tap, starts_at=TEN, ends_at=ELEVEN)

    assert Booking.objects.get().starts_at == HALF_PAST
    assert booking.changes.count() == 2


def test_tap_of_another_booking_moves_nothing(book, move):
    first, tap = book(), uuid.uuid4()
    move(first, entry_id=tap)
    second = book()

    with pytest.raises(ValidationError, match="another booking"):
        move(second, entry_id=tap, starts_at=ELEVEN, ends_at=ELEVEN + datetime.timedelta(hours=1))


@pytest.mark.parametrize("reason", ["", "   "])
def test_moving_and_cancelling_need_a_reason(book, move, desk, reason):
    booking = book()

    with pytest.raises(ValidationError, match="Say why it is moved"):
        move(booking, reason=reason)
    with pytest.raises(ValidationError, match="Say why it is cancelled"):
        cancel_booking(entry_id=uuid.uuid4(), booking=booking, reason=reason, by=desk)


@pytest.mark.parametrize("state", ["arrived", "kept", "missed", "cancelled"])
def test_only_a_booked_time_moves(book, move, state):
    booking = book()
    Booking.objects.update(state=state)
    booking.refresh_from_db()

    with pytest.raises(ValidationError, match="it cannot move"):
        move(booking)


def test_cancelled_time_is_free_at_once(book, desk):
    gone = cancel_booking(entry_id=uuid.uuid4(), booking=book(), reason="Ill", by=desk)

    assert book().state == "booked"
    assert history(gone)[1:] == [("cancelled", "Ill", TEN)]


def test_cancelling_what_was_moved_since_is_told(book, move, desk):
    booking = move(book())

    with pytest.raises(ChangedMeanwhileError):
        cancel_booking(entry_id=uuid.uuid4(), booking=booking, version=1, reason="Ill", by=desk)

    assert Booking.objects.get().state == "booked"


@pytest.mark.parametrize("state", ["kept", "missed", "cancelled"])
def test_what_is_over_cannot_be_cancelled(state, desk):
    booking = BookingFactory(state=state)

    with pytest.raises(ValidationError, match=f"is {state} already"):
        cancel_booking(entry_id=uuid.uuid4(), booking=booking, reason="Ill", by=desk)


# -- arrived, kept, missed -------------------------------------------------------------------------

AFTER = {"arrived": "arrived", "kept": "kept", "missed": "missed", "reopened": "booked"}


@pytest.mark.parametrize("what", [*BookingChange.What.values, "", "<script>"])
@pytest.mark.parametrize("state", Booking.State.values)
def test_mark_follows_the_table_of_states(desk, state, what):
    booking = BookingFactory(state=state)

    try:
        mark_booking(entry_id=uuid.uuid4(), booking=booking, what=what, by=desk)
    except ValidationError:
        assert what not in NEXT[state]
        assert (booking.state, booking.changes.count()) == (state, 0)
    else:
        assert what in NEXT[state]
        assert Booking.objects.get().state == booking.state == AFTER[what]
        assert booking.changes.get().what == what


def test_mark_sent_twice_is_kept_once(desk):
    booking, tap = BookingFactory(), uuid.uuid4()

    for _ in range(2):
        mark_booking(entry_id=tap, booking=booking, what="arrived", by=desk)

    assert (booking.state, booking.changes.count()) == ("arrived", 1)


def test_two_who_mark_at_once_are_told_apart(desk, ansel):
    seen = Booking.objects.get(pk=BookingFactory().pk)
    mark_booking(entry_id=uuid.uuid4(), booking=Booking.objects.get(), what="missed", by=ansel)

    with pytest.raises(ChangedMeanwhileError):
        mark_booking(entry_id=uuid.uuid4(), booking=seen, what="arrived", by=desk)


def test_missed_time_given_away_cannot_come_back(book, desk):
    missed = book()
    Booking.objects.update(state="missed")
    missed.refresh_from_db()
    instead = book(customer=CustomerFactory(), garments=[], purpose="measure")

    with pytest.raises(SlotTakenError) as taken:
        mark_booking(entry_id=uuid.uuid4(), booking=missed, what="reopened", by=desk)

    assert taken.value.other == instead
    assert (missed.state, Booking.objects.get(pk=missed.pk).state) == ("missed", "missed")


def test_nobody_misses_what_has_not_begun(desk):
    booking = BookingFactory(starts_at=timezone.now() + datetime.timedelta(hours=1))

    with pytest.raises(ValidationError, match="not begun yet"):
        mark_booking(entry_id=uuid.uuid4(), booking=booking, what="missed", by=desk)


@pytest.mark.parametrize(("state", "what"), [("kept", "reopened"), ("arrived", "missed")])
def test_held_fitting_stays_kept(desk, state, what):
    booking = BookingFactory(state=state)
    FittingFactory(booking=booking, customer=booking.customer)

    with pytest.raises(ValidationError, match="The fitting was held"):
        mark_booking(entry_id=uuid.uuid4(), booking=booking, what=what, by=desk)


# -- rooms -----------------------------------------------------------------------------------------


def test_room_retired_comes_back_by_its_name():
    first, second = add_room(name="Front"), add_room(name="Back")

    retire_room(room=first)
    again = add_room(name="Front")

    assert again.pk == first.pk
    assert list(Room.objects.filter(retired=False)) == [second, again]


def test_last_room_cannot_be_retired():
    room = add_room(name="Front")

    with pytest.raises(ValidationError, match="needs one room"):
        retire_room(room=room)

    assert Room.objects.get().retired is False
