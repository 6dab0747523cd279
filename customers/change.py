"""Has the figure changed, or only the tape? Two sets compared, and trends over three and more.

The error of one reading comes from ISO 20685, which says how far a trained hand and a scanner may
lie apart by the kind of measure (printed in Anthropometry, Apparel Sizing and Design, p. 41: "AD
41"). The standard says it of a mean over many people. Here it is read as what two takings of one
unchanged body by a trained hand stay within 95 times in 100; the technical error of measurement
(AD 34: sqrt(sum d^2 / 2N), the error of one reading) is then that limit over 1.96 and the root of
two: 3.2 mm on a large girth. Barrios and others (BMC Medical Research Methodology 16:49, 2016)
found 0.8 to 7.6 mm for taped girths of waist, hip and neck, the unit being centimetres by context.
To it comes the tape's grain: trade tapes are read to 1/8 in (common practice, no source).

Two measurers who hold the tape differently add a bias that no figure here can know.
A changed figure is no finding of health.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import hypot, sqrt
from statistics import NormalDist, fmean
from typing import Final

from customers.lengths import NM, Length
from customers.points import BY_KEY

Key = tuple[str, str]
Measures = Mapping[Key, Length]
Dated = tuple[datetime.date, Length]

LEVEL: Final = 0.05
FEWEST_FOR_TREND: Final = 3
DAYS_A_YEAR: Final = 365.25
_AT_95: Final = NormalDist().inv_cdf(0.975)
_GRAIN_MM: Final = 25.4 / 8
# A reading rounded to the grain is off by anything up to half of it, evenly.
_ROUNDING: Final = _GRAIN_MM / sqrt(12)
_STEP: Final = {"in": Fraction(1, 8), "cm": Fraction(1, 10)}
_YEARLY_STEP: Final = {"in": Fraction(1, 16), "cm": Fraction(1, 20)}  # a slope is finer than a tape

LARGE_GIRTH, SMALL_GIRTH = "large girth", "small girth"
HEIGHT, SEGMENT, BREADTH = "height", "segment length", "breadth"
WISHED: Final = "as wished"  # chosen, not found on the body: no error, and no change of figure


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of measure: the published limit, and the technical error it comes to, both in mm."""

    name: str
    limit: float
    source: str = "ISO 20685, AD 41"

    @property
    def error(self) -> float:
        """The technical error of measurement, without the tape's grain."""
        return self.limit / _AT_95 / sqrt(2)

    @property
    def spread(self) -> float:
        """The standard deviation of one reading, the tape's grain within."""
        return hypot(self.error, _ROUNDING)


KINDS: Final = {
    kind.name: kind
    for kind in (
        Kind(LARGE_GIRTH, 9),
        Kind(SMALL_GIRTH, 4),
        Kind(HEIGHT, 4),
        Kind(SEGMENT, 5),
        Kind(BREADTH, 4),  # of the whole breadth: for a half it is on the careful side
        Kind(WISHED, 0, "none: fashion chooses it"),
    )
}
# Which girths are large is our own reading (trunk and thigh); so is the nape's height a height.
_KIND_OF: Final = {
    **dict.fromkeys(("neck", "upper-arm", "forearm", "wrist", "calf"), SMALL_GIRTH),
    **dict.fromkeys(("height", "nape-to-floor"), HEIGHT),
}
_BY_POINT_KIND: Final = {"girth": LARGE_GIRTH, "breadth": BREADTH, "length": SEGMENT}


def kind_of(point: str) -> Kind:
    """The kind of measure a point is, by its key."""
    if BY_KEY[point].style:
        return KINDS[WISHED]
    return KINDS[_KIND_OF.get(point) or _BY_POINT_KIND[BY_KEY[point].kind]]


def error_of(point: str, level: float = LEVEL) -> Length:
    """What two readings of an unchanged body may differ by, but for ``level`` of them.

    Half a grain more than the quantile, since both are read to the grain: without it 3/8 in on a
    waist would be called a change eight times in a hundred.
    """
    kind = kind_of(point)
    if kind.name == WISHED:
        return Length()
    return _of_mm(_quantile(level) * sqrt(2) * kind.spread + _GRAIN_MM / 2)


@dataclass(frozen=True, slots=True)
class Change:
    """What a point changed by, what the tape alone may differ by, and which of the two it is."""

    delta: Length
    error: Length
    changed: bool
    words: str


def compare(
    earlier: Measures, later: Measures, *, unit: str = "in", level: float = LEVEL
) -> dict[Key, Change]:
    """The change of every point that both sets hold; told in ``unit``.

    ``level`` is the share of unchanged points, each looked at by itself, that may be called
    changed, up or down.
    """
    return {
        key: _change(key[0], later[key] - before, unit, level)
        for key, before in earlier.items()
        if key in later
    }


def changed_together(
    earlier: Measures, later: Measures, *, unit: str = "in", level: float = LEVEL
) -> dict[Key, Change]:
    """Only the points of the body that have changed; ``level`` holds for all of them together.

    Forty unchanged points, one in twenty of them called changed, would raise a false alarm on
    nearly every garment. Bonferroni's correction shares the level among the points compared.
    """
    compared = [key for key in earlier if key in later and kind_of(key[0]) is not KINDS[WISHED]]
    shared = level / max(1, len(compared))
    changes = compare({key: earlier[key] for key in compared}, later, unit=unit, level=shared)
    return {key: change for key, change in changes.items() if change.changed}


def _change(point: str, delta: Length, unit: str, level: float) -> Change:
    error = error_of(point, level)
    changed = abs(delta) > error
    return Change(delta, error, changed, _words(delta, error, unit, changed=changed))


def _words(delta: Length, error: Length, unit: str, *, changed: bool) -> str:
    signed = delta.text(unit, signed=True)
    # What is too small to write is nothing: 97.8 cm and 38 1/2 in.
    if not changed and signed == f"0 {unit}":
        return "same"
    if not error:
        return f"{signed}, {WISHED}"
    return f"{signed}{'' if changed else ', no change'} ({error_text(error, unit)})"


def error_text(error: Length, unit: str) -> str:
    """The largest difference that is no change, as a tape shows it: ``± 3/8 in``."""
    step = Length.of(_STEP[unit], unit)
    return f"\N{PLUS-MINUS SIGN} {(step * (error.nm // step.nm)).text(unit)}"


@dataclass(frozen=True, slots=True)
class Trend:
    """A point's yearly change by a straight line, with the interval it is likely in."""

    slope: Length
    low: Length
    high: Length
    changed: bool
    words: str


def trend(
    point: str, series: Sequence[Dated], *, unit: str = "in", level: float = LEVEL
) -> Trend | None:
    """The change a year over three or more dated readings; None for fewer, or all of one day.

    Least squares with the error of a reading known (``Kind.spread``); where the readings scatter
    about the line by more than that, with what they scatter by. An interval holding nought is no
    change. What is chosen and not measured has no trend.
    """
    kind = kind_of(point)
    years = [taken.toordinal() / DAYS_A_YEAR for taken, _ in series]
    if len(series) < FEWEST_FOR_TREND or len(set(years)) == 1 or kind.name == WISHED:
        return None
    slope, spread = _line(years, [length.nm / NM["mm"] for _, length in series])
    deviations = sqrt(sum((year - fmean(years)) ** 2 for year in years))
    margin = _quantile(level) * max(kind.spread, spread) / deviations
    yearly, low, high = (_of_mm(value) for value in (slope, slope - margin, slope + margin))
    changed = not low <= Length() <= high
    words = _trend_words(yearly, low, high, unit, changed=changed)
    return Trend(yearly, low, high, changed, words)


def _line(years: Sequence[float], values: Sequence[float]) -> tuple[float, float]:
    """The slope of the least-squares line, and the standard deviation about it."""
    middle, level = fmean(years), fmean(values)
    across = [year - middle for year in years]
    squares = sum(x * x for x in across)
    slope = sum(x * (y - level) for x, y in zip(across, values, strict=True)) / squares
    about = sum((y - level - slope * x) ** 2 for x, y in zip(across, values, strict=True))
    return slope, sqrt(about / (len(years) - 2))


def _trend_words(slope: Length, low: Length, high: Length, unit: str, *, changed: bool) -> str:
    told, least, most = (
        length.text(unit, _YEARLY_STEP[unit], signed=True) for length in (slope, low, high)
    )
    if not changed:
        return f"no change that the tape can tell (between {least} and {most} a year)"
    return f"{told} a year (between {least} and {most})"


def _quantile(level: float) -> float:
    """How many standard deviations are exceeded, up or down, with probability ``level``."""
    if not 0 < level < 1:
        raise ValueError(f"a level lies between 0 and 1, not {level}")
    return NormalDist().inv_cdf(1 - level / 2)


def _of_mm(value: float) -> Length:
    return Length(round(value * NM["mm"]))
