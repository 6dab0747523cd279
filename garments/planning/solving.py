"""The exact choice of amounts: a mixed integer programme solved by HiGHS through SciPy.

A unit is a choice on one side, or on both by the same amount. Its amount is a whole number of
steps. Objectives in turn, each held while the next is sought: the weighted distance outside the
tolerances, the seams opened, (the distance to the targets,) the minutes, what else moves. Exact
for lengths in 64ths of an inch and tenths of a millimetre: their smallest difference, 3125 nm, is
a hundred times what is let slip.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

from customers.lengths import Length
from garments import seams
from garments.planning.rows import Choice, Deviation, Place, PlanningError

HELD: Final = 1e-5  # steps that a distance may slip while the next objective is sought
HALF: Final = 0.5
FAR: Final = 1e5  # steps; no measure that can be written lies so far from any other
INFEASIBLE: Final = 2  # SciPy's status
SEAM: Final = 10_000  # minutes
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Unit:
    """A choice on `side`, of at most `cap` steps. `times` is by place, for one step of amount."""

    choice: Choice
    side: str
    cap: int

    @property
    def places(self) -> tuple[Place, ...]:
        return tuple((self.choice.seam, side) for side in self.choice.covered(self.side))

    @property
    def times(self) -> Mapping[Place, Fraction]:
        return self.choice.moved(self.side)

    def minutes(self, steps: int) -> int:
        one = self.choice.base_minutes + self.choice.minutes_per_step * steps
        return one * len(self.places) if steps else 0


@dataclass(frozen=True, slots=True)
class Problem:
    """Units that share `room` (steps of inlay by place); places `open_already` cost nothing."""

    units: Sequence[Unit]
    deviations: Sequence[Deviation]
    room: Mapping[Place, int]
    step: Length
    open_already: frozenset[Place] = frozenset()
    to_target: bool = False


def solve(problem: Problem) -> list[int]:
    """The steps of each unit, in the order of the units."""
    if not problem.units or not problem.deviations:
        return [0] * len(problem.units)
    layout = _Layout(problem)
    beyond, *others = layout.objectives()
    # Most garments can be brought right: then nothing needs to be sought outside the tolerances.
    found = _in_turn(layout, others, layout.inside)
    if found is None:
        found = _in_turn(layout, [beyond, *others], layout.most)
    if found is None:
        raise PlanningError("No plan can be worked out from these figures.")
    return [round(value) for value in found[: len(problem.units)]]


def _in_turn(layout: "_Layout", objectives: Sequence[Vector], most: Vector) -> Vector | None:
    """The least of each objective in turn, each held from then on; None when nothing fits."""
    rows, lows, highs = layout.constraints()
    found: Vector | None = None
    for objective in objectives:
        limits = LinearConstraint(np.array(rows), np.array(lows), np.array(highs))
        result = _solved(objective, limits, layout.whole, Bounds(np.zeros(layout.width), most))
        if result is None:
            return None
        found = result.x
        rows.append(objective)
        lows.append(-np.inf)
        # Seams and minutes are whole numbers: half of one is none.
        highs.append(result.fun + (HELD if objective[layout.beyond :].any() else HALF))
    return found


def _solved(objective: Vector, limits: LinearConstraint, whole: Vector, bounds: Bounds) -> Any:
    """SciPy's result, None when nothing fits.

    Once in some hundreds HiGHS gives up in its presolve (status 4); it solves the same without.
    """
    for presolve in (True, False):
        options = {"mip_rel_gap": 0.0, "presolve": presolve}
        result = milp(
            objective, constraints=limits, integrality=whole, bounds=bounds, options=options
        )
        if result.status == INFEASIBLE:
            return None
        if result.x is not None:
            return result
    raise PlanningError("No plan can be worked out from these figures.")


class _Layout:
    """The columns and rows of a problem.

    Columns: steps of each unit, whether it is done, whether each place is opened, how far each
    measure stays outside its tolerance, and how far from its target.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.places = sorted({place for unit in problem.units for place in unit.places})
        units, places, measures = len(problem.units), len(self.places), len(problem.deviations)
        self.done, self.open = units, 2 * units
        self.beyond = self.open + places
        self.off = self.beyond + measures
        self.width = self.off + (measures if problem.to_target else 0)
        # A place is opened when something is done there: that it is whole follows.
        self.whole = np.array([1] * self.open + [0] * (self.width - self.open))
        caps = [unit.cap for unit in problem.units]
        self.most = np.array(
            [*caps, *[1] * (units + places), *[FAR] * (self.width - self.beyond)], dtype=float
        )
        self.inside = self.most.copy()
        self.inside[self.beyond : self.off] = 0

    def objectives(self) -> list[Vector]:
        """What is made least, first things first."""
        beyond, off, opened, minutes, unasked = (np.zeros(self.width) for _ in range(5))
        asked = {row.place for row in self.problem.deviations}
        for i, row in enumerate(self.problem.deviations):
            beyond[self.beyond + i] = row.weight
            if self.problem.to_target:
                off[self.off + i] = row.weight
        for i, place in enumerate(self.places):
            opened[self.open + i] = 0 if place in self.problem.open_already else 1
        for i, unit in enumerate(self.problem.units):
            minutes[i] = unit.choice.minutes_per_step * len(unit.places)
            minutes[self.done + i] = unit.choice.base_minutes * len(unit.places)
            # Of plans alike in all else, the one that moves least of what nobody measured.
            unasked[self.done + i] = len(unit.times.keys() - asked)
        if not self.problem.to_target:
            # Both are whole numbers: a seam outweighs all the minutes there can be.
            return [beyond, opened * SEAM + minutes, unasked]
        # Seams and operations are chosen by the tolerances; only then is the target sought with
        # them: nothing is opened, or done against something else, for the sake of an eighth.
        begun = minutes.copy()
        begun[: self.done] = 0
        return [beyond, opened * SEAM + begun, off, minutes, unasked]

    def constraints(self) -> tuple[list[Vector], list[float], list[float]]:
        rows: list[Vector] = []
        lows: list[float] = []
        highs: list[float] = []

        def add(cells: Mapping[int, float], low: float, high: float) -> None:
            row = np.zeros(self.width)
            for column, value in cells.items():
                row[column] = value
            rows.append(row)
            lows.append(low)
            highs.append(high)

        self._of_units(add)
        self._of_measures(add)
        return rows, lows, highs

    def _of_units(self, add: Any) -> None:
        units = self.problem.units
        for i, unit in enumerate(units):
            add({i: 1, self.done + i: -unit.cap}, -np.inf, 0)
            for place in unit.places:
                add({self.done + i: 1, self.open + self.places.index(place): -1}, -np.inf, 0)
        for (i, one), (j, other) in combinations(enumerate(units), 2):
            if one.choice.opposes(other.choice) and set(one.places) & set(other.places):
                add({self.done + i: 1, self.done + j: 1}, -np.inf, 1)
        for place in self.places:
            using = [
                i
                for i, unit in enumerate(units)
                if unit.choice.inlay == seams.USES and place in unit.places
            ]
            if len(using) > 1:
                add(dict.fromkeys(using, 1), -np.inf, self.problem.room.get(place, 0))

    def _of_measures(self, add: Any) -> None:
        step = self.problem.step.nm
        for i, row in enumerate(self.problem.deviations):
            moved = {
                j: float(times)
                for j, unit in enumerate(self.problem.units)
                if (times := unit.times.get(row.place))
            }
            low, high = ((end - row.found).nm / step for end in (row.low, row.high))
            add(moved | {self.beyond + i: 1}, low, np.inf)
            add(moved | {self.beyond + i: -1}, -np.inf, high)
            if self.problem.to_target:
                aim = (row.target - row.found).nm / step
                add(moved | {self.off + i: 1}, aim, np.inf)
                add(moved | {self.off + i: -1}, -np.inf, aim)
