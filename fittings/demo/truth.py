"""Why the demo's garments do not fit: causes hidden from the record, and the faults they show as.

What is true of the house is said in the package's docstring. Causes and links are the
catalogue's; how often a cause occurs is made up (no source). Pure.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from numpy.random import Generator

from customers.lengths import Length
from fittings import catalogue
from fittings.demo.bodies import Body
from garments.seams import EIGHTH

FLAWED: Final = ("Wren", 1)  # the close cut's first version: narrow in back, shoulder and chest
NARROW: Final = MappingProxyType(
    {"back-too-narrow": 0.5, "shoulder-width-narrow": 0.25, "chest-small": 0.25}
)
FLAW_NEEDS_RECUT: Final = 0.5  # of the flawed cut's own causes
ANY_NEEDS_RECUT: Final = 0.012
NEXT_TIME: Final = 0.3  # of a figure's causes come again once a garment has taught them
BY_CHANCE: Final = MappingProxyType(
    {
        "coat": {
            "sleeve-long": 0.15,
            "sleeve-short": 0.08,
            "waist-loose": 0.09,
            "waist-tight": 0.06,
            "sleeve-pitch-forward": 0.07,
            "sleeve-pitch-back": 0.05,
            "sleeve-setting": 0.07,
            "scye-too-tight": 0.05,
            "collar-too-long": 0.05,
            "cut-long": 0.06,
            "button-point-low": 0.04,
            "canvas-or-edge-fault": 0.05,
            "hips-tight": 0.04,
            "neck-too-high": 0.03,
            "shoulder-width-wide": 0.05,
            "back-too-narrow": 0.02,
            "chest-small": 0.02,
            "lining-tight": 0.03,
            "vent-making": 0.03,
        },
        "waistcoat": {
            "waist-loose": 0.14,
            "cut-short": 0.07,
            "cut-long": 0.06,
            "no-neck-spring": 0.08,
            "chest-large": 0.06,
            "opening-cut-low": 0.05,
        },
        "trousers": {
            "cut-long": 0.18,
            "waist-loose": 0.12,
            "waist-tight": 0.08,
            "hips-tight": 0.07,
            "seat-angle-small": 0.09,
            "back-rise-long": 0.08,
            "fork-small": 0.06,
            "leg-too-open": 0.06,
            "leg-slim": 0.05,
            "front-rise-short": 0.05,
            "stance-hips-forward": 0.05,
            "calf-prominent": 0.04,
        },
    }
)
ONE_SIDED: Final = frozenset({"sleeve-long", "sleeve-short", "sleeve-setting", "cut-long"})


@dataclass(frozen=True, slots=True)
class Sign:
    """A fault a cause shows as in this garment, side and amount as a careful eye finds them."""

    fault: catalogue.Fault
    side: str
    amount: Length | None


@dataclass(slots=True)
class Hidden:
    """A cause at work in a garment. ``eighths`` is how far it is out; ``recut``: past altering."""

    cause: str
    side: str
    eighths: int
    recut: bool
    signs: tuple[Sign, ...] = ()


def draw_causes(
    rng: Generator, kind: str, body: Body, cut: tuple[str, int], learnt: frozenset[str]
) -> list[Hidden]:
    """What is wrong with a garment as it leaves the board.

    ``cut`` is the name and version of its cut; ``learnt`` the causes earlier garments of the
    customer have shown, which the cutter now allows for.
    """
    row = catalogue.read_as(kind)
    chances = dict(BY_CHANCE[row])
    for cause, chance in _figure_causes(row, body):
        chances[cause] = chances.get(cause, 0) + chance * (NEXT_TIME if cause in learnt else 1)
    flaws = NARROW if row == "coat" and cut == FLAWED else {}
    for cause, chance in flaws.items():
        chances[cause] = chances.get(cause, 0) + chance
    return [
        _hidden(rng, row, cause, FLAW_NEEDS_RECUT if cause in flaws else ANY_NEEDS_RECUT)
        for cause, chance in chances.items()
        if rng.random() < chance
    ]


def _figure_causes(kind: str, body: Body) -> Iterator[tuple[str, float]]:
    """Causes that lie in the figure, each with its chance."""
    if kind == "trousers":
        yield "front-tight-over-belly", 0.4 * _beyond(4.5 - body.drop, 0, 3)
        yield "seat-flat", 0.1
        return
    yield "back-balance-short", 0.75 * _beyond(body.stoop, 0.2, 0.5)
    yield "back-balance-long", 0.5 * _beyond(-body.stoop, 0.2, 0.5)
    yield "shoulder-too-square", 0.7 * _beyond(-body.slope, 0.2, 0.5)
    yield "shoulder-too-sloping", 0.6 * _beyond(body.slope, 0.2, 0.5)
    if body.low:
        yield f"low-shoulder-{body.low}", (0.9 if kind == "coat" else 0.35) * body.low_by / 0.6
    if kind == "coat":
        yield "front-balance-short", 0.35 * _beyond(-body.stoop, 0.2, 0.5)
        yield "waist-tight", 0.35 * _beyond(4.5 - body.drop, 0, 3)


def _beyond(value: float, start: float, span: float) -> float:
    """Nothing up to ``start``, then rising to one over ``span``."""
    return min(max((value - start) / span, 0.0), 1.0)


def _hidden(rng: Generator, kind: str, cause: str, recut_chance: float) -> Hidden:
    side = cause[-1] if cause.startswith("low-shoulder-") else "both"
    if cause in ONE_SIDED:
        side = str(rng.choice(["both", "L", "R"], p=[0.6, 0.15, 0.25]))
    eighths = 2 + min(int(rng.geometric(0.5)) - 1, 4)
    hidden = Hidden(cause, side, eighths, recut=bool(rng.random() < recut_chance))
    hidden.signs = tuple(_signs(rng, kind, hidden))
    return hidden


def make_cause(rng: Generator, kind: str, cause: str) -> Hidden:
    """The very ``cause`` asked for, showing as one fault at least, and not past altering."""
    while not (hidden := _hidden(rng, catalogue.read_as(kind), cause, 0)).signs:
        continue
    return hidden


def _signs(rng: Generator, kind: str, hidden: Hidden) -> Iterator[Sign]:
    """The faults it shows as: each link of the catalogue holds or not, one by one."""
    book = catalogue.load()
    for link in book.links:
        fault = book.fault_by_key[link.fault]
        if link.cause != hidden.cause or fault.kind != kind:
            continue
        if link.side and hidden.side not in (link.side, "both"):
            continue
        if rng.random() < link.probability:
            side = (link.side or hidden.side) if fault.sided else ""
            seen = max(1, hidden.eighths + int(rng.integers(-1, 2)))
            yield Sign(fault, side, EIGHTH * seen if fault.measured else None)
