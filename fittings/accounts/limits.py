"""How long a sign-in lasts. Pure: seconds since 1970 in, a yes or no out."""

from dataclasses import dataclass, replace

PROVEN_FOR = 15 * 60  # seconds an asked-for password opens the owner's pages after a PIN
NOTICE_EVERY = 60  # seconds between two writings down that somebody is still there


@dataclass(frozen=True)
class Sitting:
    """One person's time at one device: how it began and what limits it was given then."""

    way: str  # "password" (with the second factor, where there is one) or "pin"
    began: int
    seen: int  # the last touch
    idle: int  # seconds without a touch that end it
    longest: int  # seconds after which it ends whatever happens
    proved: int = 0  # when the password was last given
    tablet: int | None = None  # the shared tablet it is at

    def is_over(self, now: int) -> bool:
        """Whether it has ended; a clock set back by more than its length ends it as well."""
        idle, whole = now - self.seen, now - self.began
        return not (-NOTICE_EVERY <= idle < self.idle and -NOTICE_EVERY <= whole < self.longest)

    def is_proven(self, now: int, *, fresh: bool = False) -> bool:
        """Whether the owner's own pages open: a PIN alone never opens them.

        ``fresh`` asks for a password given just now, however they came in.
        """
        just_now = 0 <= now - self.proved < PROVEN_FOR
        return just_now or (self.way == "password" and not fresh)

    def touched(self, now: int) -> "Sitting":
        """The same with this touch noted; itself when the last note is fresh enough."""
        return replace(self, seen=now) if now - self.seen >= NOTICE_EVERY else self
