"""What every story of the demo shares: the house, its customers, what is ordered."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from django.contrib.auth.models import User
from numpy.random import Generator

from customers.models import Customer, MeasurementSet, Unit
from fittings.demo.bodies import Body
from fittings.demo.house import Staff
from fittings.demo.record import Record, moment
from fittings.demo.timetable import working_day
from fittings.demo.visits import Visits
from garments.models import CutVersion

if TYPE_CHECKING:
    from fittings.demo.garment import Work

Moment = datetime.datetime


@dataclass
class Setting:
    """What every order of the demo shares.

    ``skills``: how often each fitter reads causes right; ``tapes``: how far their tape wanders.
    """

    record: Record
    rng: Generator
    staff: Staff
    visits: Visits
    skills: dict[str, float]
    tapes: dict[str, float]
    versions: Mapping[str, tuple[CutVersion, ...]]

    def days(self, low: int, high: int) -> datetime.timedelta:
        return datetime.timedelta(days=int(self.rng.integers(low, high + 1)))

    def hour(self, day: datetime.date) -> Moment:
        """A moment of the working day ``day``, or of the next one."""
        return moment(working_day(day), int(self.rng.integers(9 * 60 + 15, 17 * 60 + 30)))

    def hand(self) -> User:
        return self.staff.hands[int(self.rng.integers(len(self.staff.hands)))]


@dataclass
class Client:
    """A customer of the demo: the body under the cloth, and what the house has learnt of it."""

    customer: Customer
    body: Body
    measures: MeasurementSet | None = None
    seen_at: Moment | None = None
    learnt: set[str] = field(default_factory=set)
    works: list["Work"] = field(default_factory=list)

    @property
    def unit(self) -> str:
        return self.customer.unit or Unit.INCHES


@dataclass(frozen=True)
class Piece:
    """One garment of an order."""

    kind: str
    cut_version: CutVersion
    cloth: str
    pattern: str
    notes: str = ""
