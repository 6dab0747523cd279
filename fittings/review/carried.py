"""Whether carrying into the pattern helps: first fittings with and without.

The rows are not the owner's groups but what was answered to the pattern's memory. Nobody was
drawn by lot, so the difference may have other causes; the page says so.
"""

from functools import lru_cache
from typing import Any, Final

from fittings.rates import TOO_FEW, Row, difference, mean_from_sums, proportion
from fittings.review.asking import Asked
from fittings.review.facts import first_looks
from fittings.review.figures import ALL, Table
from fittings.review.measures import CARRIED, CARRIED_FAULTS

TAKEN, LEFT, UNASKED = "carried", "left out", "nothing answered"
NAMES: Final = {TAKEN: "Carried", LEFT: "Left out", UNASKED: "Nothing asked or answered"}
HEADING: Final = "Pattern memory"
Faults = dict[str, tuple[int, int, int, int]]


def carried(asked: Asked) -> list[Table]:
    """The two tables of what was asked; no rows where nobody came again."""
    found = first_looks(asked)
    return list(_tables(tuple((group, found[group]) for group in NAMES if group in found)))


@lru_cache(maxsize=100)
def _tables(filled: tuple[tuple[str, tuple[int, int, int, int]], ...]) -> tuple[Table, Table]:
    """Of the same numbers the same tables, drawn once."""
    groups = dict(filled)
    whole = _added(groups)
    rates = {group: proportion(hit, count) for group, (hit, count, _, _) in groups.items()}
    faulty = Table(
        CARRIED,
        HEADING,
        [Row(NAMES[group], rate) for group, rate in rates.items()],
        Row(ALL, proportion(whole[0], whole[1])),
        note=_compared(rates),
    )
    each = Table(
        CARRIED_FAULTS,
        HEADING,
        [Row(NAMES[group], mean_from_sums(*sums)) for group, (_, *sums) in groups.items()],
        Row(ALL, mean_from_sums(*whole[1:])),
    )
    return faulty, each


def _added(groups: Faults) -> tuple[int, int, int, int]:
    hit, count, total, squares = (sum(sums[i] for sums in groups.values()) for i in range(4))
    return hit, count, total, squares


def _compared(rates: dict[str, Any]) -> str:
    """Carried against left out, in a sentence that does not say more than the figures."""
    if TAKEN not in rates or LEFT not in rates:
        return ""
    apart = difference(rates[TAKEN], rates[LEFT])
    if apart.too_few:
        return f"Carried against left out: {TOO_FEW}."
    says = "more than chance makes" if apart.real else "chance alone makes as much"
    return (
        f"Carried less left out: {apart.words()}, {says}. "
        "Who carries and who leaves out was not drawn by lot: it may have other causes."
    )
