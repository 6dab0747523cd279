"""How soon garments come back, when most have not yet had the time to.

E. L. Kaplan and P. Meier, "Nonparametric estimation from incomplete observations", J. Am. Stat.
Assoc. 53 (1958) 457-481; Greenwood's variance (1926), and the band on the log(-log) scale, point by
point, as R. G. Miller, "Survival Analysis" (1981) and J. D. Kalbfleisch and R. L. Prentice (1980)
give it. Own code although SciPy has the curve: the record gives counts by day, not a row a garment.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist

from fittings.rates.proportions import LEVEL

# With fewer than this left to come back one garment is a leap: there the curve ends.
FEWEST_AT_RISK = 5


@dataclass(frozen=True, slots=True)
class Step:
    """From ``day`` on this share is still out: ``stays`` with its limits; ``error`` is its s.e.

    ``at_risk`` were out just before and not yet past their watching; ``back`` came on that day.
    The limits are None where all or none are out: the formula knows none there.
    """

    day: int
    at_risk: int
    back: int
    stays: float
    error: float
    low: float | None
    high: float | None

    @property
    def returned(self) -> float:
        return 1 - self.stays


@dataclass(frozen=True, slots=True)
class Returning:
    """The steps by their days, and the last day any garment was watched on."""

    steps: tuple[Step, ...]
    watched: int


def returning(rows: Iterable[tuple[int, bool, int]], fewest: int = FEWEST_AT_RISK) -> Returning:
    """The curve from rows of (days, came back on that day or was only watched to it, garments).

    It ends where fewer than ``fewest`` are left. Who is lost on a day is still at risk on it.
    Raises ValueError for negative days or counts.
    """
    back: dict[int, int] = {}
    gone: dict[int, int] = {}
    for day, came, garments in rows:
        if day < 0 or garments < 0:
            raise ValueError(f"days and counts are 0 or more, not {day}, {garments}")
        gone[day] = gone.get(day, 0) + garments
        back[day] = back.get(day, 0) + (garments if came else 0)
    at_risk = sum(gone.values())
    steps: list[Step] = []
    stays, greenwood = 1.0, 0.0
    for day in sorted(gone):
        if at_risk < fewest:
            break
        if back[day]:
            stays *= 1 - back[day] / at_risk
            left = at_risk - back[day]
            greenwood += back[day] / (at_risk * left) if left else 0.0
            error = stays * sqrt(greenwood)
            steps.append(Step(day, at_risk, back[day], stays, error, *_band(stays, error)))
        at_risk -= gone[day]
    return Returning(tuple(steps), max(gone, default=0))


def _band(stays: float, error: float) -> tuple[float | None, float | None]:
    """The limits at ``LEVEL``; None where all or none are out."""
    if not 0 < stays < 1:
        return None, None
    z = NormalDist().inv_cdf((1 + LEVEL) / 2)
    half = z * error / (stays * log(stays))  # negative: the log of a share is
    return exp(log(stays) * exp(-half)), exp(log(stays) * exp(half))
