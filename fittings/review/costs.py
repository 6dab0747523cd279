"""What remakes and returns cost: bench minutes at the house's rate, and cloth. Pure.

The minutes of a garment are those of its bench stages (``fittings.promise.STAGES``), of an
alteration those of its operation; both are common practice without a source until the house counts
its own. A main piece is taken for a third of a garment: common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from customers.lengths import Length
from fittings.promise import STAGES
from garments import seams

PIECE_SHARE = 3


@dataclass(frozen=True, slots=True)
class Cost:
    """How often, the bench minutes, the metres of cloth, and what they come to.

    ``money`` is None while the owner has not entered what a minute costs.
    """

    times: int
    minutes: int
    metres: float
    money: Decimal | None


def garment_minutes(kind: str) -> int:
    """Bench minutes of a whole garment of the kind."""
    return sum(stage.minutes for stage in STAGES[kind])


def remake_cost(
    rows: Iterable[tuple[str, bool, int, Length]], minute: Decimal | None, metre: Decimal | None
) -> Cost:
    """The cost of rows of (kind, a piece only, times, cloth of the garments)."""
    times, minutes, metres = 0, 0.0, 0.0
    for kind, piece, count, cloth in rows:
        share = PIECE_SHARE if piece else 1
        times += count
        minutes += count * garment_minutes(kind) / share
        metres += float(cloth.mm) / 1000 / share
    return _priced(times, round(minutes), metres, minute, metre)


def return_cost(
    rows: Iterable[tuple[str, Length | None, str, int]], minute: Decimal | None
) -> Cost:
    """The cost of what was altered after returns, by rows of (operation, amount, side, times)."""
    times, minutes = 0, 0
    for operation, amount, side, count in rows:
        times += count
        minutes += _operation_minutes(operation, amount, side) * count
    return _priced(times, minutes, 0.0, minute, None)


@lru_cache(maxsize=2_000)
def _operation_minutes(operation: str, amount: Length | None, side: str) -> int:
    return seams.operation(operation).minutes(amount, side)


def saved_by_a_point(cost: Cost, garments: int) -> Decimal | None:
    """What one point of a hundred less would have saved among so many garments."""
    if cost.money is None or not cost.times or not garments:
        return None
    return (cost.money / cost.times * garments / 100).quantize(Decimal("0.01"))


def _priced(
    times: int, minutes: int, metres: float, minute: Decimal | None, metre: Decimal | None
) -> Cost:
    if minute is None:
        return Cost(times, minutes, metres, None)
    money = minutes * minute + Decimal(f"{metres:.1f}") * (metre or Decimal(0))
    return Cost(times, minutes, metres, money.quantize(Decimal("0.01")))
