"""What one past garment needed at each place of its pattern, in nanometres with a sign. Pure."""

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from customers.lengths import Length
from garments.memory.families import Family, way_of, why_not

CURED, BETTER_, SAME, WORSE, UNJUDGED = "cured", "better", "same", "worse", ""
HELPED: Final = (CURED, BETTER_)
# What was better and not cured was right in its direction; that its amount was right nobody said.
# So the amount counts, with the weight of the oldest garment. A step on the way to a cure counts
# in full.
BETTER: Final = 0.6  # common practice, no source


@dataclass(frozen=True, slots=True)
class Place:
    """One line of the pattern: family, seam key, and side L, R or none."""

    family: Family
    seam: str
    side: str


@dataclass(frozen=True, slots=True)
class Done:
    """An alteration that stands, with the last verdict that stands; empty: nobody judged it."""

    operation: str
    seam: str
    side: str
    amount: Length | None
    verdict: str


@dataclass(frozen=True, slots=True)
class Carried:
    """A change that was in the garment's pattern from the start."""

    operation: str
    seam: str
    side: str
    amount: Length


@dataclass(frozen=True, slots=True)
class Past:
    """A garment cut before. `done` is in the order it was decided.

    `settled` is one that left the house: where nothing was altered on it, nothing was needed. One
    still in work, replaced, or cut again in a piece says nothing of places nobody judged.
    `changed` names the points the figure has changed at since it was cut; `cut` its house cut.
    """

    name: str
    cut_on: datetime.date
    settled: bool = True
    changed: tuple[str, ...] = ()
    cut: str = ""
    done: tuple[Done, ...] = ()
    carried: tuple[Carried, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An alteration that helped and yet changes no pattern, with the reason."""

    garment: str
    operation: str
    seam: str
    side: str
    why: str


@dataclass(slots=True)
class _Tally:
    """A place of one garment while its alterations are gone through in turn."""

    carried: int = 0
    cured: int = 0
    better: int = 0  # helped, and no cure followed yet
    idle: int = 0  # done and without use: a later one the other way only takes it back
    judged: bool = False
    unjudged: bool = False

    def add(self, amount: int, verdict: str) -> None:
        if verdict == UNJUDGED:
            self.unjudged = True
            return
        self.judged = True
        if verdict not in HELPED:
            self.idle += amount
            return
        amount = self._beyond_taking_back(amount)
        if verdict == BETTER_:
            self.better += amount
            return
        # The cure came on top of what was better before, if both went one way.
        if self.better * amount >= 0:
            self.cured, self.better = self.cured + self.better, 0
        self.cured += amount

    def _beyond_taking_back(self, amount: int) -> int:
        if self.idle * amount >= 0:
            return amount
        back = min(abs(self.idle), abs(amount)) * (1 if amount > 0 else -1)
        self.idle += back
        return amount - back

    @property
    def need(self) -> int:
        return self.carried + self.cured + self.better

    @property
    def trust(self) -> float:
        return BETTER if self.better or self.unjudged else 1.0


@dataclass(frozen=True, slots=True)
class Told:
    """What the alterations of one garment say: by place the need and how far it is trusted."""

    needs: Mapping[Place, tuple[int, float]]
    silent: frozenset[Place]
    left_out: tuple[LeftOut, ...]


def needs_of(garment: Past) -> Told:
    """The needs of a garment where anything was carried or judged.

    ``silent`` are places of which it says nothing: carried and not looked at, or altered and never
    judged. Zero and absent amounts, and operations without a place in the pattern, are left out.
    """
    tallies: dict[Place, _Tally] = {}
    left_out = []
    for row in garment.carried:
        for place, sign in places_of(row.operation, row.seam, row.side):
            tallies.setdefault(place, _Tally()).carried += sign * row.amount.nm
    for done in garment.done:
        found = list(places_of(done.operation, done.seam, done.side)) if done.amount else []
        for place, sign in found:
            tallies.setdefault(place, _Tally()).add(
                sign * (done.amount or Length()).nm, done.verdict
            )
        if not found and done.verdict in HELPED and done.operation != "leave":
            left_out.append(
                LeftOut(garment.name, done.operation, done.seam, done.side, _why(done.operation))
            )
    silent = {p for p, t in tallies.items() if not t.judged and (t.unjudged or not garment.settled)}
    needs = {place: (t.need, t.trust) for place, t in tallies.items() if place not in silent}
    return Told(needs, frozenset(silent), tuple(left_out))


def places_of(operation: str, seam: str, side: str) -> Iterator[tuple[Place, int]]:
    """The places an operation moves, with its sign: both sides are two places."""
    way = way_of(operation)
    if way is None:
        return
    family, sign = way
    for each in ("L", "R") if side == "both" else (side,):
        yield Place(family, seam, each), sign


def _why(operation: str) -> str:
    return "no amount was written" if way_of(operation) else why_not(operation)


def all_places(told: Iterable[Told]) -> set[Place]:
    return {place for one in told for place in one.needs}
