"""Between which days a fitting has to lie so that the promises of its garments can be kept."""

import datetime
from collections.abc import Iterable
from typing import NamedTuple

from fittings.promising.queries import has_makers, latest_day, ready_by
from garments.models import Garment


class Bounds(NamedTuple):
    """``ready``: the first day all garments hang; ``latest``: the last that keeps every promise."""

    ready: datetime.date | None = None
    latest: datetime.date | None = None


def bounds(garments: Iterable[Garment], purpose: str) -> Bounds:
    """None where the workroom knows no day. A house that has named no makers is asked no further.

    One query, and for each garment those of its plan: few garments come to one fitting.
    """
    chosen = list(garments)
    if not chosen or not has_makers():
        return Bounds()
    ready = [day for garment in chosen if (day := ready_by(garment))]
    latest = [day for garment in chosen if (day := latest_day(garment, purpose))]
    return Bounds(max(ready, default=None), min(latest, default=None))
