"""Which garments must hang ready for whom, which do not yet, and where those are."""

from collections.abc import Iterable
from typing import NamedTuple

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.text import capfirst

from fittings.diary.lasting import Purpose
from fittings.diary.queries import Owed
from fittings.diary.slots import Span
from fittings.diary.visits import Visit
from fittings.models import Fitting
from garments.models import Garment, Stage
from garments.workroom.queries import State

# At which stages a garment hangs for each look; what comes back, the customer brings along.
# Common practice, no source.
HANGS: dict[str, frozenset[Stage]] = {
    Purpose.FIRST: frozenset({Stage.BASTED}),
    Purpose.FORWARD: frozenset(
        {Stage.BASTED, Stage.FIRST_FITTING, Stage.ALTERING, Stage.FORWARD_FITTING}
    ),
    Purpose.FINAL: frozenset({Stage.FINISHED, Stage.FINAL_LOOK}),
}


class Peg(NamedTuple):
    """A garment that somebody comes for. ``where`` says where one is that does not hang yet."""

    begins: str
    garment: Garment
    ready: bool
    where: str


def hanging(visits: Iterable[Visit], owed: Iterable[Owed]) -> list[Peg]:
    """The garments of those still expected, first what does not hang yet, then by the clock."""
    tickets = {ticket.garment_pk: ticket for ticket in owed}
    pegs = [
        _peg(visit, garment, tickets.get(garment.pk))
        for visit in visits
        if not visit.is_over and visit.booking.purpose in HANGS
        for garment, _ in visit.garments
    ]
    return sorted(pegs, key=lambda peg: (peg.ready, peg.begins))


def packed(visits: Iterable[Visit], owed: Iterable[Owed]) -> list[Peg]:
    """What is taken along for ``visits`` in another town, in their order, with the day of each."""
    tickets = {ticket.garment_pk: ticket for ticket in owed}
    pegs = []
    for visit in visits:
        day = f"{timezone.localtime(visit.booking.starts_at):%a %-d %b}"
        for garment, _ in visit.garments if visit.booking.purpose in HANGS else ():
            peg = _peg(visit, garment, tickets.get(garment.pk))
            pegs.append(Peg(f"{day}, {peg.begins}", *peg[1:]))
    return pegs


def _peg(visit: Visit, garment: Garment, ticket: Owed | None) -> Peg:
    at_stage = garment.stage in HANGS[visit.booking.purpose]
    where = [] if at_stage else [capfirst(garment.get_stage_display())]
    if ticket is not None:
        where.append(f"ticket {ticket.number} in the workroom, {State(ticket.state).label}")
    return Peg(visit.begins, garment, at_stage and ticket is None, "; ".join(where))


def walk_ins(day: Span) -> QuerySet[Fitting]:
    """Fittings of the day that nobody had booked."""
    rows = Fitting.objects.filter(booking=None, started_at__gte=day.starts, started_at__lt=day.ends)
    return rows.select_related("customer", "fitter").order_by("started_at")
