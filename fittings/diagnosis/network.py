"""A two-layer noisy-OR network as plain data, and what is wrong with one, in sentences."""

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain
from math import isfinite

Link = tuple[str, str]


class DiagnosisError(ValueError):
    """A network or evidence that cannot be weighed; the message says what and why.

    `drop` names the present faults to leave out where there are too many, least telling first.
    """

    def __init__(self, message: str, *, drop: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.drop = drop


@dataclass(frozen=True)
class Network:
    """Causes that come by themselves, and faults that any of them, or something else, brings.

    `priors`: how likely each cause is, strictly between 0 and 1. `links`: how likely the cause,
    being there, shows as the fault by itself, strictly between 0 and 1. `leaks`: how likely the
    fault shows though no listed cause is there, from 0 and below 1. Every fault has a leak.
    """

    priors: Mapping[str, float]
    links: Mapping[Link, float]
    leaks: Mapping[str, float] = field(default_factory=dict)

    @cached_property
    def wrong(self) -> list[str]:
        """`unsound`, once."""
        return unsound(self)

    @cached_property
    def causes_of(self) -> dict[str, dict[str, float]]:
        """{fault: {cause: link}}, empty for a fault that only its leak brings."""
        found: dict[str, dict[str, float]] = {fault: {} for fault in self.leaks}
        for (cause, fault), strength in self.links.items():
            found[fault][cause] = strength
        return found


def network_from(data: object) -> Network:
    """The network of this data (`priors`, `links`, `leaks`). DiagnosisError when it is unsound."""
    if isinstance(data, Network):
        network = data
    elif not isinstance(data, Mapping):
        shape = type(data).__name__
        raise DiagnosisError(f"A network is priors, links and leaks, not a {shape}.")
    else:
        unknown = [str(name) for name in data if name not in ("priors", "links", "leaks")]
        missing = [name for name in ("priors", "links", "leaks") if name not in data]
        if unknown or missing:
            said = f"has an unknown {unknown[0]}" if unknown else f"lacks {', '.join(missing)}"
            raise DiagnosisError(f"The network {said}: it has priors, links and leaks.")
        if loose := [name for name, rows in data.items() if not isinstance(rows, Mapping)]:
            raise DiagnosisError(f"The {loose[0]} of a network are kept by their names.")
        network = Network(data["priors"], data["links"], data["leaks"])
    if network.wrong:
        raise DiagnosisError(" ".join(network.wrong))
    return network


def read_network(text: str) -> Network:
    """The network a TOML file holds: tables `priors` and `leaks`, and `links.<cause>` by fault.

    DiagnosisError for a text that is no such file, or a network that is unsound.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DiagnosisError(f"The network file cannot be read: {error}.") from error
    rows = data.get("links", {})
    if not isinstance(rows, dict) or not all(isinstance(row, dict) for row in rows.values()):
        raise DiagnosisError("The links of a network file are one table for each cause.")
    links = {(cause, fault): q for cause, row in rows.items() for fault, q in row.items()}
    return network_from({**data, "links": links} if "links" in data else data)


def unsound(network: Network) -> list[str]:
    """What is wrong with the network, a sentence for each row; empty when it can be weighed."""
    priors = (_certain(p, f"The prior of “{cause}”") for cause, p in network.priors.items())
    leaks = (_leak(p, fault) for fault, p in network.leaks.items())
    links = (_link(network, link, q) for link, q in network.links.items())
    return [said for said in chain(priors, leaks, links) if said]


def check_evidence(network: Network, present: Collection[str], absent: Collection[str]) -> None:
    """DiagnosisError for a fault the network does not know, or one both present and absent."""
    for name, faults in (("present", present), ("absent", absent)):
        if isinstance(faults, str):
            raise DiagnosisError(f"The {name} faults are a collection of keys, not one text.")
        if unknown := sorted(str(fault) for fault in faults if fault not in network.leaks):
            raise DiagnosisError(f"The network has no fault called {_quoted(unknown)}.")
    if both := sorted(set(present) & set(absent)):
        raise DiagnosisError(f"Said to be both present and absent: {_quoted(both)}.")


def _certain(p: object, name: str) -> str:
    if not _number(p):
        return f"{name} is no number: {p!r}."
    if p in (0, 1):
        sure = "never" if p == 0 else "always"
        return f"{name} is {p}: a chance of {sure} leaves nothing to find out. Leave it out."
    return "" if 0 < p < 1 else f"{name} is {p}: it lies between 0 and 1."  # type: ignore[operator]


def _leak(p: object, fault: str) -> str:
    # Nothing but the listed causes may bring a fault; that something else always does may not be.
    return "" if _number(p) and p == 0 else _certain(p, f"The leak of “{fault}”")


def _link(network: Network, link: object, q: object) -> str:
    if not (isinstance(link, tuple) and len(link) == 2):  # noqa: PLR2004 - a cause and a fault
        return f"A link joins a cause and a fault, not {link!r}."
    cause, fault = link
    if cause not in network.priors:
        return f"The link from “{cause}” to “{fault}” names a cause that has no prior."
    if fault not in network.leaks:
        return f"The link from “{cause}” to “{fault}” names a fault that has no leak."
    return _certain(q, f"The link from “{cause}” to “{fault}”")


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _quoted(names: list[str]) -> str:
    return ", ".join(f"“{name}”" for name in names)
