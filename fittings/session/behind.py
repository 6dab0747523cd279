"""What may be behind what was seen of a garment: the tool proposes, the fitter decides.

Plain values for the screen and for the record, from the standing observations of one session.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log
from typing import Any, Final

from customers import figure as bodies
from customers.lengths import Length
from fittings import catalogue
from fittings.catalogue import Catalogue, Cause
from fittings.diagnosis import (
    DiagnosisError,
    Evidence,
    Explanation,
    Learnt,
    Look,
    Network,
    Piece,
    Ranked,
    Sign,
    amount_words,
    evidence_of,
    explain,
    leanings,
    network_for,
    odds_words,
    tell_apart,
    with_looks,
)
from fittings.models import Observation, SpotAnswer

Place = tuple[str, str]
SHOWN: Final = 4  # causes on the screen: what a fitter can weigh at a glance
RECORDED: Final = 10  # causes kept as proposed; those below were not said
LEAST: Final = 0.1  # less likely causes are not offered, but for the first
WORTH: Final = 0.02  # bits a look must promise to be named


@dataclass(frozen=True)
class Said:
    """What one sign, clean zone or finding says of a cause: `Collar clean`, `speaks against`.

    `odds` is by how much: `odds ÷ 4.2`.
    """

    what: str
    how: str
    odds: str
    speaks_for: bool


@dataclass(frozen=True)
class CauseLine:
    """A cause as proposed, with the reasons; `tells` is what tells it from the others."""

    cause: Cause
    rank: int
    band: str
    reasons: Sequence[Said]
    tells: str

    @property
    def speaking_for(self) -> list[Said]:
        return [each for each in self.reasons if each.speaks_for]

    @property
    def speaking_against(self) -> list[Said]:
        return [each for each in self.reasons if not each.speaks_for]


@dataclass(frozen=True)
class Proposal:
    """What is proposed of a garment, and what stays on record of it.

    `other` names the signs that something not listed may well be behind; `look` is the zone not
    spoken of yet, `test` what is done on the spot, that should tell most between the causes shown;
    `left_out` names signs left out so that the rest can be weighed.
    """

    lines: Sequence[CauseLine] = ()
    none: str = ""
    other: Sequence[str] = ()
    look: catalogue.Zone | None = None
    test: catalogue.SpotTest | None = None
    left_out: Sequence[str] = ()
    record: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class _Garment:
    """All that a proposal rests on."""

    book: Catalogue
    kind: str
    stage: str
    figure: bodies.Figure
    measures_out: Mapping[Place, Length]
    network: Network


def propose(
    book: Catalogue,
    kind: str,
    stage: str,
    seen: Sequence[Observation],
    *,
    answers: Sequence[SpotAnswer] = (),
    body: Mapping[Place, Length],
    measures_out: Mapping[Place, Length],
    learnt: Learnt | None = None,
) -> Proposal:
    """The causes behind what stands of a garment; nothing is proposed before a fault is seen.

    `answers`: what tests on the spot said; `body`: the customer's measures; `measures_out`: how
    far the garment itself is off its targets.
    """
    if not any(row.fault for row in seen):
        return Proposal()
    figure = bodies.read(body)
    network = network_for(book, kind, figure=figure, measures_out=measures_out, learnt=learnt)
    tested = _tested(book, network, answers)
    network = with_looks(network, [look for look, _ in tested])
    garment = _Garment(book, kind, stage, figure, measures_out, network)
    signs = [Sign(row.zone, row.fault, row.side) for row in seen]
    read = evidence_of(book, kind, signs, stage=stage)
    read = Evidence((*read.pieces, *(piece for _, piece in tested)))
    found, evidence, left_out = _explained(network, read)
    shown = _shown(garment, found, evidence)
    words = _piece_words(book, kind, seen) | {
        piece.key: f"{look.words} {'Yes' if piece.present else 'No'}" for look, piece in tested
    }
    look, test = _next_look(garment, evidence, signs, [row.cause for row in shown])
    likely_other = (key for key, p in found.other.items() if p >= 0.5)  # noqa: PLR2004 - the half
    return Proposal(
        lines=[_line(garment, row, evidence, words) for row in shown],
        none=found.none_band,
        other=[words.get(key, key) for key in likely_other],
        look=look,
        test=test,
        left_out=[words.get(key, key) for key in left_out],
        record=_record(found, evidence),
    )


def _tested(
    book: Catalogue, network: Network, answers: Sequence[SpotAnswer]
) -> list[tuple[Look, Piece]]:
    """Each test that was answered, and its answer as evidence; one dropped since says nothing."""
    rows = {row.key: row for row in book.tests}
    found = []
    for answer in (each for each in answers if each.test in rows):
        look = _trial(network, rows[answer.test])
        name = frozenset({look.key} if look.yes else ())
        there, not_there = (name, frozenset[str]()) if answer.yes else (frozenset[str](), name)
        found.append((look, Piece(look.key, there, not_there)))
    return found


def _trial(network: Network, test: catalogue.SpotTest) -> Look:
    yes = {key: test.likelihood(key) for key in test.yes if key in network.priors}
    return Look(f"test {test.key}", test.asks, yes=yes)


def record_of(
    book: Catalogue, kind: str, stage: str, seen: Sequence[Observation], network: Network
) -> dict[str, Any]:
    """What stays on record of a proposal by this network, without its words."""
    signs = [Sign(row.zone, row.fault, row.side) for row in seen]
    evidence = evidence_of(book, kind, signs, stage=stage)
    found, evidence, _ = _explained(network, evidence)
    return _record(found, evidence)


def _explained(network: Network, evidence: Evidence) -> tuple[Explanation, Evidence, list[str]]:
    """The evidence explained, less the least telling signs where there are too many to weigh."""
    left_out: list[str] = []
    while True:
        try:
            return explain(network, evidence=evidence), evidence, left_out
        except DiagnosisError as error:
            drop = [piece.key for piece in evidence.pieces if piece.present & set(error.drop)]
            if not drop:
                raise
            evidence, left_out = evidence.without(drop), [*left_out, *drop]


def _shown(garment: _Garment, found: Explanation, evidence: Evidence) -> list[Ranked]:
    """The likeliest causes that show as something that was seen: another's place is its prior's."""
    behind = {
        cause
        for piece in evidence.pieces
        for fault in piece.present
        for cause in garment.network.causes_of[fault]
    }
    ranked = [row for row in found.causes if row.cause in behind][:SHOWN]
    return [row for place, row in enumerate(ranked) if not place or row.probability >= LEAST]


def _line(
    garment: _Garment, row: Ranked, evidence: Evidence, words: Mapping[str, str]
) -> CauseLine:
    reasons = [
        Said(words.get(reason.piece, reason.piece), reason.words, reason.odds, reason.log_odds > 0)
        for reason in row.telling
    ]
    known = leanings(garment.kind, garment.figure, garment.measures_out)
    for leaning in (each for each in known if each.cause == row.cause):
        by = log(leaning.factor)
        reasons.append(Said(leaning.words.rstrip("."), amount_words(by), odds_words(by), by > 0))
    return CauseLine(
        cause=garment.book.cause_by_key[row.cause],
        rank=row.rank,
        band=row.band,
        reasons=reasons,
        tells=_tells(garment.book, row, evidence),
    )


def _tells(book: Catalogue, row: Ranked, evidence: Evidence) -> str:
    """What tells the cause from others, by the sign that speaks most for it."""
    present = {piece.key for piece in evidence.pieces if piece.present}
    for reason in (each for each in row.telling if each.piece in present):
        for link in book.links_by_fault.get(reason.piece.partition(":")[0], []):
            if link.cause == row.cause and link.tells:
                return link.tells
    return ""


def _next_look(
    garment: _Garment, evidence: Evidence, signs: Sequence[Sign], shown: Sequence[str]
) -> tuple[catalogue.Zone | None, catalogue.SpotTest | None]:
    """The zone not spoken of and the test on the spot that should tell most between the causes."""
    if not shown:
        return None, None
    spoken_of = {sign.zone for sign in signs}
    kind = catalogue.read_as(garment.kind)
    zones = {row.key: row for row in garment.book.zones if row.kind == kind}
    rows = garment.book.tests_for(shown, garment.kind, garment.stage)
    tests = {f"test {row.key}": row for row in rows}
    looks = [Look(key, shows=_showing(garment, key)) for key in zones if key not in spoken_of]
    # A test answered already is a fault of the network by now, and no look any more.
    looks += [
        _trial(garment.network, row)
        for key, row in tests.items()
        if key not in garment.network.leaks
    ]
    told = tell_apart(garment.network, evidence.present, evidence.absent, looks, among=shown)
    worth = [each.look.key for each in told if each.bits >= WORTH]
    return (
        next((zones[key] for key in worth if key in zones), None),
        next((tests[key] for key in worth if key in tests), None),
    )


def _showing(garment: _Garment, zone: str) -> list[str]:
    kind = catalogue.read_as(garment.kind)
    return [
        row.key
        for row in garment.book.faults
        if (row.kind, row.zone) == (kind, zone) and garment.stage in row.stages
    ]


def _piece_words(book: Catalogue, kind: str, seen: Sequence[Observation]) -> dict[str, str]:
    """Each sign in words, by the keys the evidence has for them."""
    zones = {row.key: row.name for row in book.zones if row.kind == catalogue.read_as(kind)}
    words = {}
    for row in seen:
        zone = zones.get(row.zone, row.zone)
        fault = book.fault_by_key.get(row.fault)
        label = f"{zone}: {fault.label.lower()}" if fault else f"{zone} clean"
        for side in ("", "L", "R", "both"):
            words[Sign(row.zone, row.fault, side).key] = label
    return words


def _record(found: Explanation, evidence: Evidence) -> dict[str, Any]:
    """What stays on record of a proposal, as `CauseTaken.proposed` describes it."""
    return {
        "present": sorted(evidence.present),
        "absent": sorted(evidence.absent),
        "causes": [
            {"cause": row.cause, "probability": round(row.probability, 4), "rank": row.rank}
            for row in found.causes[:RECORDED]
        ],
        "none": round(found.none, 4),
    }
