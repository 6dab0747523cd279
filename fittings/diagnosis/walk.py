"""The exact posterior of every cause of a two-layer noisy-OR network, without cancellation.

The causes are walked one by one over the sets of present faults already accounted for: leaks
first; a cause that is there switches on each of its faults by itself; a fault looked for and
absent only scales the causes that would have shown it. One walk forwards, one backwards; every
term is positive, so nothing cancels (the alternating sum of Heckerman 1989, arXiv 1304.1511, does,
and was seen to go negative at 15 present faults). Each connected part of the network is walked by
itself, and a fault is carried only from the first cause that shows as it to the last: time and
memory are a few numbers for each cause and each set of faults carried at once.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log, log1p
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from fittings.diagnosis.network import DiagnosisError, Network, check_evidence, network_from

# Present faults carried at once: 65 536 sets of them, some 30 ms and 20 MB on one core.
MOST_TOGETHER: Final = 16

# Odds beyond which a cause is as good as certain: what a float can still divide by.
TINIEST: Final = 1e-290

Floats = NDArray[np.float64]
Cases = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Weighed:
    """The odds of every cause given the evidence, and the log of the evidence's probability."""

    odds: dict[str, float]
    log_evidence: float

    @property
    def causes(self) -> dict[str, float]:
        return {cause: each / (1 + each) for cause, each in self.odds.items()}


@dataclass(frozen=True, slots=True)
class _Step:
    """One cause: leaks of the faults first carried here, links by place, faults given up after.

    A place counts among the faults carried; new ones go last, the highest is given up first.
    """

    cause: str
    met: tuple[float, ...]
    links: tuple[tuple[int, float], ...]
    done: tuple[tuple[int, str], ...]


def posterior(
    network: Network | Mapping[str, Any], present: Collection[str], absent: Collection[str]
) -> dict[str, float]:
    """P(cause | these faults present, those looked for and absent), for every cause, exact.

    A fault in neither was not looked at and says nothing. DiagnosisError: an unsound network, a
    fault that is unknown or both present and absent, evidence the network holds impossible, more
    present faults hanging together than MOST_TOGETHER.
    """
    return weigh(network, present, absent).causes


def weigh(
    network: Network | Mapping[str, Any], present: Collection[str], absent: Collection[str]
) -> Weighed:
    """As `posterior`, as odds, with the probability of the evidence."""
    return weigh_each(network, [(present, absent)])[0]


def weigh_each(
    network: Network | Mapping[str, Any],
    cases: Sequence[tuple[Collection[str], Collection[str]]],
) -> list[Weighed]:
    """`weigh` for each (present, absent), in one walk for all: they share most of what they say.

    The walk is as wide as for all that is present in any of them.
    """
    network = network_from(network)
    for present, absent in cases:
        check_evidence(network, present, absent)
    told = {
        fault: there
        for fault in network.leaks
        if (there := np.array([fault in present for present, _ in cases])).any()
    }
    odds, logs = _without_the_absent(network, [set(absent) for _, absent in cases])
    for faults in _parts(network, told.keys()):
        found, logs_of_part = _weigh_part(network, faults, odds, told)
        odds.update(found)
        logs = logs + logs_of_part
    return [
        Weighed({cause: float(each[place]) for cause, each in odds.items()}, float(logs[place]))
        for place in range(len(cases))
    ]


def _without_the_absent(
    network: Network, absents: Sequence[set[str]]
) -> tuple[dict[str, Floats], Floats]:
    """Each cause's odds once the absent faults are told, and the log of their probability."""
    spared = {cause: np.zeros(len(absents)) for cause in network.priors}
    logs = np.zeros(len(absents))
    # In the network's order, so that the same faults give the same digits however they came.
    for fault in network.leaks:
        told = np.array([fault in absent for absent in absents], dtype=float)
        if not told.any():
            continue
        logs += told * log1p(-network.leaks[fault])
        for cause, link in network.causes_of[fault].items():
            spared[cause] += told * log1p(-link)
    odds = {}
    for cause, prior in network.priors.items():
        there = prior * np.exp(spared[cause])
        odds[cause] = there / (1 - prior)
        logs += np.log(there + (1 - prior))
    return odds, logs


def _parts(network: Network, present: Collection[str]) -> list[list[str]]:
    """The present faults in network order, those joined by causes they share in one list."""
    joined: list[tuple[set[str], list[str]]] = []
    for fault in (fault for fault in network.leaks if fault in present):
        causes, faults, apart = set(network.causes_of[fault]), [fault], []
        for other in joined:
            if causes & other[0]:
                causes, faults = causes | other[0], other[1] + faults
            else:
                apart.append(other)
        joined = [*apart, (causes, faults)]
    return [faults for _, faults in joined]


def _weigh_part(
    network: Network, faults: list[str], odds: Mapping[str, Floats], told: Mapping[str, Cases]
) -> tuple[dict[str, Floats], Floats]:
    """The odds of the causes behind these faults, and the log of the faults' probability.

    States have a row for each case and a column for each set of the faults carried. `told`: in
    which cases a fault is present; in the others it was not looked at.
    """
    order = _ordered(network, faults)
    if not order:  # only its leak brings it
        alone = np.where(told[faults[0]], network.leaks[faults[0]], 1.0)
        return {}, np.log(_possible(alone, faults))
    _refuse_too_many(network, faults)
    steps = _steps(network, faults, order)
    cases = len(odds[order[0]])
    logs = np.zeros(cases)
    forwards: list[Floats] = []
    ahead = np.ones((cases, 1))
    for step in steps:
        for leak in step.met:
            ahead = np.multiply.outer(ahead, (1 - leak, leak)).reshape(cases, -1)
        forwards.append(ahead)
        prior = _prior(odds[step.cause])
        ahead = (1 - prior) * ahead + prior * _switch_on(step, ahead)
        for place, fault in step.done:
            off, on = _halves(ahead, place)
            if not told[fault].all():
                on = on + off * ~told[fault][:, None, None]
            ahead = on.reshape(cases, -1)
        total = _possible(ahead.sum(axis=1), faults)
        ahead, logs = ahead / total[:, None], logs + np.log(total)
    return _backwards(steps, forwards, odds, told), logs


def _backwards(
    steps: list[_Step],
    forwards: list[Floats],
    odds: Mapping[str, Floats],
    told: Mapping[str, Cases],
) -> dict[str, Floats]:
    """Each cause's odds: what was reached before it, times what is reached from after it."""
    found = {}
    behind = np.ones_like(forwards[0][:, :1])
    cases = len(behind)
    for step, ahead in zip(reversed(steps), reversed(forwards), strict=True):
        for place, fault in reversed(step.done):
            on = behind.reshape(cases, 2**place, 1, -1)
            off = on * ~told[fault][:, None, None, None]
            behind = np.concatenate((off, on), axis=2).reshape(cases, -1)
        there = _switched_on_from(step, behind)
        having, lacking = (ahead * there).sum(axis=1), (ahead * behind).sum(axis=1)
        # Only where nothing else can bring a fault is it never without this cause.
        found[step.cause] = odds[step.cause] * having / np.maximum(lacking, TINIEST)
        prior = _prior(odds[step.cause])
        behind = (1 - prior) * behind + prior * there
        for leak in reversed(step.met):
            behind = behind.reshape(cases, -1, 2) @ np.array((1 - leak, leak))
        behind = behind / behind.max(axis=1, keepdims=True)
    return found


def _prior(odds: Floats) -> Floats:
    """Odds as a probability, a column for the states."""
    return (odds / (1 + odds))[:, None]


def _switch_on(step: _Step, states: Floats) -> Floats:
    """Where the sets of faults go when the cause is there."""
    states = states.copy()
    for place, link in step.links:
        off, on = _halves(states, place)
        on += link * off
        off *= 1 - link
    return states


def _switched_on_from(step: _Step, states: Floats) -> Floats:
    """The same seen from the end: what each set is worth when the cause is there."""
    states = states.copy()
    for place, link in step.links:
        off, on = _halves(states, place)
        off *= 1 - link
        off += link * on
    return states


def _halves(states: Floats, place: int) -> tuple[Floats, Floats]:
    """Views of the sets without and with the fault at this place."""
    halves = states.reshape(len(states), 2**place, 2, -1)
    return halves[:, :, 0], halves[:, :, 1]


def _possible(probability: Floats, faults: Iterable[str]) -> Floats:
    if not probability.all():
        named = ", ".join(f"“{fault}”" for fault in faults)
        raise DiagnosisError(
            f"Impossible by this network: nothing in it can bring {named} together with the rest."
        )
    return probability


def _ordered(network: Network, faults: list[str]) -> list[str]:
    """The causes of these faults, next always the one after which fewest faults are carried."""
    waiting: dict[str, set[str]] = {}
    for fault in faults:
        for cause in network.causes_of[fault]:
            waiting.setdefault(cause, set()).add(fault)
    order: list[str] = []
    carried: set[str] = set()
    left = {fault: len(network.causes_of[fault]) for fault in faults}
    while waiting:
        # Ties go by the order of the faults, so a walk does not hang on how sets are hashed.
        cause = min(waiting, key=lambda name: _carried_after(waiting[name], carried, left))
        for fault in waiting[cause]:
            left[fault] -= 1
        carried = {fault for fault in carried | waiting.pop(cause) if left[fault]}
        order.append(cause)
    return order


def _carried_after(shows: set[str], carried: set[str], left: Mapping[str, int]) -> tuple[int, int]:
    new = len(shows - carried)
    return new - sum(left[fault] == 1 for fault in shows), new


def _steps(network: Network, faults: list[str], order: list[str]) -> list[_Step]:
    left = {fault: len(network.causes_of[fault]) for fault in faults}
    carried: list[str] = []
    steps = []
    for cause in order:
        shows = [fault for fault in faults if cause in network.causes_of[fault]]
        met = [fault for fault in shows if fault not in carried]
        carried += met
        links = tuple((carried.index(fault), network.causes_of[fault][cause]) for fault in shows)
        for fault in shows:
            left[fault] -= 1
        over = ((carried.index(fault), fault) for fault in shows if not left[fault])
        done = sorted(over, reverse=True)
        steps.append(_Step(cause, tuple(network.leaks[f] for f in met), links, tuple(done)))
        for place, _ in done:
            del carried[place]
    return steps


def _most_carried(network: Network, faults: list[str]) -> int:
    """How many faults are carried at once where it is most."""
    most = carried = 0
    for step in _steps(network, faults, _ordered(network, faults)):
        carried += len(step.met)
        most = max(most, carried)
        carried -= len(step.done)
    return most


def _refuse_too_many(network: Network, faults: list[str]) -> None:
    if len(faults) <= MOST_TOGETHER or _most_carried(network, faults) <= MOST_TOGETHER:
        return
    kept = sorted(faults, key=lambda fault: -_telling(network, fault))
    drop: list[str] = []
    while _most_carried(network, [fault for fault in faults if fault in kept]) > MOST_TOGETHER:
        drop.append(kept.pop())
    named = ", ".join(f"“{fault}”" for fault in drop)
    raise DiagnosisError(
        f"{len(faults)} faults hang together, more than can be weighed exactly at once. "
        f"Leave out those that tell least: {named}.",
        drop=tuple(drop),
    )


def _telling(network: Network, fault: str) -> float:
    """How much the fault alone tells of the causes: bits, the causes taken one by one."""
    found = weigh(network, [fault], ()).causes
    return sum(_gain(found[cause], network.priors[cause]) for cause in network.causes_of[fault])


def _gain(after: float, before: float) -> float:
    gained = after * log(after / before)
    return (
        (gained + (1 - after) * log((1 - after) / (1 - before))) / log(2) if after < 1 else gained
    )
