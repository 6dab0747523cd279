"""Who and which room is taken when, so that nobody is booked twice. Pure."""

import datetime
from collections import defaultdict
from typing import Final

from numpy.random import Generator

OPENS, CLOSES = 9 * 60, 18 * 60  # minutes after midnight, as the demo's house is set
STEP: Final = 30
SUNDAY: Final = 6
DAY: Final = datetime.timedelta(days=1)


def working_day(day: datetime.date) -> datetime.date:
    """``day``, or the Monday after when it is a Sunday."""
    return day + DAY if day.weekday() == SUNDAY else day


class Timetable:
    """Half-open spans of minutes by day, for fitters and rooms alike.

    ``kept_free`` is the day nothing is found on: what happens on it is set by hand.
    """

    def __init__(self, rooms: int, kept_free: datetime.date) -> None:
        self.rooms = rooms
        self.kept_free = kept_free
        self._taken: dict[tuple[datetime.date, str], list[tuple[int, int]]] = defaultdict(list)

    def find(
        self, rng: Generator, day: datetime.date, fitter: str, minutes: int
    ) -> tuple[datetime.date, int, int]:
        """Take the first free time from ``day`` on: the day, the minute, the number of the room."""
        while True:
            day = working_day(day)
            starts = rng.permutation(range(OPENS, CLOSES - minutes + 1, STEP))
            for start in [] if day == self.kept_free else map(int, starts):
                for room in range(self.rooms):
                    if self.take(day, start, start + minutes, fitter, room):
                        return day, start, room
            day += DAY

    def take(self, day: datetime.date, start: int, end: int, fitter: str, room: int) -> bool:
        """Take that very time if both are free; whether it was."""
        keys = ((day, fitter), (day, f"room {room}"))
        if any(start < b and a < end for key in keys for a, b in self._taken[key]):
            return False
        for key in keys:
            self._taken[key].append((start, end))
        return True

    def release(self, day: datetime.date, start: int, end: int, fitter: str, room: int) -> None:
        """Let a time go that ``take`` took."""
        for key in ((day, fitter), (day, f"room {room}")):
            self._taken[key].remove((start, end))
