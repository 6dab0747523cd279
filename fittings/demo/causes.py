"""The causes the demo's fitters took on the screen, with what it would have proposed to them."""

import datetime
import itertools
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from django.contrib.auth.models import User
from django.utils import timezone

from fittings import catalogue
from fittings.demo.garment import Work
from fittings.diagnosis import network_for
from fittings.housebook.queries import SHIPPED
from fittings.learning import Learnt, learn
from fittings.lessons.queries import for_diagnosis
from fittings.lessons.reading import KINDS, books_of, cases_before
from fittings.models import CauseTaken, Observation
from fittings.session import behind

if TYPE_CHECKING:
    from fittings.demo.eye import Look
    from fittings.demo.record import Record

SAYS: Final = 75  # of a hundred looks at which the fitter says what is behind it
WITHIN: Final = datetime.timedelta(seconds=10)  # of the last zone looked at
SEASON: Final = 91  # days: the demo's house learns anew so often, to be built in seconds


@dataclass(frozen=True)
class Taking:
    """Causes taken at one look, and what was seen there: what to propose is settled at the end."""

    rows: list[CauseTaken]
    kind: str
    stage: str
    said: list[Observation]

    @property
    def season(self) -> int:
        return timezone.localtime(self.rows[0].at).toordinal() // SEASON


def take(work: Work, look: "Look", believed: Iterable[str], by: User) -> None:
    """Say at most looks which causes are believed in, each once.

    What is drawn here comes from the session's own id, so that the rest of the history stays as it
    would be without.
    """
    first = next(iter(look.rows.values()), None)
    if first is None or first.fitting_id.int % 100 >= SAYS:
        return
    rows = [
        CauseTaken(
            pk=uuid.uuid5(first.fitting_id, f"{work.garment.number} {cause}"),
            fitting=first.fitting,
            garment=work.garment,
            cause=cause,
            catalogue=SHIPPED,
            at=look.at + WITHIN,
            by=by,
        )
        for cause in dict.fromkeys(believed)
    ]
    work.record.taken.append(Taking(rows, work.garment.kind, look.stage, look.said))


def propose(record: "Record", today: datetime.date) -> None:
    """Write the causes taken, each with what was proposed by what the house knew that season.

    Everything else is written already: the lessons are read from the ledger as they always are.
    """
    book = catalogue.load()
    books = books_of(book)
    cases = [found.case for found in cases_before(today, book)]
    ordered = sorted(record.taken, key=lambda taking: taking.season)
    for season, takings in itertools.groupby(ordered, key=lambda taking: taking.season):
        learnt = learn((case for case in cases if case.day < season * SEASON), books)
        _propose_by(learnt, list(takings))
    CauseTaken.objects.bulk_create(row for taking in ordered for row in taking.rows)


def _propose_by(learnt: Learnt, takings: list[Taking]) -> None:
    book = catalogue.load()
    networks = {kind: network_for(book, kind, learnt=for_diagnosis(learnt, kind)) for kind in KINDS}
    for taking in takings:
        network = networks[catalogue.read_as(taking.kind)]
        said = behind.record_of(book, taking.kind, taking.stage, taking.said, network)
        for row in taking.rows:
            row.proposed = said
