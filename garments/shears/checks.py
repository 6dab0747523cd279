"""What must be clean before cloth is cut, each line from plain values. Pure."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from customers.lengths import Length
from garments.shears import cloth

# A house rule, common practice, no source: after half a year the figure is measured again.
RECENT: Final = datetime.timedelta(days=182)
# Working days from the shears to the customer, with two fittings for coats and one for the others:
# common practice, no source (the trade takes 8 to 12 weeks; a suit holds 50 to 100 hours of work).
LEAST_DAYS: Final[Mapping[str, int]] = MappingProxyType(
    {"coat": 15, "overcoat": 15, "waistcoat": 8, "trousers": 8}
)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to be clean. ``may_pass``: somebody may take it on by name and with a reason.

    ``passed`` is who took it on and why, for these very words; ``way`` names where it is put right.
    """

    key: str
    title: str
    words: str
    clean: bool
    may_pass: bool = False
    way: str = ""
    passed: str = ""

    @property
    def open(self) -> bool:
        return not self.clean and not self.passed

    @property
    def state(self) -> str:
        return "clean" if self.clean else "taken on" if self.passed else "open"


def recent(taken_on: datetime.date, taken_by: str, today: datetime.date) -> Line:
    """Whether the set is young enough, and who held the tape."""
    told = f"Taken {taken_on:%-d %B %Y} by {taken_by}"
    days = (today - taken_on).days
    if taken_on > today:
        return Line(
            "measures", "Measures", f"{told}: that day is yet to come.", clean=False, way="correct"
        )
    clean = today - taken_on <= RECENT
    words = f"{told}." if clean else f"{told}, {days} days ago: measure again after half a year."
    return Line("measures", "Measures", words, clean=clean, may_pass=True, way="measure")


def doubted(questions: Iterable[tuple[str, str]]) -> list[Line]:
    """One line for each reading in doubt: it is measured again, or confirmed by name."""
    found = [
        Line(
            f"doubt-{place}",
            "A reading in doubt",
            question,
            clean=False,
            may_pass=True,
            way="correct",
        )
        for place, question in questions
    ]
    return found or [Line("doubts", "Readings in doubt", "None.", clean=True)]


def complete(missing: Iterable[str], *, aimed: bool) -> Line:
    """Whether every target of the cut has the measures it needs. It cannot be passed over."""
    words = " ".join(missing)
    if not aimed:
        words = "This version of the cut has no figures: what it needs is not told."
    return Line(
        "missing",
        "Points for this garment",
        words or "All taken.",
        clean=not words or not aimed,
        way="measure",
    )


def wished(waiting: Iterable[str]) -> Line:
    """Whether every wish against the house's standard has a name."""
    words = "; ".join(waiting)
    said = f"Against the house's standard, and nobody accepted it by name: {words}."
    return Line("wishes", "Wishes", said if words else "None waits.", clean=not words, way="wish")


def remembered(unanswered: int) -> Line:
    """Whether the pattern's memory is answered."""
    said = f"{unanswered} change{'s' if unanswered > 1 else ''} of the pattern not answered yet."
    return Line(
        "memory",
        "What past garments needed",
        said if unanswered else "Answered.",
        clean=not unanswered,
        way="carry",
    )


def cloth_enough(have: Length | None, need: cloth.Need, lacks: str, unit: str) -> Line:
    """Whether the piece is long enough; ``lacks`` names the measures the sum had to do without."""
    title = "Cloth"
    if need.length is None:
        return Line(
            "cloth",
            title,
            f"How much it takes is not told without {lacks}.",
            clean=False,
            may_pass=True,
            way="measure",
        )
    wants = f"It takes {cloth.told_length(need.length, unit)} ({need.words})"
    if have is None:
        return Line(
            "cloth",
            title,
            f"{wants}: how long the piece is, nobody entered.",
            clean=False,
            may_pass=True,
            way="cloth",
        )
    there = cloth.told_length(have, unit)
    if have >= need.length:
        return Line("cloth", title, f"{wants}; the piece has {there}.", clean=True)
    short = cloth.told_length(need.length - have, unit)
    words = f"{wants}; the piece has {there}: {short} too short."
    return Line("cloth", title, words, clean=False, may_pass=True, way="cloth")


def promised(kind: str, day: datetime.date | None, today: datetime.date) -> Line:
    """Whether there are working days enough, Monday to Friday, until the promised day."""
    title = "Promise"
    if day is None:
        return Line("promise", title, "No day promised.", clean=True)
    least = LEAST_DAYS[kind]
    days = int(np.busday_count(today, day))
    if days >= least:
        return Line("promise", title, f"{days} working days until {day:%-d %B %Y}.", clean=True)
    left = f"{max(days, 0)} working day{'' if days == 1 else 's'} left"
    words = f"Promised for {day:%-d %B %Y}: {left}, and it takes at least {least}."
    return Line("promise", title, words, clean=False, may_pass=True, way="promise")
