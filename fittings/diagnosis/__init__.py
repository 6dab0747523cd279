"""What may be behind the faults that were seen: exact, explained, and no more sure than it is.

    posterior(network, present, absent) -> {cause: probability}

A network is plain data, `priors {cause: p}`, `links {(cause, fault): q}`, `leaks {fault: p}`.
"""

from fittings.diagnosis.network import DiagnosisError, Network, network_from, unsound
from fittings.diagnosis.walk import MOST_TOGETHER, Weighed, posterior, weigh

__all__ = [
    "MOST_TOGETHER",
    "DiagnosisError",
    "Network",
    "Weighed",
    "network_from",
    "posterior",
    "unsound",
    "weigh",
]
