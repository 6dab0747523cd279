"""Networks to try, and two other ways to the same posterior: every set of causes, and a library."""

import warnings
from functools import cache
from itertools import product
from random import Random

import numpy as np


def network_of(seed, causes, faults, *, weak=False, density=0.5):
    """An invented network: priors from 1 in 10 000 to 1 in 3, links all weak or of every strength.

    Every fault has a cause: a fault without one would only test its leak.
    """
    chance = Random(seed)
    strongest = 0.3 if weak else 0.99
    names = [f"cause {place}" for place in range(causes)]
    network = {"priors": {name: 10 ** chance.uniform(-4, -0.5) for name in names}, "links": {}}
    network["leaks"] = {f"fault {place}": 10 ** chance.uniform(-4, -1) for place in range(faults)}
    for fault in network["leaks"]:
        behind = [name for name in names if chance.random() < density] or [chance.choice(names)]
        for cause in behind:
            network["links"][cause, fault] = chance.uniform(0.01, strongest)
    return network


def enumerated(network, present, absent):
    """The posteriors by every set of causes, all terms positive, 1 - x never written out."""
    causes = list(network["priors"])
    sets = np.array(list(product((0.0, 1.0), repeat=len(causes))))
    priors = np.array([network["priors"][cause] for cause in causes])
    weights = np.where(sets == 1, priors, 1 - priors).prod(axis=1)
    for fault in (*present, *absent):
        links = [network["links"].get((cause, fault), 0.0) for cause in causes]
        spared = sets @ np.log1p(-np.array(links)) + np.log1p(-network["leaks"][fault])
        weights = weights * (np.exp(spared) if fault in absent else -np.expm1(spared))
    return dict(zip(causes, weights @ sets / weights.sum(), strict=True))


@cache
def the_library():
    """pyAgrum; its own import warns, and dies where a warning is an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pyagrum

        return pyagrum


def in_library(network, present, absent):
    """The network in the library's terms, ready to be asked for a posterior."""
    library = the_library()
    net = library.BayesNet()
    for cause, prior in network["priors"].items():
        net.add(library.LabelizedVariable(cause, "", 2))
        net.cpt(cause).fillWith([1 - prior, prior])
    for fault, leak in network["leaks"].items():
        net.addNoisyORNet(library.LabelizedVariable(fault, "", 2), leak)
    for (cause, fault), link in network["links"].items():
        net.addWeightedArc(cause, fault, link)
    asked = library.LazyPropagation(net)
    asked.setEvidence(dict.fromkeys(present, 1) | dict.fromkeys(absent, 0))
    return asked


def library_posterior(network, present, absent):
    asked = in_library(network, present, absent)
    asked.makeInference()
    return {cause: float(asked.posterior(cause)[1]) for cause in network["priors"]}
