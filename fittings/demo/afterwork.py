"""Garments of the demo measured before and after the bench's work, and the bench's hours.

Told when the rest of the history is: every ticket done has its garment, its lines and its moment.
"""

import datetime
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from django.contrib.auth.models import User
from numpy.random import Generator

from customers.lengths import Length
from customers.models import Measurement
from fittings.demo.record import Record
from garments import cutting, seams
from garments.cutbook.figures import figures_of
from garments.models import (
    Alteration,
    Answer,
    BenchHours,
    FinishedMeasure,
    Garment,
    TicketLine,
)

Place = tuple[str, str]

STREAM: Final = 8  # of the seed's streams of chance, this one's
MEASURED: Final = 0.45  # of tickets done
# What is true of the bench: how far work comes out beyond what was asked, at the seam, by operation
# and seam; all else comes out as asked. Inches, as in the package's docstring.
TRUE_LEAN: Final = MappingProxyType(
    {("let-out", "side-seam"): -0.0625, ("take-in", "side-seam"): 0.03125}
)
TRUE_SPREAD: Final = 0.03125
TAPE: Final = 0.04  # standard deviation of a reading of a garment on the board, inches
AFTER: Final = datetime.timedelta(minutes=25)
BEFORE: Final = datetime.timedelta(minutes=5)
SIXTEENTH: Final = Fraction(1, 16)
# Three hands of seven and a half hours; on Saturday one of them, half a day.
WEEK: Final = MappingProxyType(
    dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), 1350)
    | {"saturday": 240}
)


def open_bench(record: Record, by: User, now: datetime.datetime) -> None:
    """The owner said the bench's hours when the house began to keep this ledger."""
    at = now - datetime.timedelta(days=3 * 365)
    record.add(BenchHours(pk=uuid.uuid5(uuid.NAMESPACE_OID, "bench"), at=at, by=by, **WEEK))


def measure(record: Record, rng: Generator, now: datetime.datetime) -> None:
    """Measure the points a ticket's lines move, as it is issued and once it is done."""
    lines: dict[uuid.UUID, list[Alteration]] = defaultdict(list)
    for line in record.rows[TicketLine]:
        lines[line.revision.pk].append(line.alteration)
    bodies = _bodies(record)
    for answer in record.rows[Answer]:
        if answer.kind != Answer.Kind.DONE or rng.random() > MEASURED or answer.at + AFTER > now:
            continue
        revision, garment = answer.revision, answer.revision.ticket.garment
        moved, came = _moves(rng, garment.kind, lines[revision.pk])
        aimed = _aimed(garment, bodies.get(garment.measurement_set_id, {}))
        for place, asked in moved.items():
            if place not in aimed:
                continue
            # It lands where it was aimed: the alteration was the answer to how far it was off.
            before = Fraction(aimed[place].nm) - asked
            _read(
                record,
                rng,
                garment,
                place,
                true=before,
                at=revision.at - BEFORE,
                by=revision.by,
            )
            _read(
                record,
                rng,
                garment,
                place,
                true=before + came[place],
                at=answer.at + AFTER,
                by=answer.by,
            )


def _bodies(record: Record) -> Mapping[uuid.UUID, Mapping[Place, Length]]:
    found: dict[uuid.UUID, dict[Place, Length]] = defaultdict(dict)
    for row in record.rows[Measurement]:
        if row.reading == 1:
            found[row.in_set.pk][row.point, row.side] = row.value
    return found


def _aimed(garment: Garment, body: Mapping[Place, Length]) -> Mapping[Place, Length]:
    aim = cutting.aim(body, figures_of(garment.kind, garment.cut_version), [])
    return {place: target.length for place, target in aim.targets.items()}


def _moves(
    rng: Generator, kind: str, lines: Iterable[Alteration]
) -> tuple[dict[Place, Fraction], dict[Place, Fraction]]:
    """What the lines were to move, and what they moved, by place, in nm."""
    asked: dict[Place, Fraction] = defaultdict(Fraction)
    came: dict[Place, Fraction] = defaultdict(Fraction)
    for line in lines:
        if line.amount is None:
            continue
        lean = TRUE_LEAN.get((line.operation, line.seam), 0.0)
        off = Fraction(round((lean + TRUE_SPREAD * rng.standard_normal()) * 25_400_000))
        for place, times in seams.moves(kind, line.operation, line.seam, line.side).items():
            asked[place] += times * line.amount.nm
            came[place] += times * (line.amount.nm + off)
    return asked, came


def _read(
    record: Record,
    rng: Generator,
    garment: Garment,
    place: Place,
    *,
    true: Fraction,
    at: datetime.datetime,
    by: User,
) -> None:
    """One reading on the board, to the sixteenth a careful hand writes down."""
    seen = Length(round(true + Fraction(round(TAPE * rng.standard_normal() * 25_400_000))))
    record.add(
        FinishedMeasure(
            pk=uuid.UUID(bytes=rng.bytes(16), version=4),
            garment=garment,
            point=place[0],
            side=place[1],
            value=seen.rounded("in", SIXTEENTH),
            at=at,
            by=by,
        )
    )
