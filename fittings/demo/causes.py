"""The causes the demo's fitters took on the screen, with what it would have proposed to them."""

import datetime
import uuid
from collections.abc import Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING, Final

from django.contrib.auth.models import User

from fittings import catalogue
from fittings.demo.garment import Work
from fittings.diagnosis import Network, network_for
from fittings.housebook.queries import SHIPPED
from fittings.models import CauseTaken, Observation
from fittings.session import behind

if TYPE_CHECKING:
    from fittings.demo.eye import Look

SAYS: Final = 75  # of a hundred looks at which the fitter says what is behind it
WITHIN: Final = datetime.timedelta(seconds=10)  # of the last zone looked at


def take(work: Work, look: "Look", believed: Iterable[str], by: User) -> None:
    """Say at most looks which causes are believed in, each once.

    What is drawn here comes from the session's own id, so that the rest of the history stays as it
    would be without.
    """
    first = next(iter(look.rows.values()), None)
    if first is None or first.fitting_id.int % 100 >= SAYS:
        return
    proposed = _proposed(work.garment.kind, look.stage, look.said)
    for cause in dict.fromkeys(believed):
        work.record.entry(
            CauseTaken,
            pk=uuid.uuid5(first.fitting_id, f"{work.garment.number} {cause}"),
            fitting=first.fitting,
            garment=work.garment,
            cause=cause,
            proposed=proposed,
            catalogue=SHIPPED,
            at=look.at + WITHIN,
            by=by,
        )


def _proposed(kind: str, stage: str, seen: Sequence[Observation]) -> dict[str, object]:
    return behind.record_of(catalogue.load(), kind, stage, seen, _network(catalogue.read_as(kind)))


@cache
def _network(kind: str) -> Network:
    return network_for(catalogue.load(), kind)
