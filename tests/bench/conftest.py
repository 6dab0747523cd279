"""How budgets are measured: as the ratio of two things timed turn by turn in one run.

The turns alternate and processor time is counted, so that whatever else the machine does falls on
both. Templates are rendered as they are outside of tests, where nobody notes each of them, and in a
thread, as pages are served: beneath the many calls of pytest each call of a template costs more
(CPython 3.11 keeps its frames in blocks, and gives the last one back when a call returns from it).
"""

import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from statistics import median
from time import process_time
from typing import TypeVar

import pytest
from django.db import connections
from django.template.base import Template
from django.test.utils import _TestState

TURNS = 40
Answer = TypeVar("Answer")


def seconds(work: Callable[[], object]) -> float:
    """Processor time of this process."""
    start = process_time()
    work()
    return process_time() - start


def in_a_thread(work: Callable[[], Answer]) -> Answer:
    """What ``work`` answers in a thread of its own, over the test's own connection."""
    shared = connections["default"]
    shared.inc_thread_sharing()
    try:
        with ThreadPoolExecutor(
            1, initializer=connections.__setitem__, initargs=("default", shared)
        ) as own:
            return own.submit(work).result()
    finally:
        shared.dec_thread_sharing()


@pytest.fixture
def as_served(monkeypatch) -> None:
    """Templates are rendered as they are outside of tests."""
    monkeypatch.setattr(Template, "_render", _TestState.saved_data.template_render)


@pytest.fixture
def compare(as_served) -> Callable[..., float]:
    """Write and return how many times longer than `reference` the `work` takes, in the median."""

    def ratio(name: str, work: Callable, reference: Callable, turns: int = TURNS) -> float:
        work(), reference()  # the first time compiles templates and fills caches
        turn_by_turn = in_a_thread(
            lambda: [(seconds(work), seconds(reference)) for _ in range(turns)]
        )
        ours, theirs = (median(times) for times in zip(*turn_by_turn, strict=True))
        figures = f"{ours * 1e3:8.2f} ms {theirs * 1e3:8.2f} ms {ours / theirs:6.2f} x"
        sys.stdout.write(f"\n{name:40} {figures}\n")
        return ours / theirs

    return ratio
