"""What the record says of garments in work, as far as their plans rest on it: plain rows.

Of rows that are the same the plans are the same, so that whoever keeps plans can hold what was read
against what is read now. Rows and no models: of hundreds in work those took most of a page's time.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from django.utils import timezone

from fittings.clock import midnight
from fittings.models import Booking
from fittings.travelling.journeys import Journeys
from fittings.travelling.queries import house_clock, journeys_from
from garments import seams
from garments.models import IN_WORK, Garment, StageEntry, TicketLine
from garments.workroom.queries import unfinished

FITTINGS = (Booking.Purpose.FIRST, Booking.Purpose.FORWARD, Booking.Purpose.FINAL)
COLUMNS = ("pk", "number", "serial", "kind", "promised_on", "ordered_on", "stage", "stage_since")


class Kept(NamedTuple):
    """A booked fitting; in another town with the day on which what is fitted there is back."""

    purpose: str
    starts: datetime.datetime
    back: datetime.date | None

    @property
    def day(self) -> datetime.date:
        return self.back or timezone.localdate(self.starts)


class InWork(NamedTuple):
    """A garment in work. ``entries`` are its stages with their moments, the oldest first.

    ``minutes`` are those of its open tickets; ``kept`` its fittings booked from today on, the first
    of them first.
    """

    pk: int
    number: str
    serial: int
    kind: str
    promised_on: datetime.date | None
    ordered_on: datetime.date
    stage: str
    stage_since: datetime.datetime
    entries: tuple[tuple[str, datetime.datetime], ...]
    minutes: int
    kept: tuple[Kept, ...]


def all_in_work(today: datetime.date) -> tuple[InWork, ...]:
    """Every garment in work, by promised day. Four queries, and three where trips are booked."""
    return _read("stage__in", IN_WORK, today)


def one_garment(pk: int, today: datetime.date) -> tuple[InWork, ...]:
    """That garment, wherever it stands; queries as for all."""
    return _read("pk", pk, today)


def _read(lookup: str, value: object, today: datetime.date) -> tuple[InWork, ...]:
    rows = Garment.objects.filter(**{lookup: value}).order_by("promised_on", "serial")
    found = list(rows.values(*COLUMNS))
    entries = _entries({f"garment__{lookup}": value})
    minutes = _minutes({f"ticket__garment__{lookup}": value})
    kept = _kept({f"garment__{lookup}": value}, today)
    return tuple(
        InWork(
            **row,
            entries=tuple(entries[row["pk"]]),
            minutes=minutes[row["pk"]],
            kept=tuple(kept[row["pk"]]),
        )
        for row in found
    )


Chosen = Mapping[str, Any]


def _entries(chosen: Chosen) -> Mapping[int, list[tuple[str, datetime.datetime]]]:
    """By garment, its standing stage entries."""
    found = defaultdict(list)
    rows = StageEntry.objects.standing().filter(**chosen).order_by("at", "id")
    for pk, stage, at in rows.values_list("garment_id", "stage", "at"):
        found[pk].append((stage, at))
    return found


def _minutes(chosen: Chosen) -> Mapping[int, int]:
    """By garment, the working minutes on its open tickets."""
    lines = TicketLine.objects.filter(
        revision__in=unfinished().filter(**chosen), alteration__struck_by__isnull=True
    )
    found: dict[int, int] = defaultdict(int)
    for pk, operation, amount, side in lines.values_list(
        "alteration__garment_id",
        "alteration__operation",
        "alteration__amount",
        "alteration__side",
    ):
        found[pk] += seams.operation(operation).minutes(amount, side)
    return found


def _kept(chosen: Chosen, today: datetime.date) -> Mapping[int, list[Kept]]:
    """By garment, its booked fittings from ``today`` on."""
    rows = Booking.garments.through.objects.filter(
        booking__state__in=Booking.COMING,
        booking__purpose__in=FITTINGS,
        booking__starts_at__gte=midnight(today),
        **chosen,
    ).order_by("booking__starts_at")
    columns = ("purpose", "starts_at", "room_id", "room__town")
    booked = list(rows.values_list("garment_id", *(f"booking__{name}" for name in columns)))
    journeys = _journeys((town for *_, town in booked), today)
    clock = house_clock()
    found = defaultdict(list)
    for pk, purpose, starts, room, town in booked:
        day = journeys.back_with(room, timezone.localdate(starts), clock) if town else None
        found[pk].append(Kept(purpose, starts, day))
    return found


def _journeys(towns: Iterable[str], today: datetime.date) -> Journeys:
    return journeys_from(today) if any(towns) else Journeys()
