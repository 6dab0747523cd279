"""What is owed day by day against what the bench can do. Pure: no query, no clock."""

import datetime
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

DAY = datetime.timedelta(days=1)
HOUR = 60


@dataclass(frozen=True, slots=True)
class Owed:
    """One ticket: the day it is due and its working minutes."""

    due_on: datetime.date
    minutes: int


@dataclass(frozen=True, slots=True)
class DayLoad:
    """A day something is due on. Minutes; ``bench`` is None while nobody said its hours.

    ``owed_by`` is all that is due until that evening, what is late included, ``bench_by`` what the
    bench does from this morning until then.
    """

    day: datetime.date
    tickets: int
    minutes: int
    owed_by: int
    bench: int | None
    bench_by: int | None

    @property
    def short(self) -> int:
        """Minutes that cannot be done by that evening in whatever order; 0 when all can be."""
        return 0 if self.bench_by is None else max(0, self.owed_by - self.bench_by)

    @property
    def words(self) -> str:
        return told(self.minutes)

    @property
    def bench_words(self) -> str:
        return "" if self.bench is None else told(self.bench)

    @property
    def owed_hours(self) -> int:
        """Whole hours begun, of all that is due by that evening."""
        return -(-self.owed_by // HOUR)

    @property
    def bench_hours(self) -> int | None:
        """Whole hours of the bench until then."""
        return None if self.bench_by is None else self.bench_by // HOUR

    @property
    def short_words(self) -> str:
        return told(self.short)

    @property
    def spare_words(self) -> str:
        return told(self.spare)

    @property
    def spare(self) -> int:
        return 0 if self.bench_by is None else max(0, self.bench_by - self.owed_by)


@dataclass(frozen=True, slots=True)
class Load:
    """All that is owed: how much of it is late, and the days from today on."""

    late_tickets: int
    late_minutes: int
    days: tuple[DayLoad, ...]

    @property
    def late_words(self) -> str:
        return told(self.late_minutes)

    @property
    def today(self) -> DayLoad:
        return self.days[0]


def weigh(
    owed: Iterable[Owed], bench: Callable[[datetime.date], int] | None, today: datetime.date
) -> Load:
    """Minutes owed by each evening against those the bench has until then.

    Worked in the order of due days, what is due by an evening is done by then exactly when it is
    no more than the bench can do until then, and no other order keeps more of the days (J. R.
    Jackson, Scheduling a production line to minimize maximum tardiness, 1955). Today counts whole,
    and a ticket in hand counts whole: nobody enters how far it is.
    """
    rows = list(owed)
    late = [row.minutes for row in rows if row.due_on < today]
    tickets = Counter(row.due_on for row in rows if row.due_on >= today)
    minutes: Counter[datetime.date] = Counter()
    for row in rows:
        minutes[row.due_on] += row.minutes
    days: list[DayLoad] = []
    owed_by, bench_by, done = sum(late), 0, today
    for day in sorted({today, *tickets}):
        while bench is not None and done <= day:
            bench_by += bench(done)
            done += DAY
        owed_by += minutes[day]
        known = bench is not None
        days.append(
            DayLoad(
                day,
                tickets[day],
                minutes[day],
                owed_by,
                bench(day) if bench else None,
                bench_by if known else None,
            )
        )
    return Load(len(late), sum(late), tuple(days))


def told(minutes: int) -> str:
    """``2 h 25 min``, ``45 min``, ``8 h``."""
    hours, rest = divmod(minutes, HOUR)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
