"""What was heard of a line, as plain values."""

from dataclasses import dataclass
from typing import Final

from customers.lengths import Length

# Why words stay unread, by key: the sentence beside them.
WHY: Final = {
    "unknown": "not understood",
    "denied": "said not to be there",
    "half": "one side clean: a zone is clean as a whole",
    "unclean": "not clean, but not said what is seen",
    "bare": "a zone, but not said what is seen",
    "taken back": "taken back",
    "too long": "beyond what is read at once",
}


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing an entry may mean; `fault` is empty for a clean zone."""

    zone: str
    fault: str = ""
    side: str = ""


@dataclass(frozen=True, slots=True)
class Slip:
    """What was written, and the word it was taken for."""

    wrote: str
    meant: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing seen, or a zone clean, or all the rest clean (`rest`, no choice then).

    `span` is where its words stand in the line, end excluded. `sure` is False where the words fit
    more than one choice, or its one choice only in part: it is to be asked before it is kept.
    """

    choices: tuple[Choice, ...]
    span: tuple[int, int]
    amount: Length | None = None
    forgiven: tuple[Slip, ...] = ()
    sure: bool = True
    rest: bool = False


@dataclass(frozen=True, slots=True)
class Leftover:
    """Words that became no entry, and why, a key of `WHY`."""

    text: str
    span: tuple[int, int]
    why: str


@dataclass(frozen=True, slots=True)
class Heard:
    """A line read: entries in the order they were said, and what was not read."""

    entries: tuple[Entry, ...] = ()
    leftovers: tuple[Leftover, ...] = ()
