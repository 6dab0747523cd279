"""A message as it would go out now: the words filled in, the address, the calendar entry."""

import hashlib
from dataclasses import dataclass

from django.conf import settings
from django.utils import timezone
from django.utils.text import capfirst, get_text_list

from customers.models import Customer, House
from customers.people import name_of
from fittings.feeds.calendar import Entry, write_calendar
from fittings.models import Booking, MessageKind
from fittings.post import queries
from fittings.post.wording import Words
from fittings.spoken import date_text
from garments.models import Garment

About = Booking | Garment


@dataclass(frozen=True)
class Letter:
    """What a customer would read. ``wording`` is the version of the words."""

    kind: str
    customer: Customer
    words: Words
    wording: int
    calendar: str
    occasion: str

    @property
    def digest(self) -> str:
        """A mark of all that is shown: what is sent must be what was looked at."""
        words = self.words
        parts = (self.customer.email, words.subject, words.body, words.short, self.occasion)
        return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:32]


def letter_about(kind: str, about: About, house: House) -> Letter:
    """The message of that kind as it reads now. Three queries at most."""
    words, number = queries.words_of(kind)
    if isinstance(about, Garment):
        values = values_of_garment(about, house)
        calendar = ""
    else:
        moved = queries.last_move(about)
        values = values_of_booking(about, house) | {"before": queries.time_before(about, moved)}
        calendar = calendar_of(about, kind, house)
    return Letter(
        kind=kind,
        customer=about.customer,
        words=words.filled(values),
        wording=number,
        calendar=calendar,
        occasion=queries.occasion(kind, about),
    )


def values_of_booking(booking: Booking, house: House) -> dict[str, str]:
    """What fills the places of a message about a booking, by the house's clock."""
    begins = timezone.localtime(booking.starts_at)
    kinds = [row.get_kind_display() for row in booking.garments.all()]
    town, purpose = booking.room.town, booking.get_purpose_display()
    # Every text names the purpose, also the short one for a telephone that names no address.
    where = {"address": booking.room.location, "purpose": f"{purpose} in {town}"} if town else {}
    values = _of_house(house) | {
        "customer": booking.customer.name,
        "day": f"{begins:%A} {date_text(begins)}",
        "time": f"{begins:%H:%M}",
        "purpose": purpose,
        "fitter": name_of(booking.fitter),
        "garments": get_text_list(kinds, "and") or "measures",
    }
    return values | where


def values_of_garment(garment: Garment, house: House) -> dict[str, str]:
    """What fills the places of a message about a garment that is ready."""
    ready = f"{garment.get_kind_display()} {garment.number}"
    return _of_house(house) | {"customer": garment.customer.name, "garments": ready}


def _of_house(house: House) -> dict[str, str]:
    return {"house": house.name, "address": _line(house) or house.name}


def _line(house: House) -> str:
    return ", ".join(house.address.splitlines())


def calendar_of(booking: Booking, kind: str, house: House) -> str:
    """The entry for the customer's own calendar: what the house told them, and no more.

    The same UID as in the house's calendars, so that a change takes the place of what was sent
    (RFC 5546: PUBLISH, and CANCEL for what is cancelled).
    """
    cancelled = kind == MessageKind.CANCELLATION
    entry = Entry(
        uid=str(booking.pk),
        sequence=booking.version - 1,
        changed_at=timezone.now(),
        starts_at=booking.starts_at,
        ends_at=booking.ends_at,
        summary=f"{capfirst(booking.get_purpose_display())}, {house.name}",
        location=booking.room.location if booking.room.town else _line(house),
        holds=not cancelled,
    )
    method = "CANCEL" if cancelled else "PUBLISH"
    return write_calendar([entry], method=method, organizer=settings.MAIL_FROM).decode()


SAMPLE = {
    "customer": "Mr Tobiah Marrowby",
    "day": "Monday 2 February 2026",
    "time": "10:00",
    "purpose": str(Booking.Purpose.FIRST.label),
    "fitter": "Ansel Wren",
    "garments": "coat and waistcoat",
    "before": "Friday 30 January 2026, 15:30",
}


def sample(words: Words, house: House) -> Words:
    """The words as an invented customer would read them."""
    return words.filled(_of_house(house) | SAMPLE)
