"""Simulated houses with a known truth: what shows as what, how good the eye, what cures."""

from dataclasses import dataclass

import numpy as np

from fittings import catalogue
from fittings.diagnosis import Network, network_for
from fittings.learning import Case, Work

SKILL = 0.8  # how often the fitter takes the true cause
LOOKED_AT = 0.8  # of the faults that are not there, so many were looked for
JUDGED_A_DAY = 4
RIGHT = {"cured": 0.86, "better": 0.10, "same": 0.04, "worse": 0.0}
WRONG = {"cured": 0.06, "better": 0.22, "same": 0.52, "worse": 0.20}


@dataclass(frozen=True)
class Look:
    cause: str
    seen: frozenset
    clean: frozenset
    own: frozenset  # of what was seen, what the cause can show as


def books(kind="coat"):
    """The catalogue's network of a kind, each fault once, whatever its side."""
    whole = network_for(catalogue.load(), kind)
    return Network(
        priors=whole.priors,
        links={link: q for link, q in whole.links.items() if ":" not in link[1]},
        leaks={fault: p for fault, p in whole.leaks.items() if ":" not in fault},
    )


def unlike(rng, book, *, priors, links):
    """A house that differs from the books, by so much on the log and on the log-odds."""
    drift = dict(zip(book.priors, rng.normal(0, priors, len(book.priors)), strict=True))
    lean = dict(zip(book.links, rng.normal(0, links, len(book.links)), strict=True))
    return Network(
        priors={
            c: float(np.clip(p * np.exp(drift[c]), 0.003, 0.4)) for c, p in book.priors.items()
        },
        links={
            key: float(1 / (1 + (1 - q) / q * np.exp(-lean[key]))) for key, q in book.links.items()
        },
        leaks=book.leaks,
    )


def looks(rng, truth, count):
    """Garments with one thing wrong with them, that shows."""
    causes, faults = list(truth.priors), list(truth.leaks)
    links = np.zeros((len(causes), len(faults)))
    for (cause, fault), strength in truth.links.items():
        links[causes.index(cause), faults.index(fault)] = strength
    chance = np.array(list(truth.priors.values()))
    leaks = np.array(list(truth.leaks.values()))
    drawn = rng.choice(len(causes), size=4 * count, p=chance / chance.sum())
    shown = rng.random((4 * count, len(faults))) < 1 - (1 - leaks) * (1 - links[drawn])
    looked = rng.random(shown.shape) < LOOKED_AT
    found = []
    for number, seen, for_it in zip(drawn, shown, looked, strict=True):
        names = {fault for fault, there in zip(faults, seen, strict=True) if there}
        own = frozenset(fault for fault in names if (causes[number], fault) in truth.links)
        clean = {f for f, there, at in zip(faults, seen, for_it, strict=True) if at and not there}
        if own:
            found.append(Look(causes[number], frozenset(names), frozenset(clean), own))
    return found[:count]


def judged(rng, truth, count):
    """So many cases of a house: the cause its fitter took, and what the next look said."""
    cases = []
    for number, look in enumerate(looks(rng, truth, count)):
        taken = look.cause
        others = [c for c, fault in truth.links if fault in look.own and c != look.cause]
        if others and rng.random() > SKILL:
            taken = others[rng.integers(len(others))]
        odds = RIGHT if taken == look.cause else WRONG
        verdict = str(rng.choice(list(odds), p=list(odds.values())))
        answered = frozenset(f for f in look.own if (taken, f) in truth.links)
        work = (Work("let-out", answered, verdict),)
        cases.append(Case(number // JUDGED_A_DAY, "coat", taken, look.seen, look.clean, work))
    return cases


def fixed_rates(rng, rows, count):
    """Judged alterations of remedies whose true success is known: (truth by row, cases).

    Success counts better for a half, as the learning does.
    """
    names = [(f"cause-{n}", f"fault-{n}", "let-out") for n in range(rows)]
    cured = rng.uniform(0.3, 0.9, rows)
    better = (1 - cured) * rng.uniform(0, 0.6, rows)
    truth = {row: c + b / 2 for row, c, b in zip(names, cured, better, strict=True)}
    share = rng.dirichlet(np.ones(rows))
    cases = []
    for number in range(count):
        at = int(rng.choice(rows, p=share))
        cause, fault, operation = names[at]
        rest = 1 - cured[at] - better[at]
        odds = [cured[at], better[at], rest * 0.7, rest * 0.3]
        verdict = str(rng.choice(["cured", "better", "same", "worse"], p=odds))
        work = (Work(operation, frozenset({fault}), verdict),)
        day = number // JUDGED_A_DAY
        cases.append(Case(day, "coat", cause, frozenset({fault}), frozenset(), work))
    return truth, cases
