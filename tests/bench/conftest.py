"""How budgets are measured: as the ratio of two things timed turn by turn in one run.

The turns alternate, so that whatever else the machine does falls on both.
"""

import sys
from collections.abc import Callable
from statistics import median
from time import perf_counter

import pytest

TURNS = 40


def seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


@pytest.fixture
def compare() -> Callable[..., float]:
    """Write and return how many times longer than `reference` the `work` takes, in the median."""

    def ratio(name: str, work: Callable, reference: Callable, turns: int = TURNS) -> float:
        work(), reference()  # the first time compiles templates and fills caches
        turn_by_turn = [(seconds(work), seconds(reference)) for _ in range(turns)]
        ours, theirs = (median(times) for times in zip(*turn_by_turn, strict=True))
        figures = f"{ours * 1e3:8.2f} ms {theirs * 1e3:8.2f} ms {ours / theirs:6.2f} x"
        sys.stdout.write(f"\n{name:40} {figures}\n")
        return ours / theirs

    return ratio
