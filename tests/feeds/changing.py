"""Feeds read by ``icalendar``, the table they have to equal, and random changes of the diary."""

import datetime
import uuid

import icalendar
from django.urls import reverse
from django.utils import timezone

from fittings.diary.services import book_fitting, cancel_booking, mark_booking, move_booking
from fittings.feeds.services import renew_feed
from fittings.models import Booking
from tests.factories import CustomerFactory

QUARTER = datetime.timedelta(minutes=15)


def tomorrow(hour=10):
    return timezone.now().replace(
        hour=hour, minute=0, second=0, microsecond=0
    ) + datetime.timedelta(days=1)


def address_for(whose, by):
    _, token = renew_feed(entry_id=uuid.uuid4(), whose=whose, by=by)
    return reverse("feeds:feed", args=[token])


def events(client, address):
    answer = client.get(address)
    return {
        str(row["uid"]): row for row in icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    }


def in_table(whose):
    """What the feed of a fitter or a room has to say, straight from the table."""
    return {
        str(row.pk): (
            row.version - 1,
            row.starts_at,
            row.ends_at,
            "CONFIRMED" if row.state in {"booked", "arrived", "kept"} else "CANCELLED",
        )
        for row in Booking.objects.filter(**whose)
    }


def in_feed(client, address):
    return {
        uid: (
            int(event["sequence"]),
            event.decoded("dtstart"),
            event.decoded("dtend"),
            str(event["status"]),
        )
        for uid, event in events(client, address).items()
    }


def do_something(dice, fitters, rooms, desk, days=2):
    """Book, move, cancel or mark at random; a time that is taken is refused, as it should be."""
    rows = list(Booking.objects.filter(state="booked"))
    another_day = dice.randrange(days) * datetime.timedelta(days=1)
    starts_at = tomorrow(9) + another_day + dice.randrange(30) * QUARTER  # within the opening hours
    place = {
        "starts_at": starts_at,
        "ends_at": starts_at + dice.randint(1, 3) * QUARTER,
        "fitter": dice.choice(fitters),
        "room": dice.choice(rooms),
    }
    what = dice.choice(["book", "book", "move", "move", "cancel", "mark"])
    tap = {"entry_id": uuid.UUID(int=dice.getrandbits(128)), "by": desk}
    if what == "book" or not rows:
        customer = CustomerFactory()
        tap = {"booking_id": tap["entry_id"], "by": desk, "customer": customer}
        book_fitting(**tap, **place, garments=[], purpose="measure")
    elif what == "move":
        row = dice.choice(rows)
        move_booking(**tap, **place, booking=row, version=row.version, reason="Rain")
    elif what == "cancel":
        cancel_booking(**tap, booking=dice.choice(rows), reason="Rain")
    else:
        mark_booking(**tap, booking=dice.choice(rows), what="arrived")
