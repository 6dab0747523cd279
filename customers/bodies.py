"""Which reading does not belong to this body: one normal distribution of log measures.

A body is about as many times larger all over as it is in one place, so the logarithms of the
measures vary together. The means and covariances below are those of the 507 adults of openintro's
`bdims` (Heinz, Peterson, Johnson and Kerk, Journal of Statistics Education 11(2), 2003). Men and
women are taken together: the ledger does not record sex, and on bodies not seen before one
distribution does as well as two. The script tests/customers/fit_bodies.py prints the numbers kept
here, says how the threshold was chosen, and compares the two ways.

Three signs of a slip: two readings fit much better changed over; one reading is far from what the
others let expect; all together they are seldom met with. The 507 were active adults, so a stout
customer is asked about more often than they would be. A question, never a refusal.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log, sqrt
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Why = Literal["swapped", "small", "large", "together"]

# In the order of the numbers below. The navel's girth stands for the trouser waist, and 0.93 of the
# bent arm's (common practice, no source) for the hanging arm.
MEASURED: Final = (
    "height",
    "chest",
    "waist",
    "seat",
    "trouser-waist",
    "thigh",
    "upper-arm",
    "forearm",
    "wrist",
    "calf",
)
# Neighbours on the sheet or of like size. Chest and seat are not among them: real bodies have
# either the larger, and asking would be asking about too many of them.
CONFUSED: Final = (
    ("chest", "waist"),
    ("waist", "seat"),
    ("forearm", "wrist"),
    ("upper-arm", "forearm"),
    ("upper-arm", "wrist"),
    ("thigh", "upper-arm"),
    ("thigh", "calf"),
)
TIMES_LIKELIER: Final = 20  # changed over than as written
# Standard deviations beyond the chest's: a coat cut wrong there is a coat cut again.
LATER: Final = {"chest": 0.0, "seat": 0.6, "trouser-waist": 0.6}
LATER_ELSEWHERE: Final = 1.4
FEWEST: Final = 2  # one reading alone is judged by its span


@dataclass(frozen=True, slots=True)
class Model:
    """Means of the logs of centimetres and, in millionths, their covariance (lower triangle).

    A chest is asked about from `chest_from` standard deviations on, other points from `LATER` more.
    """

    means: tuple[float, ...]
    covariance: tuple[tuple[int, ...], ...]
    chest_from: float


MODEL: Final = Model(
    means=(5.141, 4.5304, 4.3336, 4.5691, 4.4444, 4.0375, 3.3576, 3.25, 2.775, 3.5826),
    covariance=(
        (3015,),
        (3659, 11465),
        (4344, 13410, 19715),
        (1314, 4319, 6676, 4677),
        (1971, 7374, 11526, 6119, 11860),
        (521, 3040, 4635, 4350, 5025, 5927),
        (4423, 13289, 15782, 5350, 8575, 4383, 18584),
        (3948, 10423, 12243, 3926, 5971, 2938, 14041, 11930),
        (3266, 7627, 8946, 2752, 4197, 1645, 9968, 8508, 7361),
        (1976, 5148, 6996, 3613, 4475, 3803, 6907, 5790, 4388, 6195),
    ),
    chest_from=2.85,
)


@dataclass(frozen=True, slots=True)
class Oddity:
    """A reading that does not fit, why, the one it was changed over with, what would be usual."""

    point: str
    why: Why
    other: str = ""
    usual_cm: float = 0.0


def oddities(cm: Mapping[str, float], model: Model | None = None) -> list[Oddity]:
    """What does not fit in these readings (centimetres above zero by point), likeliest first.

    Points that are not in `MEASURED` are passed over; fewer than two of them say nothing.
    """
    chosen = model or MODEL
    points = tuple(point for point in MEASURED if point in cm)
    if len(points) < FEWEST:
        return []
    means, precision = _part(chosen, points)
    logs = np.log([cm[point] for point in points])
    body = _Body(points, logs, precision @ (logs - means), precision)
    return [
        *_changed_over(body),
        *_far_from_usual(body, chosen),
        *_seldom_together(body, float((logs - means) @ body.pull), chosen),
    ]


@dataclass(frozen=True, slots=True)
class _Body:
    """The logs, and how strongly the others pull each of them (precision times deviation)."""

    points: tuple[str, ...]
    logs: Array
    pull: Array
    precision: Array

    @property
    def scores(self) -> Array:
        """Each reading's distance from what the others let expect, in standard deviations."""
        score: Array = self.pull / np.sqrt(np.diag(self.precision))
        return score


@lru_cache(maxsize=1024)
def _part(model: Model, points: tuple[str, ...]) -> tuple[Array, Array]:
    """The means and the precision of these points alone: the others are left out, not guessed."""
    places = [MEASURED.index(point) for point in points]
    size = len(MEASURED)
    full = np.zeros((size, size))
    for row, values in enumerate(model.covariance):
        full[row, : row + 1] = full[: row + 1, row] = np.array(values) / 1e6
    precision = np.linalg.inv(full[np.ix_(places, places)]).astype(np.float64)
    return np.array(model.means)[places], precision


def _changed_over(body: _Body) -> Iterator[Oddity]:
    gains = []
    for first, second in CONFUSED:
        if first in body.points and second in body.points:
            gain = _gain(body, body.points.index(first), body.points.index(second))
            if gain > 2 * log(TIMES_LIKELIER):
                gains.append((gain, Oddity(first, "swapped", second)))
    yield from (oddity for _, oddity in sorted(gains, key=lambda pair: -pair[0]))


def _gain(body: _Body, one: int, other: int) -> float:
    """How much the squared distance from the mean shrinks when two readings change places."""
    step = body.logs[other] - body.logs[one]
    precision = body.precision
    bend = precision[one, one] + precision[other, other] - 2 * precision[one, other]
    return float(-2 * step * (body.pull[one] - body.pull[other]) - step * step * bend)


def _far_from_usual(body: _Body, model: Model) -> Iterator[Oddity]:
    far = []
    for place, point in enumerate(body.points):
        score = float(body.scores[place])
        beyond = abs(score) - model.chest_from - LATER.get(point, LATER_ELSEWHERE)
        if beyond > 0:
            usual = exp(body.logs[place] - body.pull[place] / body.precision[place, place])
            why: Why = "large" if score > 0 else "small"
            far.append((beyond, Oddity(point, why, usual_cm=usual)))
    yield from (oddity for _, oddity in sorted(far, key=lambda pair: -pair[0]))


def _seldom_together(body: _Body, distance: float, model: Model) -> Iterator[Oddity]:
    if distance > _far(len(body.points), model.chest_from + LATER_ELSEWHERE):
        yield Oddity(body.points[int(np.abs(body.scores).argmax())], "together")


def _far(size: int, deviations: float) -> float:
    """The squared distance as rare, in a normal cloud of this size, as one value so far out.

    E. B. Wilson and M. M. Hilferty, "The Distribution of Chi-Square", PNAS 17, 1931.
    """
    spread = 2 / (9 * size)
    return float(size * (1 - spread + deviations * sqrt(spread)) ** 3)
