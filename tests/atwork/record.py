"""What the database says afterwards: every entry by its words, and what is only half there."""

from collections import Counter

from django.core.files.storage import default_storage
from django.db import connection
from django.db.models import Count
from PIL import Image

from customers.models import Customer, MeasurementSet
from fittings.models import Booking, Fitting, Observation, Photograph
from garments.models import Alteration, Ticket, TicketRevision
from tests.atwork.hands import MEASURES

WORDS = {
    Observation: "note",
    MeasurementSet: "note",
    Photograph: "caption",
    Alteration: "why",
    TicketRevision: "note",
    Booking: "note",
    Customer: "notes",
}


def held():
    """How often each entry's words are in the record."""
    found = Counter(str(pk) for pk in Fitting.objects.values_list("pk", flat=True))
    for model, column in WORDS.items():
        found.update(model.objects.values_list(column, flat=True))
    return found


def lost(hands):
    """Entries that were acknowledged and are not there exactly once."""
    found = held()
    return [entry for hand in hands for entry in hand.log.kept if found[entry.words] != 1]


def doubled(hands):
    """Entries that are there more than once, acknowledged or not."""
    found = held()
    return [entry for hand in hands for entry in hand.log.sent if found[entry.words] > 1]


def halves():
    """Rows of which a part is missing."""
    whole = {
        "a session without its garment": Fitting.objects.annotate(parts=Count("garments")),
        "a booking without its garment": Booking.objects.annotate(parts=Count("garments")),
        "a ticket without its revision": Ticket.objects.annotate(parts=Count("revisions")),
    }
    found = [(name, row.pk) for name, rows in whole.items() for row in rows.filter(parts=0)]
    changes = Booking.objects.annotate(parts=Count("changes", distinct=True))
    found += [("a booking's entries", row.pk) for row in changes if row.parts != row.version]
    lines = TicketRevision.objects.annotate(parts=Count("lines")).exclude(parts=2)
    found += [("a ticket's lines", row.pk) for row in lines]
    sets = MeasurementSet.objects.annotate(parts=Count("measurements"))
    found += [("a sheet's figures", row.pk) for row in sets.exclude(parts=len(MEASURES))]
    return found + broken_pictures()


def broken_pictures():
    """Photographs whose files are not whole pictures."""
    found = []
    for row in Photograph.objects.all():
        for name in (row.image.name, row.thumbnail.name):
            try:
                with default_storage.open(name) as file, Image.open(file) as picture:
                    picture.load()
            except (OSError, SyntaxError):
                found.append(("a photograph", row.pk))
    return found


def unsound():
    """What SQLite itself says against its file; nothing on PostgreSQL."""
    if connection.vendor != "sqlite":
        return []
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        said = [text for (text,) in cursor.fetchall() if text != "ok"]
        cursor.execute("PRAGMA foreign_key_check")
        return said + cursor.fetchall()
