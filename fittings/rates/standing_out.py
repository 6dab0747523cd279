"""Whether anyone stands out, and what could be seen at all with so many garments.

Each group is held against all the others by Fisher's exact test (R. A. Fisher, "The logic of
inductive inference", J. R. Stat. Soc. 98 (1935) 39-82). Many groups are many chances to be misled:
Y. Benjamini and Y. Hochberg, "Controlling the false discovery rate", J. R. Stat. Soc. B 57 (1995)
289-300. When all are equal, anyone at all is named in at most ``FALSE_ALARMS`` of such tables.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln
from scipy.stats import binom, false_discovery_control

from fittings.rates.differences import MOST_MORE, garments_to_tell
from fittings.rates.groups import by_name
from fittings.rates.proportions import TOO_FEW

FALSE_ALARMS = 0.05
# Nobody is named on less, whatever the odds. Common practice, no source.
FEWEST_TO_NAME = 10
FEWEST_HITS = 3
# Two counts of equal odds may differ in their last digits; both belong to the tail.
TIE = 1 + 1e-7
EXACT_UP_TO = 400
# Beyond so many spreads a hypergeometric count adds nothing to what is printed.
MOST_SPREADS = 9
Counts = NDArray[np.int64]
Chances = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Standing:
    """A group's k of n, and its chance were all equal, alone and among so many groups.

    Both are None for a group too small to be named, or with too few hits; ``different`` says that
    it stands out.
    """

    name: str
    k: int
    n: int
    chance: float | None
    adjusted: float | None
    higher: bool
    alarms: float = FALSE_ALARMS

    @property
    def different(self) -> bool:
        return self.adjusted is not None and self.adjusted <= self.alarms

    @property
    def says(self) -> str:
        if self.adjusted is None:
            return TOO_FEW
        if not self.different:
            return "within luck"
        return "higher than luck makes" if self.higher else "lower than luck makes"


def stand_out(
    groups: Mapping[str, tuple[int, int]], alarms: float = FALSE_ALARMS
) -> list[Standing]:
    """Each group name -> (k, n) against all the others, by name.

    ``alarms`` is how often anyone at all may be named when all are equal. Whoever is named is set
    aside and the others are held against each other anew: one bad group must not make the rest
    look better than luck.
    """
    return list(_stood_out(tuple(groups.items()), alarms))


@lru_cache(maxsize=500)
def _stood_out(
    groups: tuple[tuple[str, tuple[int, int]], ...], alarms: float
) -> tuple[Standing, ...]:
    left, found = dict(groups), {}
    while left:
        round_ = _against_others(left, alarms)
        named = min(
            (standing for standing in round_ if standing.different),
            # Of two groups each is as far from the other: the higher is the news.
            key=lambda standing: (standing.chance or 0, not standing.higher, standing.name),
            default=None,
        )
        if named is None:
            found.update({standing.name: standing for standing in round_})
            break
        found[named.name] = named
        del left[named.name]
    return tuple(found[name] for name in sorted(found, key=by_name))


def _against_others(groups: Mapping[str, tuple[int, int]], alarms: float) -> list[Standing]:
    hits, total = sum(k for k, _ in groups.values()), sum(n for _, n in groups.values())
    chances = {name: _chance_of(k, n, hits, total) for name, (k, n) in groups.items()}
    # By their size alone: were only those with hits counted, the others would have been chances to
    # be misled all the same, and of twenty equal makers one would be named in every third table.
    held = {name: chance for name, chance in chances.items() if chance is not None}
    adjusted = dict(zip(held, raised([*held.values()]), strict=True))
    found = []
    for name, (k, n) in groups.items():
        known = _may_be_named(k, n, hits, total)
        chance, among = (chances[name], adjusted.get(name)) if known else (None, None)
        found.append(Standing(name, k, n, chance, among, k * total > hits * n, alarms))
    return found


def raised(chances: Sequence[float], among: int = 0) -> list[float]:
    """The chances raised for their number, as Benjamini and Hochberg do, in the same order.

    ``among`` so many where others were looked at too, which are taken to be within luck.
    """
    others = [1.0] * (among - len(chances))
    if not chances:
        return []
    found: list[float] = false_discovery_control([*chances, *others]).tolist()
    return found[: len(chances)]


def _chance_of(k: int, n: int, hits: int, total: int) -> float | None:
    """Fisher's two-sided chance; None for a group too small to be held against the others."""
    rest = total - n
    if n < FEWEST_TO_NAME or 0 < rest < FEWEST_TO_NAME:
        return None
    # Alone, or the last one left: nothing speaks against it.
    return fisher(k, n, hits - k, rest) if rest else 1.0


def _may_be_named(k: int, n: int, hits: int, total: int) -> bool:
    """Whether it has hits enough, or would have among its likes."""
    return n == total or max(k * total, hits * n) >= FEWEST_HITS * total


@lru_cache(maxsize=50_000)
def fisher(k: int, n: int, other_k: int, other_n: int) -> float:
    """The chance, were both rates equal, of a table no likelier than k of n, other_k of other_n."""
    # SciPy's own test takes forty to a hundred times as long, and a page asks for dozens.
    hits, total = k + other_k, n + other_n
    support = np.arange(max(0, hits - other_n), min(n, hits) + 1)
    ways = _ways(n, support) + _ways(other_n, hits - support)
    odds = np.exp(ways - _ways(total, hits))
    return min(float(odds[odds <= odds[k - support[0]] * TIE].sum()), 1.0)


def _ways(n: int, k: Counts | int) -> Chances:
    """The logarithm of the ways to choose k of n."""
    found: Chances = gammaln(n + 1.0) - gammaln(k + 1.0) - gammaln(n - k + 1.0)
    return found


@lru_cache(maxsize=2_000)
def seen(n: int, others: int, rate: float, times: float, groups: int) -> float:
    """How often a group of n at ``times`` the rate of ``others`` garments would be named.

    By adding up all that may happen, at the first step of Benjamini and Hochberg among so many
    groups; by the normal curve where both are above ``EXACT_UP_TO``. 0 where nobody may be named;
    rates end at 1.
    """
    if min(n, others) < FEWEST_TO_NAME or not 0 < rate < 1:
        return 0.0
    high = min(rate * times, 1.0)
    if min(n, others) > EXACT_UP_TO:
        return _seen_by_normal_curve(n, others, rate, high, groups)
    own, rest = _likely(n, high), _likely(others, rate)
    hits = np.arange(own[0] + rest[0], own[-1] + rest[-1] + 1)[:, None]
    k = _worth_adding(n, others, hits, own)
    likely = _pmf(k, own, binom.pmf(own, n, high))
    likely = likely * _pmf(hits - k, rest, binom.pmf(rest, others, rate))
    return float(likely[_named(k, n, hits, others, groups)].sum())


def _alarms_each(groups: int) -> float:
    """What each of so many may alarm by luck; two are one comparison, each as far as the other."""
    return FALSE_ALARMS if groups <= 2 else FALSE_ALARMS / groups  # noqa: PLR2004 - the two


def _seen_by_normal_curve(n: int, others: int, rate: float, high: float, groups: int) -> float:
    """The same for large groups; being named on the far side, next to never, is left out."""
    middle = (n * high + others * rate) / (n + others)
    alarm = NormalDist().inv_cdf(1 - _alarms_each(groups) / 2)
    luck = sqrt(middle * (1 - middle) * (1 / n + 1 / others))
    spread = sqrt(high * (1 - high) / n + rate * (1 - rate) / others)
    return NormalDist().cdf((abs(high - rate) - alarm * luck) / spread)


def _likely(n: int, rate: float) -> Counts:
    """The counts that make up all but one in a million of what may happen."""
    low, high = binom.ppf([5e-7, 1 - 5e-7], n, rate)
    return np.arange(int(max(low, 0)), int(high) + 1)


def _worth_adding(n: int, others: int, hits: Counts, own: Counts) -> Counts:
    """The counts of the group that may happen, or be as unlikely, with so many hits in all."""
    share = n / (n + others)
    spread = sqrt(share * (1 - share) * float(hits[-1, 0])) * MOST_SPREADS
    low = min(int(share * hits[0, 0] - spread), int(own[0]))
    high = max(int(share * hits[-1, 0] + spread), int(own[-1]))
    return np.arange(max(low, 0), min(high + 1, n) + 1)[None, :]


def _pmf(k: Counts, known: Counts, chances: Chances) -> Chances:
    """The chances of ``k`` from those of the ``known``, which follow one another; else nothing."""
    place = k - known[0]
    inside = (place >= 0) & (place < len(known))
    return np.where(inside, chances[np.where(inside, place, 0)], 0.0)


def _named(k: Counts, n: int, hits: Counts, others: int, groups: int) -> NDArray[np.bool_]:
    """Whether a group of n with k of all the hits would be named: a row for each of the hits."""
    logs = gammaln(np.arange(n + others + 1) + 1.0)
    rest = hits - k
    there = (rest >= 0) & (rest <= others)
    rest = np.where(there, rest, 0)
    # The hypergeometric chances. SciPy has them one by one, at twenty times the time of a table.
    ways = logs[n] - logs[k] - logs[n - k] + logs[others] - logs[rest] - logs[others - rest]
    ways -= logs[-1] - logs[hits] - logs[n + others - hits]
    odds = np.where(there, np.exp(ways), 0.0)
    order = np.argsort(odds, axis=1)
    rising = np.take_along_axis(odds, order, axis=1)
    tail = np.cumsum(rising, axis=1)
    # The chances rise to one top and fall: at most two are equal, and stand side by side here.
    tied = rising[:, 1:] <= rising[:, :-1] * TIE
    tail[:, :-1] = np.where(tied, tail[:, 1:], tail[:, :-1])
    chance = np.empty_like(tail)
    np.put_along_axis(chance, order, tail, axis=1)
    named: NDArray[np.bool_] = (
        there
        & (chance <= _alarms_each(groups))
        & (np.maximum(k, hits * (n / (n + others))) >= FEWEST_HITS)
    )
    return named


def garments_each(rate: float, times: float, groups: int) -> int | None:
    """How many garments each of so many groups needs for such a group to be named, 4 times in 5.

    None with one group, or where the rate cannot be so many times itself.
    """
    if groups < 2 or not 0 < rate * times < 1:  # noqa: PLR2004 - one group has no others
        return None
    return garments_to_tell(rate * times, rate, 1 - _alarms_each(groups), groups - 1)


def more_to_name(standing: Standing, hits: int, total: int, groups: int) -> int | None:
    """How many more garments of this group would name it, were its rate what it looks like.

    The others grow with it. None where it is named already, its rate is the others', there are no
    others, or it would take more than ``MOST_MORE``.
    """
    k, n = standing.k, standing.n
    rest = total - n
    if standing.different or not n or not rest or k * rest == (hits - k) * n:
        return None
    level = 1 - _alarms_each(groups)
    more = garments_to_tell(k / n, (hits - k) / rest, level, rest / n) - n
    return max(more, 1) if more <= MOST_MORE else None
