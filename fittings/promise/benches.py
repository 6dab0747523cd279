"""Who sits at the benches on which day, and for how many minutes. Pure."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from fittings.promise.calendar import HouseCalendar, Period
from fittings.promise.errors import PromiseError
from fittings.promise.queueing import Bench
from fittings.promise.stages import CRAFTS

# Seven hours of an eight-hour day go into garments. Common practice, no source.
BENCH_MINUTES = 420

# No bench day is longer, overtime counted; local law on working time may say less.
LONGEST_DAY = 720


@dataclass(frozen=True)
class Away:
    """A person who is not at the bench during a period."""

    person: str
    period: Period


@dataclass(frozen=True)
class Overtime:
    """``minutes`` more a day for every maker of ``craft``, on the open days of a period."""

    craft: str
    minutes: int
    period: Period

    def __post_init__(self) -> None:
        if not 0 < self.minutes <= LONGEST_DAY:
            raise PromiseError("Overtime is some minutes a day, and no day is over twelve hours.")


@dataclass(frozen=True)
class Workroom:
    """The makers by craft, when they are away, and how long they sit at the bench each open day.

    ``makers`` maps a craft to names. Everybody works ``minutes`` a day, or what ``minutes_of`` says
    of them; less when the house is open for less, more with overtime, never over LONGEST_DAY.
    """

    calendar: HouseCalendar
    makers: Mapping[str, tuple[str, ...]]
    away: tuple[Away, ...] = ()
    overtime: tuple[Overtime, ...] = ()
    minutes: int = BENCH_MINUTES
    minutes_of: Mapping[str, int] = field(default_factory=dict)
    _kept: dict[tuple[str, int, int], tuple[int, int]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _benches: dict[str, tuple[Bench, ...]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        if not all(0 < day <= LONGEST_DAY for day in (self.minutes, *self.minutes_of.values())):
            raise PromiseError("A bench day is between one minute and twelve hours.")
        if unknown := sorted(self.makers.keys() - CRAFTS.keys()):
            raise PromiseError(f"There is no craft “{unknown[0]}”.")
        seated = [person for names in self.makers.values() for person in names]
        people = set(seated)
        if len(seated) != len(people):
            # Minutes counted at two benches would promise the same hour twice.
            raise PromiseError("A person sits at one bench only: give each maker one craft.")
        for row in self.away:
            if row.person not in people:
                raise PromiseError(f"“{row.person}” is away but sits at no bench.")
        for extra in self.overtime:
            if extra.craft not in CRAFTS:
                raise PromiseError(f"There is no craft “{extra.craft}”.")

    def benches(self, craft: str) -> tuple[Bench, ...]:
        """The bench of a craft, once for each length of day its makers have.

        Each counts the makers with that day or a longer one, that long each: so somebody who comes
        for an hour makes nothing later, whichever of them the work is planned by.
        """
        found = self._benches.get(craft)
        if found is None:
            days = sorted({self._day_of(name) for name in self.makers.get(craft, ())})
            hands = (partial(self.hands, craft, least=day) for day in days or (self.minutes,))
            found = self._benches[craft] = tuple(Bench(each) for each in hands)
        return found

    def hands(self, craft: str, number: int, least: int = 0) -> tuple[int, int]:
        """How many makers sit at the bench on a day (its ordinal), and the minutes of each.

        Only makers with a day of ``least`` minutes count, each as long as the shortest of theirs.
        """
        found = self._kept.get((craft, number, least))
        if found is None:
            day = datetime.date.fromordinal(number)
            found = (self._makers_in(craft, day, least), self._minutes_each(craft, day, least))
            if 0 in found:
                found = (0, 0)
            self._kept[craft, number, least] = found
        return found

    def with_maker(self, craft: str, name: str) -> "Workroom":
        """The same workroom with one maker more."""
        if craft not in CRAFTS:
            raise PromiseError(f"There is no craft “{craft}”.")
        return replace(self, makers={**self.makers, craft: (*self.makers.get(craft, ()), name)})

    def with_overtime(self, overtime: Overtime) -> "Workroom":
        return replace(self, overtime=(*self.overtime, overtime))

    def _day_of(self, name: str) -> int:
        return self.minutes_of.get(name, self.minutes)

    def _makers_in(self, craft: str, day: datetime.date, least: int) -> int:
        away = {row.person for row in self.away if day in row.period}
        return sum(
            1
            for name in self.makers.get(craft, ())
            if name not in away and self._day_of(name) >= least
        )

    def _minutes_each(self, craft: str, day: datetime.date, least: int) -> int:
        days = [self._day_of(name) for name in self.makers.get(craft, ())]
        shortest = min((minutes for minutes in days if minutes >= least), default=0)
        usual = min(shortest, self.calendar.minutes(day))
        if not usual:
            return 0
        more = sum(row.minutes for row in self.overtime if row.craft == craft and day in row.period)
        return min(usual + more, LONGEST_DAY)
