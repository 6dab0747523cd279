"""What is dear to make, made by the first worker of a run that needs it and found by the others."""

import fcntl
import os
from collections.abc import Callable
from pathlib import Path

import pytest


def made_once(folders: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """The folder that ``make`` filled: to be copied or read, never written to."""
    shared = folders.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent  # each worker's own folder lies in the run's
    made = shared / f"made-{name}"
    with (shared / f"made-{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            make(making := folders.mktemp(name))
            # Named last: what failed half way is made again, not found.
            making.rename(made)
    return made
