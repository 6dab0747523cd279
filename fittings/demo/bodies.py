"""Bodies that vary together as real ones do, and what a tape finds on them. Pure.

How height and girths vary together is fitted to 247 men by `tests/demo/fit_bodies.py`: G. Heinz,
L. J. Peterson, R. W. Johnson and C. J. Kerk, Exploring Relationships in Body Dimensions, Journal
of Statistics Education 11(2), 2003. The points that data set lacks follow the proportionate
formulas of W. D. F. Vincent (VS 39) and, where there is none, shares of the height (common
practice, no source), each with its own spread.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.random import Generator

from customers.lengths import Length

# Printed by tests/demo/fit_bodies.py: exp of the mean logarithm in cm, spread of the logarithm.
FITTED: Final = MappingProxyType(
    {
        "height": (177.60, 0.0404),
        "chest": (100.73, 0.0722),
        "waist": (84.09, 0.1018),
        "seat": (97.57, 0.0632),
        "thigh": (56.34, 0.0743),
        "upper-arm": (34.27, 0.0876),
        "calf": (37.11, 0.0713),
        "wrist": (17.17, 0.0528),
        "shoulders": (116.32, 0.0558),
    }
)
CORRELATION: Final = (
    (1.00, 0.25, 0.21, 0.36, 0.24, 0.21, 0.24, 0.34, 0.30),
    (0.25, 1.00, 0.72, 0.68, 0.60, 0.78, 0.47, 0.56, 0.83),
    (0.21, 0.72, 1.00, 0.81, 0.57, 0.49, 0.52, 0.38, 0.59),
    (0.36, 0.68, 0.81, 1.00, 0.79, 0.59, 0.65, 0.46, 0.65),
    (0.24, 0.60, 0.57, 0.79, 1.00, 0.67, 0.70, 0.40, 0.61),
    (0.21, 0.78, 0.49, 0.59, 0.67, 1.00, 0.48, 0.62, 0.77),
    (0.24, 0.47, 0.52, 0.65, 0.70, 0.48, 1.00, 0.54, 0.49),
    (0.34, 0.56, 0.38, 0.46, 0.40, 0.62, 0.54, 1.00, 0.55),
    (0.30, 0.83, 0.59, 0.65, 0.61, 0.77, 0.49, 0.55, 1.00),
)
CM: Final = 2.54  # in an inch
ARM_HANGS: Final = 0.93  # of the girth of the same arm bent, as bdims has it; no source
READ_TWICE: Final = ("chest", "waist", "seat")
TAPE: Final = 0.15  # inches: what two readings of one girth differ by; trade-wide about 1/4 in


@dataclass(frozen=True, slots=True)
class Body:
    """One man. ``girths`` in cm by measure; the rest says how he carries himself.

    ``stoop`` and ``slope`` are inches off the proportionate figure: stooping above nothing and
    erect below, square-shouldered above and sloping below. ``low`` is the lower shoulder.
    """

    girths: Mapping[str, float]
    stoop: float
    slope: float
    low: str
    low_by: float

    def inches(self, measure: str) -> float:
        return self.girths[measure] / CM

    @property
    def drop(self) -> float:
        """Chest minus waist, inches."""
        return self.inches("chest") - self.inches("waist")


def draw_bodies(rng: Generator, count: int) -> list[Body]:
    """So many men, each measure log-normal, all of them together as fitted."""
    centre = np.log([mean for mean, _ in FITTED.values()])
    spread = np.array([deviation for _, deviation in FITTED.values()])
    covariance = np.outer(spread, spread) * np.array(CORRELATION)
    rows = np.exp(rng.multivariate_normal(centre, covariance, size=count))
    return [_carried(rng, dict(zip(FITTED, map(float, row), strict=True))) for row in rows]


def _carried(rng: Generator, girths: dict[str, float]) -> Body:
    # The right shoulder is the lower in over half of men: a tailor in the press (GQ).
    low = str(rng.choice(["R", "L", ""], p=[0.52, 0.13, 0.35]))
    return Body(
        girths=girths,
        stoop=float(rng.normal(0.05, 0.42)),
        slope=float(rng.normal(-0.05, 0.38)),
        low=low,
        low_by=float(rng.uniform(0.2, 0.6)) if low else 0.0,
    )


def aged(rng: Generator, body: Body, years: float) -> Body:
    """The same man later: a little more waist, a little more stoop; common practice, no source."""
    grown = 1 + years * float(rng.normal(0.006, 0.008))
    follows = {"chest": 0.4, "waist": 1.0, "seat": 0.5, "thigh": 0.3, "upper-arm": 0.3}
    girths = {name: value * grown ** follows.get(name, 0.0) for name, value in body.girths.items()}
    return replace(body, girths=girths, stoop=body.stoop + 0.04 * years)


def measure(rng: Generator, body: Body, unit: str) -> dict[tuple[str, str], Length]:
    """What the tape finds at every point, to the eighth of an inch or the half centimetre."""
    found = {
        place: _read(value + float(rng.normal(0, TAPE / 2)), unit)
        for place, value in {**_girths(body), **_coat(body), **_lengths(rng, body)}.items()
    }
    return {**found, **_styled(body, unit)}


def read_again(
    rng: Generator, measures: Mapping[tuple[str, str], Length], unit: str, wander: float
) -> dict[tuple[str, str], Length]:
    """The girths of the trunk a second time, ``wander`` times as far off as ``TAPE``."""
    return {
        (point, ""): _read(
            float(measures[point, ""].mm) / 25.4 + float(rng.normal(0, TAPE * wander)), unit
        )
        for point in READ_TWICE
    }


def _girths(body: Body) -> dict[tuple[str, str], float]:
    arm, wrist, thigh = (
        body.inches("upper-arm") * ARM_HANGS,
        body.inches("wrist"),
        body.inches("thigh"),
    )
    return {
        ("height", ""): body.inches("height"),
        ("neck", ""): 7.2 + 0.21 * body.inches("chest"),
        ("chest", ""): body.inches("chest"),
        ("waist", ""): body.inches("waist"),
        ("seat", ""): body.inches("seat"),
        ("upper-arm", "L"): arm - 0.1,
        ("upper-arm", "R"): arm + 0.1,
        ("wrist", "L"): wrist,
        ("wrist", "R"): wrist,
        ("trouser-waist", ""): body.inches("waist") + 1,
        ("thigh", "L"): thigh,
        ("thigh", "R"): thigh,
        ("calf", ""): body.inches("calf"),
    }


def _coat(body: Body) -> dict[tuple[str, str], float]:
    """Scye depth, front shoulder, over shoulder and across chest by VS 39, off it as he stands."""
    chest, broad = body.inches("chest"), body.girths["shoulders"] / FITTED["shoulders"][0]
    over = chest / 3 + 5 + body.slope
    half_back = 7.75 * (chest / 39.66) ** 0.7
    return {
        ("shoulder-length", "L"): 6.1 * broad,
        ("shoulder-length", "R"): 6.1 * broad,
        ("depth-of-scye", ""): chest / 6 + 3 + body.stoop,
        ("front-shoulder", ""): chest / 4 + 3.5 - body.stoop / 2,
        ("over-shoulder", "L"): over - (body.low_by if body.low == "L" else 0),
        ("over-shoulder", "R"): over - (body.low_by if body.low == "R" else 0),
        ("half-back", "L"): half_back,
        ("half-back", "R"): half_back,
        ("across-chest", ""): chest / 4 - 1,
    }


def _lengths(rng: Generator, body: Body) -> dict[tuple[str, str], float]:
    height = body.inches("height")
    waist, legs = float(rng.normal(0, 0.15)), float(rng.normal(0, 0.2))
    side, leg = 0.602 * height + legs, 0.452 * height + legs
    elbow, cuff = 0.3 * height, 0.466 * height + float(rng.normal(0, 0.2))
    return {
        ("nape-to-waist", ""): 0.242 * height + body.stoop / 2 + waist,
        ("nape-to-floor", ""): 0.86 * height,
        ("sleeve-to-elbow", "L"): elbow,
        ("sleeve-to-elbow", "R"): elbow,
        ("sleeve-to-cuff", "L"): cuff,
        ("sleeve-to-cuff", "R"): cuff,
        ("side-length", "L"): side,
        ("side-length", "R"): side,
        ("leg-length", "L"): leg,
        ("leg-length", "R"): leg,
        ("sitting-rise", ""): side - leg,
    }


def _styled(body: Body, unit: str) -> dict[tuple[str, str], Length]:
    """What fashion chooses, said rather than measured."""
    height, thigh = body.inches("height"), body.inches("thigh")
    return {
        ("nape-to-full-length", ""): _read(0.435 * height, unit),
        ("waistcoat-opening", ""): _read(0.178 * height, unit),
        ("waistcoat-length", ""): _read(0.372 * height, unit),
        ("knee", ""): _read(0.82 * thigh, unit),
        ("bottom", ""): _read(0.72 * thigh, unit),
    }


def _read(inches: float, unit: str) -> Length:
    if unit == "cm":
        return Length.of_mm(5 * round(inches * CM * 2))
    return Length.inches(Fraction(round(inches * 8), 8))
