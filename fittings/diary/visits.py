"""Who comes: a booking with what may be said of it now, and whether its garments are ready."""

import datetime
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.text import capfirst

from customers.people import name_of
from fittings.diary.services import MAY_CANCEL, NEXT, State, What
from fittings.models import Booking, Fitting
from garments.models import Garment

# After so long a customer counts as late; common practice, no source.
GRACE = datetime.timedelta(minutes=10)
WORDS = {
    What.ARRIVED: "Arrived",
    What.KEPT: "Kept",
    What.MISSED: "Missed",
    What.REOPENED: "Put back to booked",
}
TONES = {State.ARRIVED: "chalk", State.KEPT: "good", State.MISSED: "bad", State.CANCELLED: ""}


@dataclass(frozen=True)
class Mark:
    """A button: what it says of the booking, and the entry that its tap makes."""

    what: str
    text: str
    entry_id: uuid.UUID


@dataclass
class Visit:
    """A booking as it stands at ``now``. ``owed`` is a ticket by garment that is not done."""

    booking: Booking
    now: datetime.datetime
    owed: Mapping[int, str]

    @cached_property
    def is_late(self) -> bool:
        return self.booking.state == State.BOOKED and self.booking.starts_at + GRACE < self.now

    @cached_property
    def is_over(self) -> bool:
        return self.booking.state not in MAY_CANCEL

    @property
    def state(self) -> str:
        return "late" if self.is_late else str(self.booking.get_state_display())

    @property
    def tone(self) -> str:
        """What colours its badge."""
        return "late" if self.is_late else TONES.get(State(self.booking.state), "")

    @property
    def begins(self) -> str:
        return f"{timezone.localtime(self.booking.starts_at):%H:%M}"

    @property
    def ends(self) -> str:
        return f"{timezone.localtime(self.booking.ends_at):%H:%M}"

    @property
    def what(self) -> str:
        """What for, with whom and where, in one line."""
        fitter = self.booking.fitter
        purpose = capfirst(self.booking.get_purpose_display())
        return f"{purpose} with {name_of(fitter)}, {self.booking.room}"

    @cached_property
    def garments(self) -> list[tuple[Garment, str]]:
        """Each garment, with the number of a ticket that the workroom still owes for it."""
        return [(row, self.owed.get(row.pk, "")) for row in self.booking.garments.all()]

    @property
    def fitting(self) -> Fitting | None:
        return getattr(self.booking, "fitting", None)

    @property
    def may_start(self) -> bool:
        """Whether its fitting can begin: measuring is no fitting."""
        fits = self.booking.purpose != Booking.Purpose.MEASURE and bool(self.garments)
        return fits and self._has_come and self.fitting is None and not self.is_over

    @property
    def may_measure(self) -> bool:
        measures = self.booking.purpose == Booking.Purpose.MEASURE
        return measures and self._has_come and not self.is_over

    @property
    def marks(self) -> list[Mark]:
        """What may be said of it, from its own day on: each with an entry of its own."""
        if self.fitting or not self._has_come:
            return []
        later = self.booking.starts_at > self.now
        return [
            Mark(what, WORDS[what], uuid.uuid4())
            for what in NEXT[self.booking.state]
            if not (later and what == What.MISSED)
        ]

    @cached_property
    def _has_come(self) -> bool:
        """Whether its day is here or past, by the house's clock."""
        return timezone.localdate(self.booking.starts_at) <= timezone.localdate(self.now)


def visits_of(
    bookings: Iterable[Booking], now: datetime.datetime, owed: Mapping[int, str]
) -> list[Visit]:
    return [Visit(booking, now, owed) for booking in bookings]
