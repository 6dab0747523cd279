"""Where fitters of the house are on a trip, when they are on the way, what has to be packed. Pure.

The rule: who travels is away from the minute they leave for the first day until they are back from
the last one. Garments are packed on the last open day of the house before they leave, since nobody
can wait for a coat at the door; what was fitted is at the house again on the day of the return, and
the bench begins with it as after any fitting of that day. House rule.
"""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from fittings.diary.refusals import Refusal, day_refusal, refusal_of
from fittings.diary.slots import Hours, Span
from fittings.spoken import weekday_text
from fittings.travelling.days import DAY, Pattern, Run

# How far the next run of a trip is looked for: a trip every 26 weeks has one within it.
AHEAD = datetime.timedelta(days=366)
CLOSED_AT_MOST = 60  # days that the house is closed before somebody leaves; more is no rule at all


@dataclass(frozen=True)
class Journey:
    """A trip as the diary reckons with it: ``fitters`` by key with their names."""

    key: object
    room: int
    place: str
    town: str
    fitters: Mapping[int, str]
    pattern: Pattern
    opens: datetime.time
    closes: datetime.time
    there: datetime.timedelta
    back: datetime.timedelta

    def away(self, run: Run, hours: Hours) -> Span:
        """From leaving the house until being back at it, in UTC."""
        clock = Hours(self.opens, self.closes, hours.zone)
        return Span(clock.on(run.first).starts - self.there, clock.on(run.last).ends + self.back)

    def hours(
        self,
        house: Hours,
        *,
        ready: datetime.date | None = None,
        latest: datetime.date | None = None,
    ) -> Hours:
        """When customers are fitted there: on its days, but on no day that the house closed.

        Nor in a run for which garments ready on that day come too late to be packed, or from which
        they come back after the ``latest`` day.
        """

        def why_closed(day: datetime.date) -> str:
            run = self.pattern.run_on(day)
            if run is None:
                return f"nobody is in {self.town}"
            if ready is not None and self.packing_day(run, house) < ready:
                return "what is fitted is not ready to be packed"
            if latest is not None and self.back_on(run, house) > latest:
                return "what is fitted comes back too late"
            return house.why_shut(day)

        said = f"Fittings in {self.town} are"
        return Hours(self.opens, self.closes, house.zone, {}, why_closed, says=said)

    def packing_day(self, run: Run, house: Hours) -> datetime.date:
        """The last open day of the house before the fitters leave."""
        leaves = house.day_of(self.away(run, house).starts)
        days = (leaves - number * DAY for number in range(1, CLOSED_AT_MOST))
        return next((day for day in days if not house.why_closed(day)), leaves - DAY)

    def back_on(self, run: Run, house: Hours) -> datetime.date:
        """The day on which fitters and garments are at the house again."""
        return house.day_of(self.away(run, house).ends)


class Way(NamedTuple):
    """One run of a journey, and when its fitters are away."""

    journey: Journey
    run: Run
    away: Span


@dataclass(frozen=True)
class Place:
    """Where a time is wished for: a room by key, with its town (empty at the house), with whom."""

    room: int
    town: str
    fitter: int
    name: str


@dataclass(frozen=True)
class Journeys:
    """All trips of the house that are not over."""

    rows: Sequence[Journey] = ()

    def ways(self, since: datetime.date, to: datetime.date, hours: Hours) -> Iterator[Way]:
        """Every run on the way or there between two days, both counted."""
        for journey in self.rows:
            # A way of a whole day begins and ends outside the days of the run.
            for run in journey.pattern.runs(since - 2 * DAY, to + 2 * DAY):
                away = journey.away(run, hours)
                if hours.day_of(away.starts) <= to and hours.day_of(away.ends) >= since:
                    yield Way(journey, run, away)

    def way_of(self, fitter: int, span: Span, hours: Hours) -> Way | None:
        """The trip that keeps a fitter from the house in ``span``."""
        ways = self.ways(hours.day_of(span.starts), hours.day_of(span.ends), hours)
        return next((w for w in ways if fitter in w.journey.fitters and w.away.meets(span)), None)

    def at(self, room: int, day: datetime.date) -> list[Journey]:
        """The trips that have that place on ``day``."""
        return [row for row in self.rows if row.room == room and row.pattern.run_on(day)]

    def back_with(self, room: int, day: datetime.date, hours: Hours) -> datetime.date:
        """When garments fitted in that room on ``day`` are at the house: ``day`` itself there."""
        runs = ((row, row.pattern.run_on(day)) for row in self.at(room, day))
        return max((row.back_on(run, hours) for row, run in runs if run), default=day)

    def of_town(self, town: str) -> list[Journey]:
        wanted = town.strip().casefold()
        return [row for row in self.rows if wanted and row.town.casefold() == wanted]

    def of_room(self, room: int | None) -> list[Journey]:
        return [row for row in self.rows if row.room == room]

    def is_there(self, place: Place, span: Span, hours: Hours) -> bool:
        """Whether the fitter is in the town, or at the house, in ``span``."""
        if not place.town:
            return self.way_of(place.fitter, span, hours) is None
        return self.goes_to(place.room, place.fitter, hours.day_of(span.starts))

    def goes_to(self, room: int, fitter: int, day: datetime.date) -> bool:
        return any(fitter in row.fitters for row in self.at(room, day))

    def refusal(
        self, place: Place, span: Span, hours: Hours, now: datetime.datetime
    ) -> Refusal | None:
        """What clock, calendar and trips say against a time at a place with a fitter.

        Nobody can insist on a fitter who is in another town, nor on a place where nobody is.
        """
        day = hours.day_of(span.starts)
        if not place.town:
            if wrong := day_refusal(day, hours, now):
                return Refusal("date", wrong)
            way = self.way_of(place.fitter, span, hours)
            return (
                Refusal("fitter", elsewhere_text(way, place.name, hours))
                if way
                else (refusal_of(span, hours, now))
            )
        there = self.at(place.room, day)
        if not there and not day_refusal(day, hours, now):
            return Refusal("date", self._nobody_text(place, day))
        going = [row for row in there if place.fitter in row.fitters]
        if there and not going:
            names = " and ".join(name for row in there for name in row.fitters.values())
            verb = "are" if sum(len(row.fitters) for row in there) > 1 else "is"
            said = f"{place.name} is not in {place.town} that day: {names} {verb}."
            return Refusal("fitter", said)
        return refusal_of(span, going[0].hours(hours) if going else hours, now)

    def refusal_there(
        self, room: int, town: str, span: Span, hours: Hours, now: datetime.datetime
    ) -> Refusal | None:
        """The same of a place with whoever goes there."""
        there = self.at(room, hours.day_of(span.starts)) or self.of_room(room)
        fitter = next((pk for row in there for pk in row.fitters), 0)
        return self.refusal(Place(room, town, fitter, ""), span, hours, now)

    def _nobody_text(self, place: Place, day: datetime.date) -> str:
        runs = (row.pattern.next_run(day, AHEAD) for row in self.of_room(place.room))
        ahead = min((run for run in runs if run), default=None)
        after = f" The next trip is on {weekday_text(ahead.first)}." if ahead else ""
        return f"Nobody is in {place.town} that day.{after}"


def there_text(way: Way, hours: Hours) -> str:
    """The same in few words, for the head of a column of one day."""
    leaves, back = (at.astimezone(hours.zone) for at in (way.away.starts, way.away.ends))
    times = f", {leaves:%H:%M} to {back:%H:%M}" if leaves.date() == back.date() else ""
    return f"In {way.journey.town}{times}."


def elsewhere_text(way: Way, name: str, hours: Hours) -> str:
    """Why somebody cannot be booked at the house, as it is said to who asks for them."""
    leaves, back = (at.astimezone(hours.zone) for at in (way.away.starts, way.away.ends))
    until = f"{back:%H:%M}"
    if back.date() != leaves.date():
        until = f"{weekday_text(back.date())}, {until}"
    begins = f"{weekday_text(leaves.date())}, {leaves:%H:%M}"
    return f"{name} is in {way.journey.town} from {begins} to {until}."
