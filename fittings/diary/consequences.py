"""What it means to hold a fitting at a time: said before a move is kept, told after a booking."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.text import capfirst

from customers.people import name_of
from fittings.diary.lasting import Purpose
from fittings.diary.promised import WorkPlan, bounds
from fittings.diary.slots import Span
from fittings.models import Booking, Message, MessageKind, Room
from fittings.spoken import weekday_text
from fittings.travelling.packing import outing_at
from garments.models import Garment

# The fittings of a garment follow one another in this order.
ORDER = {Purpose.FIRST: 1, Purpose.FORWARD: 2, Purpose.FINAL: 3}
SAID = (Message.State.SENT, Message.State.TOLD, Message.State.SENDING, Message.State.UNSURE)
OF_TIMES = (MessageKind.CONFIRMATION, MessageKind.REMINDER, MessageKind.CHANGE)


@dataclass(frozen=True)
class Meaning:
    """The sentences, and a mark of them: who sends it back has read these very ones."""

    sentences: tuple[str, ...]
    is_told: bool = False

    @property
    def mark(self) -> str:
        return hashlib.sha256("\n".join(self.sentences).encode()).hexdigest()[:16]

    def may_keep(self, mark: str) -> bool:
        return not self.sentences or mark == self.mark


def meaning_of_move(
    booking: Booking, span: Span, fitter: User, room: Room | None = None
) -> Meaning:
    """What moving ``booking`` there would mean, in the order of what it can cost.

    Without a room it is held at the house, in whichever is free.
    """
    garments = list(booking.garments.all())
    told = was_told(booking)
    sentences = [
        *promise_sentences(garments, booking.purpose, span, room),
        *_order_sentences(booking, garments, span),
        *_elsewhere(booking, span, fitter),
    ]
    if fitter.pk != booking.fitter_id:
        sentences.append(f"{name_of(fitter)} fits instead of {name_of(booking.fitter)}.")
    town, before = (row.town if row else "" for row in (room, booking.room))
    if town != before:
        where = [f"in {name}" if name else "at the house" for name in (town, before)]
        sentences.append(f"It is held {where[0]} instead of {where[1]}.")
    if told and (span.starts != booking.starts_at or town != before):
        sentences.append("The customer was told the old time: a message of the change is offered.")
    return Meaning(tuple(sentences), is_told=told)


def promise_sentences(
    garments: Iterable[Garment], purpose: str, span: Span, room: Room | None = None
) -> list[str]:
    """Which garments would not be ready by then, and which promises it would come too late for.

    For a place in another town they must hang on the day of packing, and count as fitted on the day
    they are back.
    """
    day, plan, found = timezone.localdate(span.starts), WorkPlan(), []
    trip = outing_at(room, day) if room and room.town else None
    hangs, back = (trip.packing, trip.back_on) if trip else (day, day)
    for garment in garments:
        ready, latest = bounds([garment], purpose, plan)
        what = f"{capfirst(garment.get_kind_display())} {garment.number}"
        if ready and hangs < ready:
            packed = f"; it would be packed on {weekday_text(hangs)}" if trip else ""
            found.append(f"{what} will not hang ready before {weekday_text(ready)}{packed}.")
        if latest and back > latest:
            late = (back - latest).days
            days = "a day" if late == 1 else f"{late} days"
            again = "back at the house " if trip else ""
            last = f"{weekday_text(latest)}, the latest day for its promise"
            found.append(f"{what}: {again}{days} after {last}.")
    return found


def was_told(booking: Booking) -> bool:
    """Whether the customer has been told a time of this booking. One query."""
    told = Message.objects.filter(booking=booking, kind__in=OF_TIMES, state__in=SAID)
    return told.exists()


def _order_sentences(booking: Booking, garments: list[Garment], span: Span) -> list[str]:
    own = ORDER.get(Purpose(booking.purpose))
    if own is None or not garments:
        return []
    others = Booking.objects.filter(garments__in=garments, state__in=Booking.COMING)
    found = []
    for other in others.exclude(pk=booking.pk).distinct():
        rank = ORDER.get(Purpose(other.purpose), own)
        when = timezone.localtime(other.starts_at)
        named = f"The {other.get_purpose_display()} on {weekday_text(when.date())}, {when:%H:%M},"
        if rank > own and other.starts_at < span.ends:
            found.append(f"{named} would come before it.")
        if rank < own and other.starts_at >= span.starts:
            found.append(f"{named} would come after it.")
    return found


def _elsewhere(booking: Booking, span: Span, fitter: User) -> list[str]:
    meeting = Booking.objects.filter(
        customer=booking.customer_id,
        state__in=Booking.HOLDING,
        starts_at__lt=span.ends,
        ends_at__gt=span.starts,
    )
    # With this same fitter it cannot be kept anyway, and that is told beside the time.
    other = meeting.exclude(pk=booking.pk).exclude(fitter=fitter).select_related("fitter").first()
    return [f"The customer is booked with {name_of(other.fitter)} then."] if other else []
