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
# Working days from the shears to the first fitting, between fittings, and from the last to the
# customer: hands that do nothing else. Common practice, no source; it agrees with the 50 to 100
# hours that go into a suit at eight hours a day, and is far below the 8 to 12 weeks houses promise.
LEAST_DAYS: Final[Mapping[str, tuple[int, int, int]]] = MappingProxyType(
    {"coat": (5, 4, 6), "overcoat": (6, 4, 7), "waistcoat": (2, 2, 3), "trousers": (2, 2, 2)}
)
FITTINGS: Final[Mapping[str, int]] = MappingProxyType(
    {"coat": 3, "overcoat": 3, "waistcoat": 2, "trousers": 2}
)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to be clean. ``may_pass``: somebody may take it on by name and with a reason.

    ``passed`` is who took it on and why, for these very words; ``way`` names where it is put right.
    ``entry`` is the id of the entry that took it on.
    """

    key: str
    title: str
    words: str
    clean: bool
    may_pass: bool = False
    way: str = ""
    passed: str = ""
    entry: str = ""

    @property
    def open(self) -> bool:
        return not self.clean and not self.passed

    @property
    def state(self) -> str:
        return "clean" if self.clean else "taken on" if self.passed else "open"


def recent(taken_on: datetime.date, taken_by: str, today: datetime.date) -> Line:
    """Whether the set is young enough, and who held the tape."""
    told = f"Taken {taken_on:%-d %B %Y} by {taken_by}"
    if taken_on > today:
        return Line(
            "measures", "Measures", f"{told}: that day is yet to come.", clean=False, way="correct"
        )
    clean = today - taken_on <= RECENT
    # No count of days in it: what was taken on yesterday is the same today.
    words = f"{told}." if clean else f"{told}: measure again after half a year."
    return Line("measures", "Measures", words, clean=clean, may_pass=True, way="measure")


def changed(since: Iterable[str]) -> list[Line]:
    """A line when newer measures differ by more than the tape; none when they do not."""
    words = "; ".join(since)
    said = f"Newer measures differ by more than the tape: {words}."
    title = "Changed since"
    return [Line("changed", title, said, clean=False, may_pass=True, way="newest")] if words else []


def doubted(asked: int) -> Line:
    """Whether every reading in doubt was measured again, or said to be right by name.

    That name is kept with the set, so nothing else passes it over.
    """
    said = "Measure again, or say that it is as the tape said."
    return Line(
        "doubts",
        "Readings in doubt",
        said if asked else "None unanswered.",
        clean=not asked,
        way="correct",
    )


def figured(*, aimed: bool) -> Line:
    """Whether the cut's version has figures to aim by; without, somebody knows another way."""
    said = "This version has no figures, so nothing is aimed at."
    words = "Its figures are there." if aimed else said
    return Line("cut", "The cut", words, clean=aimed, may_pass=True, way="figures")


def complete(missing: Iterable[str], *, aimed: bool) -> Line:
    """Whether every target of the cut has the measures it needs. It cannot be passed over."""
    words = " ".join(missing)
    none = "All taken." if aimed else "The cut asks for none."
    return Line("missing", "Points for this garment", words or none, clean=not words, way="correct")


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


def cloth_unmatched() -> Line:
    """A check whose repeat nobody measured: how much it takes is not told."""
    words = "A check: measure its repeat, along the cloth, and write it down."
    return Line("cloth", "Cloth", words, clean=False, way="cloth")


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
            way="correct",
        )
    wants = f"It takes {cloth.told_length(need.length, unit)} ({need.words})"
    if have is None:
        return Line(
            "cloth",
            title,
            f"{wants}: how long the piece is, nobody entered. Measure it.",
            clean=False,
            way="cloth",
        )
    there = cloth.told_length(have, unit)
    if have >= need.length:
        return Line("cloth", title, f"{wants}; the piece has {there}.", clean=True)
    short = cloth.told_length(need.length - have, unit)
    words = f"{wants}; the piece has {there}: {short} too short."
    return Line("cloth", title, words, clean=False, may_pass=True, way="cloth")


def least_days(kind: str, fittings: int = 0) -> int:
    """The fewest working days with so many fittings; with the kind's usual number for 0."""
    basted, between, finished = LEAST_DAYS[kind]
    return basted + ((fittings or FITTINGS[kind]) - 1) * between + finished


def working_days(today: datetime.date, day: datetime.date) -> int:
    """Days of a week of Monday to Friday from today on and before ``day``."""
    return max(int(np.busday_count(today, day)), 0)


def promised(kind: str, day: datetime.date | None, today: datetime.date) -> Line:
    """Whether there are working days enough, Monday to Friday, until the promised day."""
    title = "Promise"
    if day is None:
        return Line("promise", title, "No day promised.", clean=True)
    if day < today:
        words = f"{day:%-d %B %Y} is gone by: agree another day with the customer."
        return Line("promise", title, words, clean=False, way="promise")
    least = least_days(kind)
    days = working_days(today, day)
    if days >= least:
        return Line("promise", title, f"{days} working days until {day:%-d %B %Y}.", clean=True)
    fittings = FITTINGS[kind]
    words = (
        f"Promised for {day:%-d %B %Y}: fewer working days than the {least} it takes at least,"
        f" with {fittings} fittings."
    )
    return Line("promise", title, words, clean=False, may_pass=True, way="promise")
