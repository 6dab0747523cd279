"""Why a cause ranks where it does: what each sign and each clean zone says for or against it.

What a piece of evidence says of a cause is exact and leave-one-out: the log-odds of the cause on
all the evidence, less those on all but this piece. So two signs that say the same share nothing:
each says only what it adds to the others. Amounts are told in words by the half-decades of
Jeffreys (Theory of Probability, 3rd ed., appendix B: from memory) and probabilities in bands of the
calibrated language of the IPCC's guidance note on uncertainty (2010), never as figures; how much a
piece moves the odds stands beside its words as a factor.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, log1p
from typing import Any, Final

from fittings.diagnosis.building import Evidence, Piece
from fittings.diagnosis.network import Network, network_from
from fittings.diagnosis.walk import Weighed, weigh_each

# From this factor of the odds up; below the least a piece says nothing either way.
AMOUNTS: Final = ((10.0, "speaks strongly"), (10**0.5, "speaks"), (1.5, "hints"))
MOST_TOLD: Final = log(1000)  # beyond, the factor tells nobody more
BANDS: Final = (
    (0.9, "very likely"),
    (0.66, "likely"),
    (0.33, "about even"),
    (0.1, "not likely"),
    (0.0, "very unlikely"),
)


@dataclass(frozen=True, slots=True)
class Reason:
    """What one piece of evidence says of a cause: natural log-odds, above nothing when for it."""

    piece: str
    log_odds: float

    @property
    def words(self) -> str:
        """`speaks strongly for`, `hints against`; empty when it says nothing either way."""
        return amount_words(self.log_odds)

    @property
    def odds(self) -> str:
        """`odds × 4.2`: how much it moves the odds of the cause."""
        return odds_words(self.log_odds)


@dataclass(frozen=True, slots=True)
class Ranked:
    """One cause with its place, its odds, and the reasons, the strongest first."""

    cause: str
    rank: int
    odds: float
    reasons: tuple[Reason, ...]

    @property
    def probability(self) -> float:
        return self.odds / (1 + self.odds)

    @property
    def band(self) -> str:
        return band(self.probability)

    @property
    def telling(self) -> tuple[Reason, ...]:
        """The reasons that say something."""
        return tuple(reason for reason in self.reasons if reason.words)


@dataclass(frozen=True, slots=True)
class Explanation:
    """Causes ranked, and what is left to something that is not on the list.

    `none`: the probability that no listed cause of these signs is there. `other`: by sign, the
    probability that something not listed had a part in it.
    """

    causes: tuple[Ranked, ...]
    none: float
    other: Mapping[str, float]

    @property
    def none_band(self) -> str:
        return band(self.none)


def explain(
    network: Network | Mapping[str, Any],
    present: Sequence[str] = (),
    absent: Sequence[str] = (),
    *,
    evidence: Evidence | None = None,
    most: int | None = None,
) -> Explanation:
    """The causes ranked by these faults, or by `evidence` in pieces, with each one's reasons.

    Reasons are worked out for the first `most` causes, all when None. Of equal causes the one the
    network names first comes first. DiagnosisError as `posterior`.
    """
    network = network_from(network)
    evidence = evidence or Evidence(
        (
            *(Piece(fault, frozenset({fault}), frozenset()) for fault in present),
            *(Piece(fault, frozenset(), frozenset({fault})) for fault in absent),
        )
    )
    without = [evidence.without([piece.key]) for piece in evidence.pieces]
    # P(leak, evidence): with the leak on, the sign shows whatever the causes do.
    unasked = [each.present for each in without]
    cases = [(evidence.present, evidence.absent)]
    cases += [(each.present, each.absent) for each in without]
    cases += [(present, evidence.absent) for present in unasked]
    whole, *rest = weigh_each(network, cases)
    keys = [piece.key for piece in evidence.pieces]
    lacking = dict(zip(keys, rest, strict=False))
    by_leak = dict(zip(keys, rest[len(keys) :], strict=True))
    ranking = sorted(whole.odds, key=lambda cause: -whole.odds[cause])
    ranked = []
    for place, cause in enumerate(ranking):
        told = lacking if most is None or place < most else {}
        reasons = [
            Reason(key, log(whole.odds[cause]) - log(without.odds[cause]))
            for key, without in told.items()
        ]
        reasons.sort(key=lambda reason: -abs(reason.log_odds))
        ranked.append(Ranked(cause, place + 1, whole.odds[cause], tuple(reasons)))
    return Explanation(
        causes=tuple(ranked),
        none=_none(network, evidence, whole),
        other=_other(network, evidence, whole, by_leak),
    )


def amount_words(log_odds: float) -> str:
    """A log-odds as `hints for` to `speaks strongly against`, empty from 2:3 to 3:2."""
    way = "for" if log_odds > 0 else "against"
    for factor, words in AMOUNTS:
        if abs(log_odds) >= log(factor):
            return f"{words} {way}"
    return ""


def odds_words(log_odds: float) -> str:
    """A log-odds as the factor of the odds, to two figures: `odds × 4.2`, `odds ÷ 30`."""
    factor = exp(min(abs(log_odds), MOST_TOLD))
    return f"odds {'×' if log_odds > 0 else '÷'} {float(f'{factor:.2g}'):g}"


def band(probability: float) -> str:
    """The probability in words, by five bands."""
    return next(words for least, words in BANDS if probability >= least)


def _none(network: Network, evidence: Evidence, whole: Weighed) -> float:
    """P(no cause that shows as any of these signs | all that was seen).

    Then every sign came by its leak; causes that show as none of them may be there or not.
    """
    if not all(network.leaks[fault] for fault in evidence.present):
        return 0.0
    behind = {cause for fault in evidence.present for cause in network.causes_of[fault]}
    spared = dict.fromkeys(network.priors, 1.0)
    for fault in evidence.absent:
        for cause, link in network.causes_of[fault].items():
            spared[cause] *= 1 - link
    logs = sum(
        log1p(-prior) if cause in behind else log(1 - prior + prior * spared[cause])
        for cause, prior in network.priors.items()
    )
    logs += sum(log(network.leaks[fault]) for fault in evidence.present)
    logs += sum(log1p(-network.leaks[fault]) for fault in evidence.absent)
    return min(exp(logs - whole.log_evidence), 1.0)


def _other(
    network: Network, evidence: Evidence, whole: Weighed, by_leak: Mapping[str, Weighed]
) -> dict[str, float]:
    """P(the sign's leaks are on | all that was seen)."""
    found = {}
    for piece in evidence.pieces:
        leaks = [network.leaks[fault] for fault in piece.present]
        if leaks and all(leaks):
            logs = sum(log(leak) for leak in leaks) + by_leak[piece.key].log_evidence
            found[piece.key] = min(exp(logs - whole.log_evidence), 1.0)
    return found
