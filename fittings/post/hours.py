"""When a message may go out, and when it is tried again."""

import datetime
from dataclasses import dataclass

# Nobody is written to before or after these, whatever the hours of the house are; common practice,
# no source.
EARLIEST = datetime.time(8)
LATEST = datetime.time(21)
# Minutes until the next try after the first, second, ... in vain; common practice, no source. (RFC
# 5321, 4.5.4.1, has a server wait half an hour; ours only has to reach the server.)
WAITS = (5, 15, 60, 240, 720)


@dataclass(frozen=True, slots=True)
class SendingHours:
    """The span of a day in which messages go out: open, and no part of the night."""

    starts: datetime.time
    ends: datetime.time

    @classmethod
    def of_house(cls, opens: datetime.time, closes: datetime.time) -> "SendingHours":
        """The house's hours without what is night; no span at all for a house of the night."""
        return cls(max(opens, EARLIEST), min(closes, LATEST))

    def hold(self, at: datetime.datetime) -> bool:
        """Whether ``at``, a moment by the house's clock, is within them; the end is not."""
        return self.starts <= at.time() < self.ends

    def __str__(self) -> str:
        if self.starts >= self.ends:
            return "never: the house is open by night alone"
        return f"from {self.starts:%H:%M} to {self.ends:%H:%M}"


def next_wait(tries: int) -> datetime.timedelta | None:
    """How long to wait after so many tries in vain; None when it is given up."""
    return datetime.timedelta(minutes=WAITS[tries - 1]) if tries <= len(WAITS) else None
