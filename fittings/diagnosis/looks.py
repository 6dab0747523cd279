"""What to look at, or try, next: the look or test that is expected to tell most.

The information a look is expected to give of one cause is exact, in bits: the mutual information of
its yes or no and the cause, given what was seen. Over the causes it is summed, one by one; how the
causes hang together is not counted twice over on purpose: it ranks looks, it is no figure to show.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log2
from typing import Any, Final

from fittings.diagnosis.network import Network, network_from
from fittings.diagnosis.walk import Weighed, weigh_each

OTHERWISE: Final = 0.05  # that a test says yes though no cause that does so is there


@dataclass(frozen=True)
class Look:
    """Something to look at, or a test to do, that answers yes or no.

    `shows`: faults of the network; yes is any of them there. Or, for a test, `yes`: by cause, how
    likely it answers yes when that cause is there, and `otherwise`, when none of them is.
    """

    key: str
    words: str = ""
    shows: Collection[str] = ()
    yes: Mapping[str, float] = field(default_factory=dict)
    otherwise: float = OTHERWISE


@dataclass(frozen=True, slots=True)
class Told:
    """How many bits a look is expected to tell, and how likely it answers yes."""

    look: Look
    bits: float
    yes: float


def tell_apart(
    network: Network | Mapping[str, Any],
    present: Collection[str],
    absent: Collection[str],
    looks: Iterable[Look],
    *,
    among: Sequence[str] = (),
) -> tuple[Told, ...]:
    """The looks by the information they are expected to give of the causes `among`, most first.

    All causes when none is named. Faults already known are no look. DiagnosisError as `posterior`,
    and for a test of a cause the network has not or with a probability that is none.
    """
    looks = list(looks)
    network = with_looks(network, looks)
    known = {*present, *absent}
    asked = {look.key: _faults(look) - known for look in looks}
    looks = [look for look in looks if asked[look.key]]
    # No to a look is its faults absent: all looks are weighed in one walk.
    sets = [set(absent), *({*absent, *asked[look.key]} for look in looks)]
    now, *denied = weigh_each(network, [(present, each) for each in sets])
    causes = among or list(network.priors)
    told = []
    for look, no in zip(looks, denied, strict=True):
        p_no = min(exp(no.log_evidence - now.log_evidence), 1.0)
        bits = sum(_information(now, no, cause, p_no) for cause in causes)
        told.append(Told(look, bits, 1 - p_no))
    return tuple(sorted(told, key=lambda each: -each.bits))


def with_looks(network: Network | Mapping[str, Any], looks: Iterable[Look]) -> Network:
    """The network with each test as a fault of its own, named by its key."""
    network = network_from(network)
    tests = [look for look in looks if look.yes]
    if not tests:
        return network
    links = {(cause, look.key): p for look in tests for cause, p in look.yes.items()}
    leaks = {look.key: look.otherwise for look in tests}
    return network_from(
        Network(network.priors, {**network.links, **links}, {**network.leaks, **leaks})
    )


def _faults(look: Look) -> set[str]:
    return {look.key} if look.yes else set(look.shows)


def _information(now: Weighed, no: Weighed, cause: str, p_no: float) -> float:
    """I(cause; answer) in bits, from the cause's probability now and after a no."""
    before, after_no = (each.odds[cause] / (1 + each.odds[cause]) for each in (now, no))
    p_yes = 1 - p_no
    if p_yes <= 0:
        return 0.0
    # Whatever no takes from the cause, yes gives: their mean is what it is now.
    after_yes = min(max((before - after_no * p_no) / p_yes, 0.0), 1.0)
    return max(_entropy(before) - p_no * _entropy(after_no) - p_yes * _entropy(after_yes), 0.0)


def _entropy(p: float) -> float:
    return -sum(each * log2(each) for each in (p, 1 - p) if each > 0)
