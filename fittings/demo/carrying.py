"""What the demo's cutters answer to the pattern's memory, just before they cut.

A cutter who carries takes up what earlier garments of the customer needed, and what their figure
showed then comes again less often (``truth.NEXT_TIME``); one who does not leaves it all out.
"""

import datetime
from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from django.contrib.auth.models import User
from numpy.random import Generator

from fittings.demo.garment import Work
from fittings.demo.setting import Client
from garments import memory
from garments.carrying.forms import REASONS
from garments.models import CarryAnswer, Stage

CARRIES: Final = 0.7  # of orders that an earlier garment has something to say to
TAKEN_UP: Final = MappingProxyType(
    {memory.Sure.SURE: 0.98, memory.Sure.FAIRLY: 0.95, memory.Sure.UNSURE: 0.85}
)


def answer_memory(rng: Generator, client: Client, work: Work, at: datetime.datetime) -> None:
    """Carry or leave out every change that the client's earlier garments ask for."""
    garment = work.garment
    told = memory.remember(garment.kind, _past(client.works, work), on=at.date(), unit=client.unit)
    for need in told.needs:
        taken = work.carries and rng.random() < TAKEN_UP[need.sure]
        reason = REASONS["few" if work.carries else str(rng.choice(list(REASONS)))]
        _answer(work, need, at, garment.cutter, reason="" if taken else reason)
        if taken:
            work.carried.append(memory.Carried(need.operation, need.seam, need.side, need.amount))


def _answer(work: Work, need: memory.Need, at: datetime.datetime, by: User, *, reason: str) -> None:
    work.record.entry(
        CarryAnswer,
        garment=work.garment,
        operation=need.operation,
        seam=need.seam,
        side=need.side,
        amount=need.amount,
        accepted=not reason,
        reason=reason,
        proposed=need.amount,
        count=need.count,
        sureness=need.sure.value,
        at=at,
        by=by,
    )


def _past(works: Iterable[Work], now: Work) -> list[memory.Past]:
    """Garments of the kind that were cut and ordered before, as the record tells them by now."""
    return [
        memory.Past(
            name=work.garment.number,
            cut_on=work.cut_on,
            settled=work.left and not work.pieces and work.stage != Stage.REMADE,
            done=tuple(
                memory.Done(row.operation, row.seam, row.side, row.amount, work.verdicts[row.pk])
                for row in work.decided
            ),
            carried=tuple(work.carried),
        )
        for work in works
        if work.cut_on is not None
        and work.garment.kind == now.garment.kind
        and work.garment.serial < now.garment.serial
    ]
