"""The one way in for each write to the diary."""

import copy
import datetime
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from customers.ledger import already_kept
from customers.models import Customer, House
from customers.people import name_of, refuse_erased
from customers.versions import ChangedMeanwhileError
from fittings.config.access import FITTING_ROOM, roles_of
from fittings.diary.queries import fitters, house_hours, spoken_for
from fittings.diary.slots import Span
from fittings.models import Booking, BookingChange, Fitting, Room
from fittings.opendays.queries import absent_within, away_text, spans_away
from fittings.travelling.queries import journeys_from, place_of
from garments.models import Garment, Stage

State = Booking.State
What = BookingChange.What
Purpose = Booking.Purpose

# What may be said of a booking in each state, in the order it is offered.
NEXT: dict[str, tuple[What, ...]] = {
    State.BOOKED: (What.ARRIVED, What.KEPT, What.MISSED),
    State.ARRIVED: (What.KEPT, What.MISSED, What.REOPENED),
    State.KEPT: (What.REOPENED,),
    State.MISSED: (What.ARRIVED, What.REOPENED),
    State.CANCELLED: (),
}
STATE_AFTER = {
    What.ARRIVED: State.ARRIVED,
    What.KEPT: State.KEPT,
    What.MISSED: State.MISSED,
    What.REOPENED: State.BOOKED,
}
MAY_CANCEL = Booking.COMING
DOUBLE = "no_double_booking_of_"  # begins the name of the database's rule; what it is about follows
LONGEST = datetime.timedelta(hours=4)  # what is longer is a slip; house rule


class SlotTakenError(Exception):
    """The fitter or the room (``what``) already has ``other`` in that time.

    ``other`` is None when it was let go again in the meantime.
    """

    def __init__(self, what: str, other: Booking | None) -> None:
        self.what = what
        self.other = other
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        if self.other is None:
            return f"The {self.what} was just taken. Try again."
        begins, ends = (
            f"{timezone.localtime(at):%H:%M}" for at in (self.other.starts_at, self.other.ends_at)
        )
        when = f"{self.other.customer.number} from {begins} to {ends}"
        if self.what == "room":
            return f"{self.other.room} is taken by {when}."
        return f"{name_of(self.other.fitter)} is with {when}."


def book_fitting(
    *,
    booking_id: uuid.UUID,
    customer: Customer,
    garments: Iterable[Garment],
    fitter: User,
    room: Room,
    purpose: str,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    note: str = "",
    by: User,
    anyway: bool = False,
) -> Booking:
    """Keep a time. SlotTakenError when fitter or room is taken: the database has the last word.

    ValidationError by field: no garment to fit or one that cannot be, no fitter, no sense of time,
    closed, away. ``anyway``: a fitter knows that the house is closed then.
    """
    chosen = list(garments)
    booking = Booking(
        pk=booking_id,
        customer=customer,
        fitter=fitter,
        room=room,
        purpose=purpose,
        starts_at=starts_at,
        ends_at=ends_at,
        note=note,
    )
    with _in_turn(booking):
        kept = already_kept(Booking, booking_id, by, customer=customer)
        if kept:
            already_kept(BookingChange, _first_change(booking_id), by)
            return kept
        refuse_erased(customer)
        _refuse_garments(customer, chosen, purpose)
        _refuse_place(booking)
        _refuse_time(booking, anyway=anyway, by=by)
        booking.full_clean(validate_unique=False, validate_constraints=False)
        booking.save(force_insert=True)
        booking.garments.set(chosen)
        _enter_change(_first_change(booking_id), booking, What.BOOKED, "", by)
    return booking


def move_booking(
    *,
    entry_id: uuid.UUID,
    booking: Booking,
    version: int,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    fitter: User,
    room: Room,
    reason: str,
    by: User,
    anyway: bool = False,
) -> Booking:
    """Give a booking another time, fitter or room: SlotTakenError, ChangedMeanwhileError.

    ValidationError by field and ``anyway`` as in ``book_fitting``.
    """
    moved = _as_it_is(booking)
    moved.starts_at, moved.ends_at, moved.fitter, moved.room = starts_at, ends_at, fitter, room
    with _in_turn(moved):
        if _kept(entry_id, booking, by):
            return booking
        _refuse_without_reason(reason, "Say why it is moved.")
        if booking.state != State.BOOKED:
            raise ValidationError(f"This booking is {booking.get_state_display()}: it cannot move.")
        _refuse_place(moved)
        _refuse_time(moved, anyway=anyway, by=by)
        values = {"starts_at": starts_at, "ends_at": ends_at, "fitter": fitter, "room": room}
        _update(moved, version, **values)
        _enter_change(entry_id, moved, What.MOVED, reason, by)
    return moved


def cancel_booking(
    *, entry_id: uuid.UUID, booking: Booking, reason: str, by: User, version: int | None = None
) -> Booking:
    """Let a time go, with the reason; it frees fitter and room at once.

    ``version`` is what the person saw: ChangedMeanwhileError when it was moved since.
    """
    cancelled = _as_it_is(booking)
    with _in_turn(cancelled):
        if _kept(entry_id, booking, by):
            return booking
        _refuse_without_reason(reason, "Say why it is cancelled.")
        if booking.state not in MAY_CANCEL:
            raise ValidationError(f"This booking is {booking.get_state_display()} already.")
        cancelled.state = State.CANCELLED
        _update(cancelled, version or booking.version, state=State.CANCELLED)
        _enter_change(entry_id, cancelled, What.CANCELLED, reason, by)
    return cancelled


def mark_booking(*, entry_id: uuid.UUID, booking: Booking, what: str, by: User) -> Booking:
    """Say that the customer arrived, the fitting was kept or missed, or put it back to booked.

    SlotTakenError when a missed time was given to someone else since. The booking given is
    brought up to date as well: who starts a fitting goes on with it.
    """
    with _in_turn(booking):
        if _kept(entry_id, booking, by):
            return booking
        if what not in NEXT[booking.state]:
            raise ValidationError(f"This booking is {booking.get_state_display()} already.")
        _refuse_untrue(booking, what)
        state = STATE_AFTER[What(what)]
        _update(booking, booking.version, state=state)
        booking.state = state
        _enter_change(entry_id, booking, what, "", by)
    return booking


def add_room(*, name: str) -> Room:
    """Add a room, or take one of that name into use again."""
    room, _ = Room.objects.update_or_create(name=name, defaults={"retired": False})
    return room


def retire_room(*, room: Room) -> Room:
    """Offer a room no more; its bookings stay. ValidationError for the last one."""
    own = Room.objects.filter(retired=False, town="")
    if not room.town and not own.exclude(pk=room.pk).exists():
        raise ValidationError("The house needs one room: add the next before this one goes.")
    room.retired = True
    room.save(update_fields=["retired"])
    return room


@contextmanager
def _in_turn(wished: Booking) -> Iterator[None]:
    """One transaction, whose refusal by the database becomes SlotTakenError.

    SQLite lets one writer in at BEGIN. On PostgreSQL two who book at once would each wait for the
    other's row, a deadlock; so they take turns on the row of the house.
    """
    try:
        with transaction.atomic():
            House.take_turns()
            yield
    except IntegrityError as error:
        if DOUBLE not in str(error):
            raise
        # Where both are taken the databases do not agree which they name: the fitter, always.
        taken = ((what, spoken_for(wished, what)) for what in ("fitter", "room"))
        nobody = (str(error).partition(DOUBLE)[2].split('"')[0], None)
        raise SlotTakenError(*next((pair for pair in taken if pair[1]), nobody)) from error


def _as_it_is(booking: Booking) -> Booking:
    """A copy to write on: a refused write leaves the caller's booking as it was."""
    return copy.copy(booking)


def _first_change(booking_id: uuid.UUID) -> uuid.UUID:
    """The id of the entry that a booking begins with: the same tap makes the same entry."""
    return uuid.uuid5(booking_id, What.BOOKED)


def _kept(entry_id: uuid.UUID, booking: Booking, by: User) -> bool:
    kept = already_kept(BookingChange, entry_id, by)
    if kept and kept.booking_id != booking.pk:
        raise ValidationError("This page was already used for another booking: open it again.")
    return kept is not None


def _refuse_garments(customer: Customer, chosen: list[Garment], purpose: str) -> None:
    if not chosen and purpose != Purpose.MEASURE:
        raise ValidationError({"garments": "Choose what is to be fitted."})
    for garment in chosen:
        if garment.customer_id != customer.pk:
            raise ValidationError({"garments": "Choose garments of this customer."})
        if garment.stage == Stage.REMADE:
            raise ValidationError({"garments": f"{garment} was replaced by a remake."})
        if garment.delivered and purpose != Purpose.RETURN:
            looks = Purpose.RETURN.label
            raise ValidationError(
                {"garments": f"{garment} is delivered already: it can only come for a {looks}."}
            )


def _refuse_place(booking: Booking) -> None:
    length = booking.ends_at - booking.starts_at
    if length <= datetime.timedelta():
        raise ValidationError({"time": "It must end after it starts."})
    if length > LONGEST:
        raise ValidationError({"length": "Four hours is the longest that can be booked at once."})
    if not fitters().filter(pk=booking.fitter_id).exists():
        raise ValidationError({"fitter": "Choose someone who fits."})
    if booking.room.retired:
        raise ValidationError({"room": f"{booking.room} is not used any more."})


def may_insist(person: User) -> bool:
    """Who may keep a time outside the house's hours: the evening is the fitter's own to give."""
    return bool(roles_of(person) & FITTING_ROOM)


def _refuse_time(booking: Booking, *, anyway: bool, by: User) -> None:
    """Over, too far off, closed; on who is away or in another town nobody can insist."""
    span, hours = Span(booking.starts_at, booking.ends_at), house_hours()
    day = hours.day_of(booking.starts_at)
    place = place_of(booking.room, booking.fitter)
    refused = journeys_from(day).refusal(place, span, hours, timezone.now())
    if refused and not (anyway and refused.may_insist and may_insist(by)):
        raise ValidationError({refused.field: refused.why})
    for away in absent_within(day, day):
        meets = any(span.meets(other) for other in spans_away(away, day, day))
        if away.person_id == booking.fitter_id and meets:
            raise ValidationError({"fitter": away_text(away)})


def _refuse_without_reason(reason: str, sentence: str) -> None:
    if not reason.strip():
        raise ValidationError({"reason": sentence})


def _refuse_untrue(booking: Booking, what: str) -> None:
    if what == What.MISSED and booking.starts_at > timezone.now():
        raise ValidationError("It has not begun yet: nobody has missed it.")
    held = what in {What.MISSED, What.REOPENED} and Fitting.objects.filter(booking=booking).exists()
    if held:
        raise ValidationError("The fitting was held: it stays kept.")


def _update(booking: Booking, version: int, **values: Any) -> None:
    """One UPDATE that is also the test whether someone was faster."""
    rows = Booking.objects.filter(pk=booking.pk, version=version)
    if not rows.update(version=F("version") + 1, **values):
        raise ChangedMeanwhileError(Booking.objects.get(pk=booking.pk))
    booking.version = version + 1


def _enter_change(
    entry_id: uuid.UUID, booking: Booking, what: str, reason: str, by: User
) -> BookingChange:
    return BookingChange.objects.create(
        id=entry_id,
        booking=booking,
        what=what,
        reason=reason,
        starts_at=booking.starts_at,
        ends_at=booking.ends_at,
        fitter=booking.fitter,
        room=booking.room,
        at=timezone.now(),
        by=by,
    )
