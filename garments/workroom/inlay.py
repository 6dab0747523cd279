"""What a run of alterations does to the inlays, line after line. No query, no clock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from customers.lengths import Length
from garments import seams
from garments.models import Alteration

Inlays = Mapping[tuple[str, str], Length]


@dataclass(frozen=True, slots=True)
class Span:
    """The inlay of one line's seam before and after it, the smaller side where two are moved.

    Both are None where the seam holds no inlay or none was entered. ``changes`` is what the line
    uses (below nothing) or frees, by side. ``short`` is how much is missing, what must stay inside
    included: nothing when there is enough.
    """

    before: Length | None
    after: Length | None
    changes: Mapping[str, Length]
    short: Length


def walk(lines: Iterable[Alteration], inlays: Inlays, kind: str) -> list[Span]:
    """One span for each line of a garment of this ``kind``, in order.

    A line finds what those before it have left.
    """
    now = dict(inlays)
    spans = []
    for line in lines:
        spans.append(_span(line, now, seams.seam(kind, line.seam)))
        for side, change in spans[-1].changes.items():
            now[line.seam, side] += change
    return spans


def _span(line: Alteration, now: Inlays, seam: seams.Seam) -> Span:
    # A line without a side moves the whole of its seam.
    sides = (line.side,) if line.side in ("L", "R") else seam.sides
    held = [side for side in sides if (seam.key, side) in now]
    if not held:
        return Span(None, None, {}, Length(0))
    sign = {seams.USES: -1, seams.FREES: 1, seams.NONE: 0}[seams.operation(line.operation).inlay]
    amount = (line.amount or Length(0)) * sign
    before = min(now[seam.key, side] for side in held)
    missing = seam.keep - (before + amount)
    short = missing if sign < 0 and missing.nm > 0 else Length(0)
    return Span(before, before + amount, dict.fromkeys(held, amount) if amount else {}, short)
