"""What may be behind the faults that were seen: exact, explained, and no more sure than it is.

    posterior(network, present, absent) -> {cause: probability}
    explain(network, present, absent) -> Explanation      causes ranked, for and against in words
    tell_apart(network, present, absent, looks)            what to look at next
    network_for(catalogue, kind) -> Network                from the catalogue, figure and measures
    evidence_of(catalogue, kind, signs) -> Evidence        what was seen, as present and absent

A network is plain data, `priors {cause: p}`, `links {(cause, fault): q}`, `leaks {fault: p}`.
"""

from fittings.diagnosis.building import (
    Evidence,
    Learnt,
    Piece,
    Sign,
    evidence_of,
    findings_of,
    network_for,
    prior_of,
)
from fittings.diagnosis.explaining import (
    Explanation,
    Ranked,
    Reason,
    amount_words,
    band,
    explain,
    odds_words,
)
from fittings.diagnosis.leanings import Leaning, leanings
from fittings.diagnosis.looks import Look, Told, tell_apart, with_looks
from fittings.diagnosis.network import DiagnosisError, Network, network_from, read_network, unsound
from fittings.diagnosis.walk import MOST_TOGETHER, Weighed, posterior, weigh, weigh_each

__all__ = [
    "MOST_TOGETHER",
    "DiagnosisError",
    "Evidence",
    "Explanation",
    "Leaning",
    "Learnt",
    "Look",
    "Network",
    "Piece",
    "Ranked",
    "Reason",
    "Sign",
    "Told",
    "Weighed",
    "amount_words",
    "band",
    "evidence_of",
    "explain",
    "findings_of",
    "leanings",
    "network_for",
    "network_from",
    "odds_words",
    "posterior",
    "prior_of",
    "read_network",
    "tell_apart",
    "unsound",
    "weigh",
    "weigh_each",
    "with_looks",
]
