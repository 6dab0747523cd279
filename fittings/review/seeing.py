"""What could and could not be seen with so many, said before anyone looks."""

from collections.abc import Mapping

from fittings.rates import garments_each, seen
from fittings.review.totals import added

TIMES_THE_RATE = (2, 3)


def could_see(what: str, counts: Mapping[str, tuple[int, int]], of: str) -> list[str]:
    """In sentences, for rows of (hits, among); ``what`` is a row, ``of`` what it counts among."""
    hits, total = added(counts.values())
    if len(counts) == 1:
        return ["With one row alone there is no other to hold it against."]
    if not 0 < hits < total:
        return ["With none, or nothing else, there is no difference to see."]
    sizes = sorted(n for _, n in counts.values())
    usual = sizes[len(sizes) // 2]
    # Twice a rate above a half is more than all: there it is the others that double.
    few = 2 * hits <= total
    rate, named = (hits / total, "rate") if few else (1 - hits / total, "misses")
    rate, others = _to_three_figures(rate), round(_to_three_figures(total - usual))
    chances = {times: seen(usual, others, rate, times, len(sizes)) for times in TIMES_THE_RATE}
    found = [
        f"at {times} times the {named} of all in {chance * 100:.0f}"
        for times, chance in chances.items()
    ]
    said = (
        f"With {len(sizes)} rows and {usual} {of} in the middle one, such {_one(what)} would be "
        f"named, {', '.join(found)} of 100 such times. If all are equal, anyone at all is named in "
        "5 of 100 at most."
    )
    each = garments_each(rate, TIMES_THE_RATE[0], len(sizes))
    if each is None:
        return [said]
    return [
        said,
        f"To name one at twice the {named} 4 times in 5 takes about {each} {of} each.",
    ]


def _one(what: str) -> str:
    return f"an {what}" if what.startswith("a") else f"a {what}"


def _to_three_figures(number: float) -> float:
    """What is told are whole parts of a hundred: most entries more make no other chance of it."""
    return float(f"{number:.3g}")
