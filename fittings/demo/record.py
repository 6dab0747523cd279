"""The rows of the demo while they are made up, and how they are written: in bulk, in order.

History cannot go through the services, which stamp the present moment; rows here have the same
shape as the services give them, and the tests compare.
"""

import datetime
import uuid
from collections import defaultdict
from typing import TYPE_CHECKING, Any, Final, TypeVar

from django.db import models
from django.utils import timezone
from numpy.random import Generator

from customers.models import Consent, Customer, Measurement, MeasurementSet
from customers.numbering import FIRST_SERIAL
from customers.numbers import next_number
from fittings.models import (
    Booking,
    BookingChange,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
)
from garments.models import (
    Alteration,
    Answer,
    BenchHours,
    CarryAnswer,
    FinishedMeasure,
    Garment,
    InlayMovement,
    Remake,
    StageEntry,
    Ticket,
    TicketLine,
    TicketRevision,
)

if TYPE_CHECKING:
    from fittings.demo.causes import Taking

Row = TypeVar("Row", bound=models.Model)

# A row is written after every row it points at.
ORDER: Final[tuple[type[models.Model], ...]] = (
    Customer,
    Consent,
    MeasurementSet,
    Measurement,
    Garment,
    StageEntry,
    CarryAnswer,
    BenchHours,
    FinishedMeasure,
    Alteration,
    InlayMovement,
    Ticket,
    TicketRevision,
    TicketLine,
    Answer,
    Remake,
    Booking,
    BookingChange,
    Fitting,
    Observation,
    Judgement,
    Decision,
    Photograph,
)


def moment(day: datetime.date, minute: int) -> datetime.datetime:
    """So many minutes after midnight by the clock of the house."""
    at = datetime.datetime.combine(day, datetime.time()) + datetime.timedelta(minutes=minute)
    return timezone.make_aware(at, timezone.get_default_timezone())


class Record:
    """Rows not yet written, and the numbers and ids they are given: the same seed, the same."""

    def __init__(self, rng: Generator) -> None:
        self.rng = rng
        self.rows: dict[type[models.Model], list[Any]] = defaultdict(list)
        self._pairs: list[tuple[Any, models.Model, models.Model]] = []
        self._serials: dict[str, int] = {}
        self.taken: list[Taking] = []  # written last: they need to know what was learnt till then

    def add(self, row: Row) -> Row:
        self.rows[type(row)].append(row)
        return row

    def entry(self, model: type[Row], **values: Any) -> Row:
        """A row of the ledger, with an id of its own unless ``pk`` gives one."""
        return self.add(model(**{"pk": self.new_id(), **values}))

    def numbered(self, model: type[Row], prefix: str, **values: Any) -> Row:
        """A row with the next number people read aloud."""
        number, serial = next_number(prefix, self._serials.get(prefix, FIRST_SERIAL))
        self._serials[prefix] = serial
        return self.add(model(number=number, serial=serial, form_id=self.new_id(), **values))

    def tie(self, through: Any, one: models.Model, other: models.Model) -> None:
        """A row of the table between two rows: ``through`` names the first's field first."""
        self._pairs.append((through, one, other))

    def new_id(self) -> uuid.UUID:
        return uuid.UUID(bytes=self.rng.bytes(16), version=4)

    def write(self) -> None:
        """Insert everything. What the database refuses is an error of the demo: let it be seen."""
        for model in ORDER:
            model._default_manager.bulk_create(self.rows[model])
        between: dict[Any, list[models.Model]] = defaultdict(list)
        for through, one, other in self._pairs:
            names = {type(one): one.pk, type(other): other.pk}
            columns = {
                f"{type(row)._meta.model_name}_id": key
                for row, key in ((one, names[type(one)]), (other, names[type(other)]))
            }
            between[through].append(through(**columns))
        for through, rows in between.items():
            through.objects.bulk_create(rows)
