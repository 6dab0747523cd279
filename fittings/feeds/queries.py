"""What a calendar shows of the table. Each question is a fixed number of queries."""

import datetime
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import Max, Prefetch, QuerySet
from django.utils.text import capfirst

from customers.models import Customer
from customers.people import name_of
from fittings.diary.queries import fitters
from fittings.feeds.calendar import Entry
from fittings.models import Booking, FeedKey, PostRules, Room
from garments.models import Garment

BACK = datetime.timedelta(days=30)  # what is longer past is nobody's plan; house rule
Shows = PostRules.Shows


@dataclass(frozen=True)
class Row:
    """One calendar in the list: whose, the address's kind and key, and since when it has one."""

    kind: str
    whose: User | Room
    label: str
    key: FeedKey | None


def standing_key(whose: User | Room) -> FeedKey | None:
    """The key whose address is open now. One query."""
    about = {"room": whose} if isinstance(whose, Room) else {"fitter": whose}
    return FeedKey.objects.standing().filter(**about).first()


def rows_for(user: User, *, owns: bool) -> list[Row]:
    """The calendars somebody may give out: the owner every one, a fitter their own."""
    people = list(fitters()) if owns else list(fitters().filter(pk=user.pk))
    rooms = list(Room.objects.filter(retired=False)) if owns else []
    keys = list(FeedKey.objects.standing().select_related("by"))
    of_fitter = {key.fitter_id: key for key in keys if key.fitter_id}
    of_room = {key.room_id: key for key in keys if key.room_id}
    found = [Row("fitter", row, name_of(row), of_fitter.get(row.pk)) for row in people]
    return found + [Row("room", row, str(row), of_room.get(row.pk)) for row in rooms]


def key_of_digest(digest: str) -> FeedKey | None:
    """The open key of that hash, of somebody who still works here or a room. One query."""
    keys = FeedKey.objects.standing().exclude(digest="").exclude(fitter__is_active=False)
    return keys.filter(digest=digest).select_related("fitter", "room").first()


def bookings_of(key: FeedKey, now: datetime.datetime) -> QuerySet[Booking]:
    """All that the calendar shows: from a month back on, whatever became of it."""
    whose = {"room": key.room_id} if key.room_id else {"fitter": key.fitter_id}
    garments = Prefetch("garments", queryset=Garment.objects.order_by("serial"))
    return (
        Booking.objects.filter(ends_at__gt=now - BACK, **whose)
        .select_related("customer", "fitter", "room")
        .prefetch_related(garments)
        .annotate(changed_at=Max("changes__at"))
    )


def entries_of(key: FeedKey, now: datetime.datetime) -> list[Entry]:
    """The calendar of ``key`` as it stands. Three queries."""
    shows = PostRules.get().feed_shows
    return [entry_of(row, shows, of_room=key.room_id is not None) for row in bookings_of(key, now)]


def entry_of(booking: Booking, shows: str, *, of_room: bool) -> Entry:
    """One booking, naming the customer no further than the house allows; never its note.

    ``sequence`` follows the booking's version, which every change raises.
    """
    garments = [f"{row.get_kind_display()} {row.number}" for row in booking.garments.all()]
    who = name_of(booking.fitter) if of_room else ""
    return Entry(
        uid=str(booking.pk),
        sequence=booking.version - 1,
        changed_at=getattr(booking, "changed_at", None) or booking.starts_at,
        starts_at=booking.starts_at,
        ends_at=booking.ends_at,
        summary=f"{capfirst(booking.get_purpose_display())}: {shown_name(booking.customer, shows)}",
        location=booking.room.location,
        description="\n".join(filter(None, [who, ", ".join(garments)])),
        holds=booking.state in Booking.HOLDING,
    )


def shown_name(customer: Customer, shows: str) -> str:
    """The customer as the house lets its calendars name them."""
    if shows == Shows.NAME:
        return f"{customer.name} {customer.number}"
    if shows == Shows.INITIALS:
        names = (customer.given_name, customer.family_name)
        initials = "".join(f"{name[0].upper()}." for name in names if name)
        return f"{initials} {customer.number}"
    return customer.number
