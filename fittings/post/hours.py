"""When a message may go out, and when it is tried again."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass

# Nobody is written to before or after these, whatever the hours of the house are; common practice,
# no source.
EARLIEST = datetime.time(8)
LATEST = datetime.time(21)
# Minutes until the next try after the first, second, ... in vain; common practice, no source. (RFC
# 5321, 4.5.4.1, has a server wait half an hour; ours only has to reach the server.)
DAY = datetime.timedelta(days=1)
CLOSED_AT_MOST = 60  # days that are looked over for the next open one
WAITS = (5, 15, 60, 240, 720)


@dataclass(frozen=True, slots=True)
class SendingHours:
    """The span of a day in which messages go out: open, and no part of the night.

    ``why_closed`` says why the house is on a day, when its closed days are kept free of messages.
    """

    starts: datetime.time
    ends: datetime.time
    why_closed: Callable[[datetime.date], str] | None = None

    @classmethod
    def of_house(
        cls,
        opens: datetime.time,
        closes: datetime.time,
        why_closed: Callable[[datetime.date], str] | None = None,
    ) -> "SendingHours":
        """The house's hours without what is night; no span at all for a house of the night."""
        return cls(max(opens, EARLIEST), min(closes, LATEST), why_closed)

    def hold(self, at: datetime.datetime) -> bool:
        """Whether ``at``, a moment by the house's clock, is within them; the end is not."""
        return self.starts <= at.time() < self.ends and not self._is_closed(at.date())

    def next_day(self, day: datetime.date) -> datetime.date:
        """The first day after ``day`` on which messages go out."""
        for number in range(1, CLOSED_AT_MOST):
            later = day + number * DAY
            if not self._is_closed(later):
                return later
        return day + DAY

    def _is_closed(self, day: datetime.date) -> bool:
        return self.why_closed is not None and bool(self.why_closed(day))

    def __str__(self) -> str:
        if self.starts >= self.ends:
            return "never: the house is open by night alone"
        days = " on open days" if self.why_closed else ""
        return f"from {self.starts:%H:%M} to {self.ends:%H:%M}{days}"


def next_wait(tries: int) -> datetime.timedelta | None:
    """How long to wait after so many tries in vain; None when it is given up."""
    return datetime.timedelta(minutes=WAITS[tries - 1]) if tries <= len(WAITS) else None
