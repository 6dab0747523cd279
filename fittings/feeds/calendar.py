"""Bookings as an iCalendar object (RFC 5545), byte for byte the same for the same bookings.

Times are written in UTC (form 2 of RFC 5545, 3.3.5), without a VTIMEZONE: a booking is one moment
that never recurs, the ledger keeps it as a moment, and a rule of some zone sent along could only
disagree with the one the reader's calendar knows. It is shown by the reader's clock, on days of 23
and 25 hours too.
"""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from icalendar import Calendar, Event, vUri

PRODUCT = "-//Fitting ledger//Fitting ledger//EN"
ASK_AGAIN = datetime.timedelta(minutes=15)  # REFRESH-INTERVAL, RFC 7986 5.7; house rule


@dataclass(frozen=True, slots=True)
class Entry:
    """One booking: ``uid`` stays for ever, ``sequence`` only grows, ``changed_at`` is when last.

    ValueError for a time without its zone: it would mean another moment to every reader.
    """

    uid: str
    sequence: int
    changed_at: datetime.datetime
    starts_at: datetime.datetime
    ends_at: datetime.datetime
    summary: str
    location: str = ""
    description: str = ""
    holds: bool = True

    def __post_init__(self) -> None:
        for at in (self.changed_at, self.starts_at, self.ends_at):
            if at.utcoffset() is None:
                raise ValueError("A time in a calendar needs its zone.")


def write_calendar(
    entries: Iterable[Entry], *, name: str = "", method: str = "", organizer: str = ""
) -> bytes:
    """The object, in lines of at most 75 octets that end with CRLF.

    ``method`` and ``organizer`` (an e-mail address) are for a letter, RFC 5546: PUBLISH or CANCEL.
    A feed has neither, and says by what ``name`` it goes and how often to ask (RFC 7986).
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    if method:
        calendar.add("method", method)
    if name:
        calendar.add("name", plain(name))
        calendar.add("refresh-interval", ASK_AGAIN, parameters={"VALUE": "DURATION"})
    for entry in sorted(entries, key=lambda row: (_utc(row.starts_at), row.uid)):
        calendar.add_component(_event(entry, organizer))
    written: bytes = calendar.to_ical()
    return written


def _event(entry: Entry, organizer: str) -> Event:
    event = Event()
    event.add("uid", entry.uid)
    # Without METHOD both name the last change of what is told (RFC 5545, 3.8.7.2).
    event.add("dtstamp", _utc(entry.changed_at))
    event.add("last-modified", _utc(entry.changed_at))
    event.add("sequence", entry.sequence)
    event.add("dtstart", _utc(entry.starts_at))
    event.add("dtend", _utc(entry.ends_at))
    event.add("summary", plain(entry.summary))
    for key, text in (("location", entry.location), ("description", entry.description)):
        if text:
            event.add(key, plain(text))
    event.add("status", "CONFIRMED" if entry.holds else "CANCELLED")
    event.add("transp", "OPAQUE" if entry.holds else "TRANSPARENT")
    event.add("class", "PRIVATE")
    if organizer:
        event.add("organizer", vUri(f"mailto:{organizer}"))
    return event


def _utc(at: datetime.datetime) -> datetime.datetime:
    return at.astimezone(datetime.UTC).replace(microsecond=0)


def plain(text: str) -> str:
    """Text as RFC 5545 3.3.11 allows it: no control character but the line's end and the tab."""
    joined = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(sign for sign in joined if sign in "\n\t" or (sign >= " " and sign != "\x7f"))
