"""Where things lie on the drawings: zones that answer a finger, places of the seams, pins on paper.

Pure data, read once from `places.toml`, with the look-ups around it. One unit is one CSS pixel at
the size the fitting screen shows the views side by side; x counts from the middle of a view to the
viewer's right, y from the top down. The wearer's left is on the viewer's right in a front view and
on the viewer's left in a back view.
"""

import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, NamedTuple, Protocol

from garments.arrows import arrow, beside
from garments.seams import SIDE_NAMES, UnknownKeyError, seam

FAULT, CLEAN, UNSEEN = "fault", "clean", ""
# The wearer's side on the viewer's right.
RIGHT_HAND: Final = MappingProxyType({"front": "L", "back": "R"})
OTHER: Final = MappingProxyType({"L": "R", "R": "L"})
# Parts of the type size: from row to row, from the top of a row to its base line, and the mean
# width of a letter of such words in Literata's semibold, measured.
ROW, BASE, LETTER = 1.1, 0.86, 0.5
CLEAR = 4.0  # between two pins of a margin


class Point(NamedTuple):
    x: float
    y: float


class Mark(Protocol):
    """What was found at a zone: `state` is fault, clean or empty; `count` the faults seen.

    It may also have a `side`: L, R, both or empty; both and empty stand for every place.
    """

    @property
    def state(self) -> str: ...
    @property
    def count(self) -> int: ...


class Found(NamedTuple):
    """The marks of one place added up."""

    state: str = UNSEEN
    faults: int = 0

    @property
    def words(self) -> str:
        if self.state != FAULT:
            return self.state
        return "1 fault" if self.faults == 1 else f"{self.faults} faults"


@dataclass(frozen=True)
class Zone:
    """One place of a zone in one view: the same key may lie left and right.

    `hit` are the corners of what answers a finger, `trace` the part itself as an SVG path, which is
    mirrored when `flip` is -1; `at` is where a mark is put.
    """

    key: str
    side: str
    hit: tuple[Point, ...]
    trace: str
    at: Point
    flip: int = 1

    @cached_property
    def name(self) -> str:
        words = self.key.replace("-", " ").capitalize()
        return f"{words}, {SIDE_NAMES[self.side]}" if self.side else words

    @cached_property
    def hit_path(self) -> str:
        return "M" + "L".join(f"{x:g} {y:g}" for x, y in self.hit) + "Z"

    def mirrored(self) -> "Zone":
        """The same on the other side of the garment."""
        hit = tuple(Point(-x, y) for x, y in self.hit)
        at = Point(-self.at.x, self.at.y)
        return replace(self, side=OTHER[self.side], hit=hit, at=at, flip=-self.flip)


class Place(NamedTuple):
    """A point on a seam in one view."""

    view: str
    seam: str
    side: str
    at: Point


@dataclass(frozen=True)
class View:
    """One drawing. `zones` come in the order they are read, from the top down."""

    kind: str
    key: str
    title: str
    desc: str
    width: int
    height: int
    buttons: tuple[int, ...]
    zones: tuple[Zone, ...]
    places: tuple[Place, ...]

    @property
    def art(self) -> str:
        """The template that holds the lines."""
        return f"drawings/{self.kind}_{self.key}.svg"

    @property
    def pin_radius(self) -> float:
        """Big enough to read when printed 45 mm high: about 1.8 mm, a 7 point figure."""
        return round(self.height * 0.04, 1)

    @property
    def word_size(self) -> float:
        """Of the words beside a pin: 10 point when printed 36 mm high."""
        return round(self.height * 0.098, 1)

    @property
    def arrow_length(self) -> float:
        """4 mm when printed 36 mm high."""
        return round(self.height * 0.105, 1)


class Pin(NamedTuple):
    """A numbered place: the line of a ticket, at a seam, on a side (L, R, both or empty).

    `words` are printed beside the number, a row each; `sign` (`garments.seams.ways`) is drawn at
    the seam.
    """

    seam: str
    side: str
    number: int | str
    sign: str = ""
    words: tuple[str, ...] = ()


class PlacedPin(NamedTuple):
    """A pin in the margin at `x`, `y`, with the point its leader runs to.

    `rows` are its words with the base line of each, from `text_x` outwards; `arrow` is an SVG path.
    """

    number: int | str
    x: float
    y: float
    radius: float
    to: Point
    rows: tuple[tuple[str, float], ...] = ()
    arrow: str = ""

    @property
    def on_right(self) -> bool:
        return self.x > 0

    @property
    def text_x(self) -> float:
        clear = self.radius * 1.25
        return round(self.x + (clear if self.on_right else -clear), 1)

    @property
    def type_size(self) -> float:
        """Size of its figure: one figure fills the disc, two or more still stay inside."""
        return round(self.radius * (1.3 if len(str(self.number)) == 1 else 1.05), 1)

    @property
    def drop(self) -> float:
        """From its middle down to the base line, so that the figure is centred."""
        return round(self.type_size * 0.36, 1)


class Sheet(NamedTuple):
    """A view with its pins: the part of the plane to show, left, top, width, height."""

    box: tuple[float, float, float, float]
    pins: tuple[PlacedPin, ...]


class UnknownViewError(UnknownKeyError):
    """No drawing of that garment from there."""


def views(kind: str) -> tuple[View, ...]:
    """The drawings of a kind of garment: front, back and, for coats, the left side."""
    try:
        return tuple(_VIEWS[kind].values())
    except KeyError:
        raise UnknownViewError(f"There is no drawing of a {kind}.") from None


def pinned_views(kind: str, pins: Iterable[Pin]) -> tuple[View, ...]:
    """The drawings a ticket needs: those on which at least one of the pins lies."""
    every = tuple(pins)
    return tuple(v for v in views(kind) if any(_places_in(v, pin) for pin in every))


def view(kind: str, key: str) -> View:
    try:
        return _VIEWS[kind][key]
    except KeyError:
        raise UnknownViewError(f"There is no drawing of the {key} of a {kind}.") from None


def zone_keys(kind: str) -> frozenset[str]:
    return frozenset(zone.key for each in views(kind) for zone in each.zones)


def zone_views(kind: str, key: str) -> tuple[str, ...]:
    """The views a zone is seen in; empty when the garment has no such zone."""
    return tuple(v.key for v in views(kind) if any(zone.key == key for zone in v.zones))


def seam_places(kind: str, key: str, side: str = "") -> tuple[Place, ...]:
    """The points that stand for a seam.

    On a sided seam a side gives one point, both or none gives two; a seam there is one of
    gives its point whatever the side. Raises UnknownSeamError for a seam the garment lacks.
    """
    seam(kind, key)
    found = [p for v in views(kind) for p in v.places if p.seam == key]
    return tuple(p for p in found if side not in OTHER or p.side in ("", side))


def found_at(zone: Zone, marks: Mapping[str, Mark | Iterable[Mark]]) -> Found:
    """What to show at a place: faults outweigh clean, and their counts add up."""
    given = marks.get(zone.key, ())
    every = given if isinstance(given, Iterable) else (given,)
    here = [m for m in every if _falls_on(zone, getattr(m, "side", ""))]
    faults = [m.count for m in here if m.state == FAULT]
    if faults:
        return Found(FAULT, sum(faults))
    return Found(CLEAN) if any(m.state == CLEAN for m in here) else Found()


def lay_out(shown: View, pins: Iterable[Pin]) -> Sheet:
    """Put the pins of this view in its margins, level with their seams, never touching.

    A pin whose seam lies in another view is left to that view.
    """
    wanted = list(_apart(shown, pins))
    right: list[tuple[Pin, Place]] = []
    left: list[tuple[Pin, Place]] = []
    for pin, place in sorted(wanted, key=lambda w: (w[1].at.y, w[1].at.x)):
        on_right = place.at.x > 0 or (place.at.x == 0 and len(right) < len(left))
        (right if on_right else left).append((pin, place))
    radius = shown.pin_radius
    edge = shown.width / 2 + radius + 3
    placed = (*_column(shown, left, -edge), *_column(shown, right, edge))
    reach = max((_reach(shown, len(pin.rows)) for pin in placed), default=radius) + 2
    top = min((0.0, *(pin.y - reach for pin in placed)))
    foot = max((float(shown.height), *(pin.y + reach for pin in placed)))
    half = edge + radius + 2 + _words_width(shown, placed)
    return Sheet((-half, top, 2 * half, foot - top), placed)


def _apart(shown: View, pins: Iterable[Pin]) -> Iterator[tuple[Pin, Place]]:
    """Every pin with its places here; several signs at one place stand along its seam."""
    taken: Counter[Place] = Counter()
    for pin in pins:
        for place in _places_in(shown, pin):
            nth = taken[place]
            taken[place] += bool(pin.sign)
            if pin.sign:
                at = Point(*beside(place.seam, place.at, nth, shown.arrow_length))
                yield pin, Place(place.view, place.seam, place.side, at)
            else:
                yield pin, place


def _column(shown: View, wanted: list[tuple[Pin, Place]], x: float) -> tuple[PlacedPin, ...]:
    reaches = [_reach(shown, len(pin.words)) for pin, _ in wanted]
    gaps = [one + other + CLEAR for one, other in pairwise(reaches)]
    heights = spread([place.at.y for _, place in wanted], gaps)
    return tuple(
        PlacedPin(
            pin.number,
            x,
            y,
            shown.pin_radius,
            place.at,
            _rows(shown, pin.words, y),
            arrow(pin.sign, shown.key, place.seam, place.at, shown.arrow_length),
        )
        for (pin, place), y in zip(wanted, heights, strict=True)
    )


def _reach(shown: View, rows: int) -> float:
    """From the middle of a pin up or down to where the next may begin."""
    return max(shown.pin_radius, rows * shown.word_size * ROW / 2)


def _rows(shown: View, words: tuple[str, ...], y: float) -> tuple[tuple[str, float], ...]:
    step = shown.word_size * ROW
    first = y - step * len(words) / 2 + shown.word_size * BASE
    return tuple((text, round(first + step * i, 1)) for i, text in enumerate(words))


def _words_width(shown: View, placed: Iterable[PlacedPin]) -> float:
    longest = max((len(text) for pin in placed for text, _ in pin.rows), default=0)
    return round(longest * shown.word_size * LETTER, 1)


def spread(wanted: list[float], gaps: Iterable[float]) -> list[float]:
    """Heights as near to the rising ones wanted as can be, at least the `gaps` between them apart.

    Near in least squares. Pooling of adjacent violators (Ayer and others, Annals of Mathematical
    Statistics, 1955) on the heights less the gaps above them.
    """
    above = list(accumulate(gaps, initial=0.0))
    pools: list[tuple[float, int]] = []
    for height, gap in zip(wanted, above, strict=False):
        pool = (height - gap, 1)
        while pools and pools[-1][0] > pool[0]:
            mean, size = pools.pop()
            pool = ((mean * size + pool[0] * pool[1]) / (size + pool[1]), size + pool[1])
        pools.append(pool)
    level = [mean for mean, size in pools for _ in range(size)]
    return [round(height + gap, 1) for height, gap in zip(level, above, strict=False)]


def _places_in(shown: View, pin: Pin) -> list[Place]:
    return [p for p in seam_places(shown.kind, pin.seam, pin.side) if p.view == shown.key]


def _falls_on(zone: Zone, side: str) -> bool:
    return not zone.side or side not in OTHER or side == zone.side


def _read_zones(key: str, row: Mapping[str, Any]) -> tuple[Zone, ...]:
    zones = []
    for z in row["zone"]:
        side = RIGHT_HAND[key] if z.get("twice") else z.get("side", "")
        hit = tuple(Point(*corner) for corner in z["hit"])
        zone = Zone(z["key"], side, hit, z["trace"], Point(*z["at"]))
        zones += [zone, zone.mirrored()] if z.get("twice") else [zone]
    return tuple(sorted(zones, key=lambda z: (z.at.y, z.at.x)))


def _read_places(key: str, row: Mapping[str, Any]) -> tuple[Place, ...]:
    places = [Place(key, k, "", Point(*at)) for k, at in row.get("seams", {}).items()]
    for k, at in row.get("seam_pairs", {}).items():
        right, (x, y) = RIGHT_HAND[key], at
        places += [Place(key, k, right, Point(x, y)), Place(key, k, OTHER[right], Point(-x, y))]
    for k, sides in row.get("seam_sides", {}).items():
        places += [Place(key, k, side, Point(*at)) for side, at in sides.items()]
    return tuple(places)


def _read() -> Mapping[str, Mapping[str, View]]:
    tables = tomllib.loads((Path(__file__).parent / "places.toml").read_text(encoding="utf-8"))
    plain = ("title", "desc", "width", "height")
    return MappingProxyType(
        {
            kind: MappingProxyType(
                {
                    key: View(
                        kind=kind,
                        key=key,
                        buttons=tuple(row["buttons"]),
                        zones=_read_zones(key, row),
                        places=_read_places(key, row),
                        **{name: row[name] for name in plain},
                    )
                    for key, row in tables[kind].items()
                }
            )
            for kind in tables
        }
    )


_VIEWS: Final = _read()
