"""Between which days a fitting has to lie so that the promises of its garments can be kept."""

import datetime
from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from fittings.promise import PromiseError
from fittings.promising.queries import Promises, has_makers, latest_day, read_promises, ready_by
from garments.models import Garment


class Bounds(NamedTuple):
    """``ready``: the first day all garments hang; ``latest``: the last that keeps every promise."""

    ready: datetime.date | None = None
    latest: datetime.date | None = None


class WorkPlan:
    """The plan of all in work: read when first asked for, then shared by all who hold this."""

    @cached_property
    def promises(self) -> Promises | None:
        """None where the house has named no makers or is open on no day."""
        try:
            return read_promises() if has_makers() else None
        except PromiseError:
            return None


def bounds(garments: Iterable[Garment], purpose: str, plan: WorkPlan | None = None) -> Bounds:
    """None where the workroom knows no day. A house that has named no makers is asked no further.

    The plan is read once for all garments, and not again by who gives one ``plan`` to each asking.
    """
    chosen = list(garments)
    promises = (plan or WorkPlan()).promises if chosen else None
    if promises is None:
        return Bounds()
    ready = [day for garment in chosen if (day := ready_by(garment, promises))]
    latest = [day for garment in chosen if (day := latest_day(garment, purpose, promises))]
    return Bounds(max(ready, default=None), min(latest, default=None))
