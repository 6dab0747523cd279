"""Past garments as plain values, for the tests of the pattern's memory."""

import datetime

from customers.lengths import parse
from garments.memory import Carried, Done, Past, remember

TODAY = datetime.date(2026, 6, 1)
YEAR = datetime.timedelta(days=365)


def done(operation="let-out", amount="1/4", *, seam="side-seam", side="both", verdict="cured"):
    return Done(operation, seam, side, parse(amount) if amount else None, verdict)


def carried(operation="let-out", amount="1/4", *, seam="side-seam", side="both"):
    return Carried(operation, seam, side, parse(amount))


def coat(*altered, years=1, **values):
    return Past(f"G{years}", TODAY - years * YEAR, done=altered, **values)


def told(*garments, kind="coat", unit="in", **more):
    """Each change of the next pattern as (operation, side, amount)."""
    found = remember(kind, garments, on=TODAY, unit=unit, **more)
    return [(need.operation, need.side, need.amount.text(unit)) for need in found.needs]


def only(*garments, **more):
    (need,) = remember("coat", garments, on=TODAY, **more).needs
    return need
