"""The points of measure of a coat, waistcoat and trousers: plain data, in the order of taking.

Each point says how it is taken, whether left and right are taken apart, the garments it serves,
its ISO 8559:1989 name where there is one, its source, and the span an adult is likely to be in.
Outside that span the measurer is asked, never refused. Spans with a source from `bdims` are those
of 507 active adults (Heinz, Peterson, Johnson and Kerk, Journal of Statistics Education 11(2),
2003), widened because a house also cuts for people less active than they were.
"""

from dataclasses import dataclass
from typing import Final, Literal

from customers.lengths import Length

Kind = Literal["girth", "length", "breadth"]

NO_SOURCE: Final = "common practice, no source"
SOURCES: Final = {
    "VS": "W. D. F. Vincent, Vincent's Systems of Cutting, about 1903",
    "CPG": "W. D. F. Vincent, The Cutter's Practical Guide, Part 1, 1898",
    "H": "G. F. Hertzer, Garment Cutting in the Twentieth Century, 1892",
    "EN": "EN 13402-1, size designation of clothes: body measures (wording read second-hand)",
    "AD": "Anthropometry, Apparel Sizing and Design (Woodhead), its list of ISO 8559:1989 names",
}
CAUTION: Final = (
    "Say which measure comes next before you touch, ask whether someone should be present, and "
    "keep to local law and the house's rule, above all with the young."
)

COAT: Final = ("coat", "overcoat")
UPPER: Final = ("coat", "overcoat", "waistcoat")
TROUSERS: Final = ("trousers",)
ALL: Final = ("coat", "overcoat", "waistcoat", "trousers")

GROUPS: Final = ("Neck and shoulders", "Body", "Arms", "Legs")
NECK_AND_SHOULDERS, BODY, ARMS, LEGS = GROUPS


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What an adult is likely to measure, and whence that is known."""

    low: Length
    high: Length
    whence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One point of measure. `style` marks what fashion chooses: it may change from year to year."""

    key: str
    name: str
    how: str
    group: str
    garments: tuple[str, ...]
    span: Span
    source: str = NO_SOURCE
    kind: Kind = "length"
    iso_name: str = ""
    sided: bool = False
    style: bool = False

    @property
    def sides(self) -> tuple[str, ...]:
        return ("L", "R") if self.sided else ("",)

    @property
    def low(self) -> Length:
        return self.span.low

    @property
    def high(self) -> Length:
        return self.span.high


def _span(low: float, high: float, whence: str = NO_SOURCE) -> Span:
    return Span(low=Length.inches(low), high=Length.inches(high), whence=whence)


def _by_formula(low: float, high: float, formula: str) -> Span:
    """The proportionate measure (VS 39) at chest 27 and 60, about an inch and a half wider."""
    return _span(low, high, f"{formula} (VS 39) at chest 27 to 60 in, widened")


def _of_bodies(low: float, high: float, measured: str) -> Span:
    return _span(low, high, f"bdims {measured} cm, widened")


POINTS: Final = (
    Point(
        key="height",
        name="Height",
        how="Barefoot and upright, heels together, floor to crown.",
        group=NECK_AND_SHOULDERS,
        garments=ALL,
        span=_of_bodies(54, 84, "147.2 to 198.1"),
    ),
    Point(
        key="neck",
        name="Neck",
        how="Round the neck, just below the Adam's apple in front, over the nape bone behind.",
        kind="girth",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_span(11, 22),
        source="EN",
        iso_name="neck girth",
    ),
    Point(
        key="shoulder-length",
        name="Shoulder length",
        how="From the side of the neck to the end of the shoulder bone.",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_span(3.5, 9),
        source="AD 96",
        iso_name="shoulder length",
        sided=True,
    ),
    Point(
        key="depth-of-scye",
        name="Depth of scye",
        how="From the nape down the back seam, to the level of the bottom of the armhole.",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_by_formula(6, 14.5, "a sixth of the chest and 3 in"),
        source="VS 39, VS 146",
        iso_name="scye depth",
    ),
    Point(
        key="front-shoulder",
        name="Front shoulder",
        how="From the nape, forward over the shoulder, to the bottom of the armhole in front.",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_by_formula(8.75, 20, "a quarter of the chest and 3 1/2 in"),
        source="VS 39",
        iso_name="neck-shoulder lengths",
    ),
    Point(
        key="over-shoulder",
        name="Over shoulder",
        how="From the scye level on the back seam, over the shoulder, to the armhole's front foot.",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_by_formula(12.5, 26.5, "a third of the chest and 5 in"),
        source="VS 39",
        sided=True,
    ),
    Point(
        key="half-back",
        name="Half back",
        how="Across the blades, from the centre back seam to the back of the armhole.",
        kind="breadth",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_span(5, 12),
        source="VS 60",
        iso_name="back width",
        sided=True,
    ),
    Point(
        key="across-chest",
        name="Across chest",
        how="Armhole to armhole in front; write down half of it.",
        kind="breadth",
        group=NECK_AND_SHOULDERS,
        garments=UPPER,
        span=_by_formula(4.25, 15.5, "a quarter of the chest less 1 in"),
        source="VS 39",
    ),
    Point(
        key="chest",
        name="Chest",
        how="Level, over the blades and close under the arms, breathing easily; the largest value.",
        kind="girth",
        group=BODY,
        garments=UPPER,
        span=_of_bodies(27, 60, "72.6 to 118.7"),
        source="EN, VS 39",
        iso_name="chest girth",
    ),
    Point(
        key="waist",
        name="Waist",
        how="Level in the hollow, about 2 in above the hip bones, tape easy.",
        kind="girth",
        group=BODY,
        garments=UPPER,
        span=_of_bodies(21, 60, "57.9 to 113.2"),
        source="VS 39, VS 60",
        iso_name="waist girth",
    ),
    Point(
        key="seat",
        name="Seat",
        how="Level and close, round the fullest part of the seat, pockets empty.",
        kind="girth",
        group=BODY,
        garments=(*COAT, "trousers"),
        span=_of_bodies(29, 64, "78.8 to 128.3"),
        source="H 10, VS 60",
        iso_name="hip girth",
    ),
    Point(
        key="nape-to-waist",
        name="Nape to waist",
        how="From the nape bone down the centre back to the natural waist.",
        group=BODY,
        garments=UPPER,
        span=_span(12, 23),
        source="VS 60, AD 96",
        iso_name="cervical to waist (back)",
    ),
    Point(
        key="nape-to-full-length",
        name="Nape to full length",
        how="On from the waist, down the centre back, to where the coat is to end.",
        group=BODY,
        garments=COAT,
        span=_span(20, 58),
        source="VS 60",
        style=True,
    ),
    Point(
        key="nape-to-floor",
        name="Nape to floor",
        how="From the nape bone straight down to the floor, without shoes.",
        group=BODY,
        garments=COAT,
        span=_span(44, 74),
    ),
    Point(
        key="waistcoat-opening",
        name="Waistcoat opening",
        how="From the nape, round the neck, down to the top of the opening.",
        group=BODY,
        garments=("waistcoat",),
        span=_span(7, 28),
        source="VS 39, VS 60",
        style=True,
    ),
    Point(
        key="waistcoat-length",
        name="Waistcoat length",
        how="From the nape, round the neck, down to where the point is to end.",
        group=BODY,
        garments=("waistcoat",),
        span=_span(18, 36),
        source="VS 39, VS 60",
        style=True,
    ),
    Point(
        key="sleeve-to-elbow",
        name="Sleeve to elbow",
        how="From the centre back, arm raised and bent, over the shoulder end to the elbow.",
        group=ARMS,
        garments=COAT,
        span=_span(14, 28),
        source="VS 60",
        sided=True,
    ),
    Point(
        key="sleeve-to-cuff",
        name="Sleeve to cuff",
        how="On from the elbow to the wrist bone; less the half back, this is the sleeve.",
        group=ARMS,
        garments=COAT,
        span=_span(23, 43),
        source="VS 60",
        iso_name="7th cervical to wrist",
        sided=True,
    ),
    Point(
        key="upper-arm",
        name="Upper arm",
        how="Round the fullest part of the upper arm, arm hanging.",
        kind="girth",
        group=ARMS,
        garments=COAT,
        span=_of_bodies(8, 21, "22.4 to 42.4"),
        source="AD 96",
        iso_name="upper arm girth",
        sided=True,
    ),
    Point(
        key="forearm",
        name="Forearm",
        how="Round the fullest part below the elbow, arm hanging; where sleeves are cut close.",
        kind="girth",
        group=ARMS,
        garments=COAT,
        span=_of_bodies(6.5, 16, "19.6 to 32.5"),
        sided=True,
    ),
    Point(
        key="wrist",
        name="Wrist",
        how="Round the wrist over the bone; say on which arm the watch is worn.",
        kind="girth",
        group=ARMS,
        garments=COAT,
        span=_of_bodies(4.5, 10, "13.0 to 19.6"),
        source="AD 96",
        iso_name="wrist girth",
        sided=True,
    ),
    Point(
        key="trouser-waist",
        name="Trouser waist",
        how="Round the body where the waistband is to sit.",
        kind="girth",
        group=LEGS,
        garments=TROUSERS,
        span=_of_bodies(21, 62, "57.9 to 121.1"),
        source="VS 12",
    ),
    Point(
        key="side-length",
        name="Side length",
        how="From the top of the waistband, down the outside of the leg, to the bottom.",
        group=LEGS,
        garments=TROUSERS,
        span=_span(31, 56),
        source="VS 12, VS 60",
        iso_name="outside leg length",
        sided=True,
    ),
    Point(
        key="leg-length",
        name="Leg length",
        how="From the fork down the inside to the bottom; the customer may hold the upper end.",
        group=LEGS,
        garments=TROUSERS,
        span=_span(22, 42),
        source="VS 12, VS 60",
        iso_name="inside leg length",
        sided=True,
    ),
    Point(
        key="sitting-rise",
        name="Sitting rise",
        how="Sitting upright on a flat chair: from the waist, at the side, to the chair.",
        group=LEGS,
        garments=TROUSERS,
        span=_span(6, 17),
        source="VS 60",
        iso_name="body rise",
    ),
    Point(
        key="thigh",
        name="Thigh",
        how="Close round the top of the leg; what the two legs differ by is the dress allowance.",
        kind="girth",
        group=LEGS,
        garments=TROUSERS,
        span=_of_bodies(16, 36, "46.3 to 75.7"),
        source="CPG 43",
        iso_name="thigh girth",
        sided=True,
    ),
    Point(
        key="knee",
        name="Knee",
        how="The width round the trouser at the knee, as it is to be made.",
        kind="girth",
        group=LEGS,
        garments=TROUSERS,
        span=_span(12, 30),
        source="VS 12",
        style=True,
    ),
    Point(
        key="calf",
        name="Calf",
        how="Round the fullest part of the calf, weight on both feet.",
        kind="girth",
        group=LEGS,
        garments=TROUSERS,
        span=_of_bodies(10, 24, "28.4 to 47.7"),
    ),
    Point(
        key="bottom",
        name="Bottom",
        how="The width round the trouser at the shoe, as it is to be made.",
        kind="girth",
        group=LEGS,
        garments=TROUSERS,
        span=_span(9, 30),
        source="VS 12",
        style=True,
    ),
)
BY_KEY: Final = {point.key: point for point in POINTS}


def for_garments(*kinds: str) -> tuple[Point, ...]:
    """The points that any of these garment kinds needs, in the order of taking."""
    return tuple(point for point in POINTS if set(kinds) & set(point.garments))
