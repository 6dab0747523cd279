"""The day the diary is opened at: people at every stage, told around the moment it is now.

Whatever the hour, the day's first half lies before ``now`` and its second after: nothing in the
record is later than the moment it was written. Made at night, the diary is a night's.
"""

import datetime
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from django.contrib.auth.models import User

from fittings.demo.eye import Eye
from fittings.demo.garment import Work
from fittings.demo.orders import Order
from fittings.demo.pictures import hang
from fittings.demo.record import moment
from fittings.demo.setting import Client, Piece, Setting
from fittings.demo.timetable import SUNDAY, working_day
from fittings.demo.truth import make_cause
from fittings.models import Booking, BookingChange, Fitting
from garments.models import Answer, Stage

Moment = datetime.datetime
Purpose = Booking.Purpose
What = BookingChange.What
Kind = Answer.Kind

EARLIEST, LATEST = 90, 21 * 60  # minutes of the day the middle of the diary may lie at
MINUTE: Final = datetime.timedelta(minutes=1)
CAUSES: Final = {
    "coat": ("low-shoulder-R", "sleeve-long", "waist-loose"),
    "overcoat": ("low-shoulder-R", "sleeve-long", "waist-loose"),
    "waistcoat": ("waist-loose", "cut-long"),
    "trousers": ("cut-long", "waist-loose"),
}


@dataclass(frozen=True)
class Day:
    """Today: its middle is the last half hour struck, its moments are minutes from there."""

    today: datetime.date
    now: Moment

    @property
    def middle(self) -> int:
        struck = (self.now.hour * 60 + self.now.minute) // 30 * 30
        return min(max(struck, EARLIEST), LATEST)

    def times(self, start: int, minutes: int) -> tuple[Moment, Moment]:
        """When a booking begins and ends, ``start`` minutes from the middle."""
        begins = self.middle + start
        return moment(self.today, begins), moment(self.today, begins + minutes)

    def by_now(self, start: int, before: int) -> Moment:
        """``start`` minutes from the middle, at the latest ``before`` minutes ago."""
        return min(moment(self.today, self.middle + start), self.now - before * MINUTE)

    def ago(self, days: int, minute: int = 11 * 60) -> Moment:
        """A moment of the working day so many days ago, or of the last one before it."""
        day = self.today - datetime.timedelta(days=days)
        return moment(day - datetime.timedelta(days=day.weekday() == SUNDAY), minute)


class Scene(Order):
    """An order whose days are settled, seen by a fitter who misses nothing."""

    def __init__(
        self, setting: Setting, client: Client, fitter: User, piece: Piece, *, day: Day
    ) -> None:
        super().__init__(setting, client, fitter, [piece], day.now)
        self.day = day
        self.eye = Eye(setting.rng, 1.0, keen=True)

        self.fitting = Fitting()

    @property
    def work(self) -> Work:
        return self.works[0]

    def ordered(self, days: int) -> Iterator[Moment]:
        """Measured and ordered so many days ago, and basted within eighteen."""
        self.at = self.day.ago(days)
        yield self.at
        self.client.measures = self.take_measures(self.at)
        self.works = [self._ordered(piece) for piece in self.pieces]
        self.work.carries = False  # what is wrong with it is settled, whatever was learnt before
        kind = self.work.garment.kind
        self.work.hidden = [make_cause(self.rng, kind, cause) for cause in CAUSES[kind]]
        yield from self._told(self._make_up(work) for work in self.works)

    def held(self, purpose: Purpose, days: int) -> Iterator[Moment]:
        """A fitting kept so many days ago."""
        booking = self.setting.visits.book(
            self.client.customer,
            [self.work.garment],
            self.fitter,
            purpose,
            wanted=self.day.ago(days).date(),
            at=self.at,
        )
        yield booking.starts_at
        self.fitting = self.setting.visits.receive(booking)
        self.hold(self.fitting)

    def answered(self, kind: Kind, at: Moment, reason: str = "") -> Iterator[Moment]:
        yield at
        self.work.answer(kind, at, self.setting.hand(), reason)
        self.at = at

    def entered(self, stage: Stage, at: Moment) -> Iterator[Moment]:
        yield at
        self.work.enter(stage, at, self.setting.hand())
        self.at = at

    def altered(self, fitted: int, done: int) -> Iterator[Moment]:
        """A first fitting, and its ticket done."""
        yield from self.held(Purpose.FIRST, fitted)
        yield from self.answered(Kind.TAKEN, self.day.ago(done + 3))
        yield from self.answered(Kind.DONE, self.day.ago(done, 16 * 60))

    def finished(self, ordered: int) -> Iterator[Moment]:
        """All the way to the hanger, in ``ordered`` minus five days."""
        yield from self.ordered(ordered)
        yield from self.altered(ordered - 22, ordered - 30)
        self.work.hidden = []
        yield from self.held(Purpose.FORWARD, ordered - 36)
        yield from self.entered(Stage.FINISHED, self.day.ago(ordered - 46))

    def booked(self, purpose: Purpose, start: int, minutes: int, *, room: int) -> Booking:
        """A booking of today, made when the last thing happened."""
        garments = [work.garment for work in self.works]
        return self.setting.visits.set_down(
            self.client.customer,
            garments,
            self.fitter,
            purpose,
            times=self.day.times(start, minutes),
            room=room,
            at=self.at + 10 * MINUTE,
        )

    def begun(self, booking: Booking, start: int, before: int) -> Iterator[Moment]:
        """Today's fitting is begun ``start`` minutes from the middle; not yet held."""
        began = self.day.by_now(start, before)
        yield began
        self.fitting = self.setting.visits.receive(booking, began - 3 * MINUTE, began)
        self.at = began

    # ---- the scenes

    def kept_first(self) -> Iterator[Moment]:
        """A first fitting this morning; its ticket was issued a moment ago."""
        yield from self.ordered(25)
        booking = self.booked(Purpose.FIRST, -90, 60, room=0)
        yield from self.begun(booking, -88, 50)
        self.hold(self.fitting)
        self.photographed("Front, before the shoulder is taken in")

    def kept_final(self) -> Iterator[Moment]:
        """A last look this morning: it went home."""
        yield from self.finished(58)
        booking = self.booked(Purpose.FINAL, -90, 30, room=1)
        yield from self.begun(booking, -89, 40)
        self.hold(self.fitting)

    def in_session(self) -> Iterator[Moment]:
        """On the wearer now, what was altered still to be judged."""
        yield from self.ordered(40)
        yield from self.held(Purpose.FIRST, 15)
        self.photographed("As it came from the baste")
        yield from self.answered(Kind.TAKEN, self.day.ago(11))
        yield from self.answered(Kind.DONE, self.day.ago(6))
        booking = self.booked(Purpose.FORWARD, -30, 30, room=0)
        yield from self.begun(booking, -28, 9)
        self.begin(self.work, self.fitting)

    def arrived(self) -> Iterator[Moment]:
        """Waiting for a first fitting."""
        yield from self.ordered(26)
        booking = self.booked(Purpose.FIRST, 0, 60, room=1)
        came = self.day.by_now(-4, 2)
        yield came
        self.setting.visits.note(booking, What.ARRIVED, came)

    def late_ticket(self) -> Iterator[Moment]:
        """Comes in half an hour, and the workroom still owes the garment since yesterday."""
        yield from self.ordered(38)
        self.due = self.day.ago(1).date()
        yield from self.held(Purpose.FIRST, 13)
        yield from self.answered(Kind.TAKEN, self.day.ago(4))
        self.booked(Purpose.FORWARD, 30, 30, room=0)

    def to_measure(self) -> Iterator[Moment]:
        """Registered today, no measures yet, comes to be measured."""
        self.at = self.client.customer.created_at
        yield self.at
        self.booked(Purpose.MEASURE, 30, 60, room=2)

    def last_look(self) -> Iterator[Moment]:
        """Finished; tried on for the last time in an hour."""
        yield from self.finished(55)
        self.booked(Purpose.FINAL, 60, 30, room=1)

    def missed(self) -> Iterator[Moment]:
        yield from self.ordered(27)
        booking = self.booked(Purpose.FIRST, -60, 60, room=2)
        at = self.day.by_now(-30, 0)
        yield at
        self.setting.visits.note(booking, What.MISSED, at)

    def cancelled(self) -> Iterator[Moment]:
        yield from self.ordered(28)
        booking = self.booked(Purpose.FIRST, 90, 60, room=1)
        at = self.day.ago(1, 16 * 60)
        yield at
        self.setting.visits.note(booking, What.CANCELLED, at, "A cold; will ring again.")

    def comes_back(self) -> Iterator[Moment]:
        """Delivered a month ago; the lining has sunk, looked at in an hour."""
        yield from self.finished(90)
        yield from self.held(Purpose.FINAL, 34)
        at = self.day.ago(3, 10 * 60)
        yield at
        self.at = at
        self.booked(Purpose.RETURN, 60, 30, room=0)

    def due_today(self) -> Iterator[Moment]:
        yield from self.ordered(33)
        self.due = working_day(self.day.today)
        yield from self.held(Purpose.FIRST, 8)
        yield from self.answered(Kind.TAKEN, self.day.ago(2))

    def sent_back(self) -> Iterator[Moment]:
        yield from self.ordered(32)
        yield from self.held(Purpose.FIRST, 6)
        yield from self.answered(Kind.CANNOT, self.day.ago(2), "No cloth left at the shoulder end.")

    def asks(self) -> Iterator[Moment]:
        yield from self.ordered(31)
        yield from self.held(Purpose.FIRST, 5)
        yield from self.answered(Kind.ASKS, self.day.by_now(-60, 30), "Which sleeve first?")

    def done_today(self) -> Iterator[Moment]:
        yield from self.ordered(34)
        self.due = working_day(self.day.today)
        yield from self.held(Purpose.FIRST, 9)
        yield from self.answered(Kind.TAKEN, self.day.ago(3))
        yield from self.answered(Kind.DONE, self.day.by_now(-45, 20))

    def to_fetch(self) -> Iterator[Moment]:
        """Looked at for the last time, altered once more, waiting on the hanger."""
        yield from self.finished(62)
        self.work.hidden = [make_cause(self.rng, self.work.garment.kind, "cut-long")]
        yield from self.held(Purpose.FINAL, 9)
        yield from self.answered(Kind.TAKEN, self.day.ago(5))
        yield from self.answered(Kind.DONE, self.day.ago(2))

    def known_figure(self) -> Iterator[Moment]:
        """The third coat of a regular, ordered and not cut: what the two before needed is asked."""
        for days in (620, 300):
            yield from self.finished(days)
            yield from self.held(Purpose.FINAL, days - 56)
            self.rounds = 0
        self.at = self.day.ago(2)
        yield self.at
        self.client.measures = self.take_measures(self.at)
        self.works = [self._ordered(piece) for piece in self.pieces]

    def photographed(self, caption: str) -> None:
        at = self.fitting.started_at + 6 * MINUTE
        hang(self.record, self.fitting, self.work.garment, caption, at=at, by=self.fitter)


@dataclass(frozen=True)
class Story:
    """A scene with its fitter (first, second, third) and what it is of.

    Its customer first came to the house ``days`` ago.
    """

    tell: Callable[[Scene], Iterator[Moment]]
    fitter: int
    kind: str
    days: int

    @property
    def photographed(self) -> bool:
        """Whether the customer said yes to photographs."""
        return self.tell in (Scene.kept_first, Scene.in_session)


STORIES: Final = (
    Story(Scene.known_figure, 0, "coat", 622),
    Story(Scene.comes_back, 0, "coat", 93),
    Story(Scene.to_fetch, 1, "coat", 64),
    Story(Scene.kept_final, 1, "coat", 60),
    Story(Scene.last_look, 1, "coat", 57),
    Story(Scene.in_session, 0, "coat", 42),
    Story(Scene.late_ticket, 0, "coat", 40),
    Story(Scene.done_today, 2, "trousers", 36),
    Story(Scene.due_today, 0, "coat", 35),
    Story(Scene.sent_back, 1, "coat", 34),
    Story(Scene.asks, 2, "coat", 33),
    Story(Scene.cancelled, 1, "trousers", 30),
    Story(Scene.missed, 2, "waistcoat", 29),
    Story(Scene.arrived, 1, "coat", 28),
    Story(Scene.kept_first, 0, "coat", 27),
    Story(Scene.to_measure, 2, "coat", 0),
)
