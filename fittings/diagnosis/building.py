"""The network of one kind of garment from the catalogue, and what was seen as its evidence.

A fault that can be on the left or the right is four findings of the network: `key` (wherever it
is), `key:L`, `key:R`, and `key:other`, the same on the other side too. Seen on one side alone,
`key:other` is absent. Both sides are cut at once, through two layers of cloth, so a cause in the
cut often shows on both, and one side alone speaks against it; so does the wearer's own shape, two
calves as two seats; what was made, or stood so, sits on one side more easily; and a cause with a
side of its own, such as a low shoulder, shows nowhere else.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from customers.figure import Figure
from customers.lengths import Length
from fittings.catalogue import Catalogue, Cause, Fault, Link, read_as
from fittings.diagnosis.leanings import leanings
from fittings.diagnosis.network import Network

LEAK: Final = 0.01  # that a fault shows though no listed cause is there; common practice, no source
OTHER: Final = "other"
# How often a cause without a side, that shows on one side, shows on the other too, by where it
# lies; whatever the strength of its link. Common practice, no source.
BOTH_SIDES: Final = {"cut": 0.5, "making": 0.25, "figure": 0.5, "posture": 0.25}


@dataclass(frozen=True)
class Learnt:
    """What the house's own cases put in the place of the catalogue's values, by their keys."""

    priors: Mapping[str, float] = field(default_factory=dict)
    links: Mapping[tuple[str, str], float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Sign:
    """A zone as it was read: one fault with its side ("L", "R", "both", ""), or clean without."""

    zone: str
    fault: str = ""
    side: str = ""

    @property
    def key(self) -> str:
        """What names it among the signs of a garment."""
        return f"{self.fault}:{self.side}".rstrip(":") if self.fault else f"zone {self.zone}"


@dataclass(frozen=True, slots=True)
class Piece:
    """One sign as evidence: the findings it says are there, and those it says are not."""

    key: str
    present: frozenset[str]
    absent: frozenset[str]


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that was seen of a garment. A finding both there and not there counts as there."""

    pieces: tuple[Piece, ...]

    @property
    def present(self) -> frozenset[str]:
        return frozenset(name for piece in self.pieces for name in piece.present)

    @property
    def absent(self) -> frozenset[str]:
        return frozenset(name for piece in self.pieces for name in piece.absent) - self.present

    def without(self, keys: Collection[str]) -> "Evidence":
        return Evidence(tuple(piece for piece in self.pieces if piece.key not in keys))


def network_for(
    book: Catalogue,
    kind: str,
    *,
    stage: str = "",
    figure: Figure | None = None,
    measures_out: Mapping[tuple[str, str], Length] | None = None,
    learnt: Learnt | None = None,
) -> Network:
    """The causes and faults of a garment of this `kind`; with a `stage`, what shows at it.

    `figure` and `measures_out` make causes likelier or less likely (`leanings`). `learnt` stands
    in the place of the catalogue's priors and links; leanings come on top.
    """
    learnt = learnt or Learnt()
    faults = [row for row in faults_of(book, kind) if not stage or stage in row.stages]
    causes = [row for row in book.causes if read_as(kind) in row.kinds]
    odds = {row.key: _odds(learnt.priors.get(row.key, prior_of(row))) for row in causes}
    for leaning in leanings(kind, figure, measures_out):
        if leaning.cause in odds:
            odds[leaning.cause] *= leaning.factor
    links: dict[tuple[str, str], float] = {}
    for fault in faults:
        for link in book.links_by_fault.get(fault.key, []):
            value = learnt.links.get((link.cause, link.fault), link.probability)
            links |= {(link.cause, name): value for name in _shown(fault, link)}
            if fault.sided and not link.side:
                where = book.cause_by_key[link.cause].where
                links[link.cause, f"{fault.key}:{OTHER}"] = BOTH_SIDES[where]
    return Network(
        priors={cause: each / (1 + each) for cause, each in odds.items()},
        links=links,
        leaks={name: LEAK for fault in faults for name in findings_of(fault)},
    )


def evidence_of(book: Catalogue, kind: str, seen: Iterable[Sign], *, stage: str = "") -> Evidence:
    """What was read as evidence, for `network_for` of the same kind, the same sign once.

    A zone called clean says that every fault of it that shows at this stage is absent; a zone not
    spoken of says nothing. A fault the catalogue has dropped since is left out.
    """
    faults = faults_of(book, kind)
    by_key = {row.key: row for row in faults}
    pieces = []
    for sign in _joined(sign for sign in seen if not sign.fault or sign.fault in by_key):
        if sign.fault:
            pieces.append(_fault_piece(by_key[sign.fault], sign))
        else:
            here = [row for row in faults if row.zone == sign.zone]
            pieces.append(_clean_piece(sign, here, stage))
    return Evidence(tuple(pieces))


def _joined(seen: Iterable[Sign]) -> list[Sign]:
    """Each sign once; the same fault said of the left and of the right is said of both."""
    sides: dict[tuple[str, str], set[str]] = {}
    for sign in seen:
        sides.setdefault((sign.zone, sign.fault), set()).add(sign.side)
    return [
        Sign(zone, fault, next(iter(said)) if len(said) == 1 else "both")
        for (zone, fault), said in sides.items()
    ]


def faults_of(book: Catalogue, kind: str) -> list[Fault]:
    return [row for row in book.faults if row.kind == read_as(kind)]


def findings_of(fault: Fault) -> tuple[str, ...]:
    """What the network calls a fault: itself, and its sides where it has them."""
    sides = ("L", "R", OTHER) if fault.sided else ()
    return (fault.key, *(f"{fault.key}:{side}" for side in sides))


def prior_of(cause: Cause) -> float:
    """How likely a cause is before anything is known of the garment."""
    return cause.prior


def _fault_piece(fault: Fault, sign: Sign) -> Piece:
    other = frozenset({f"{fault.key}:{OTHER}"})
    if not fault.sided or not sign.side:
        return Piece(sign.key, frozenset({fault.key}), frozenset())
    if sign.side == "both":
        return Piece(sign.key, other | {fault.key}, frozenset())
    return Piece(sign.key, frozenset({f"{fault.key}:{sign.side}"}), other)


def _clean_piece(sign: Sign, here: Iterable[Fault], stage: str) -> Piece:
    absent = (row.key for row in here if not stage or stage in row.stages)
    return Piece(sign.key, frozenset(), frozenset(absent))


def _shown(fault: Fault, link: Link) -> Iterator[str]:
    """The findings a cause shows as through this link, but for the other side."""
    yield fault.key
    if fault.sided:
        yield from (f"{fault.key}:{side}" for side in ("L", "R") if link.side in ("", side))


def _odds(probability: float) -> float:
    return probability / (1 - probability)
