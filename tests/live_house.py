"""A house served as it really is: gunicorn, the production settings, a data folder of its own."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import urlopen

ROOT = Path(__file__).parents[1]
ANSWERS_WITHIN = 30  # seconds


@dataclass(frozen=True)
class LiveHouse:
    """A served house: where it answers and where its data lies."""

    url: str
    data: Path

    def manage(self, *arguments: str) -> str:
        """Run one of the house's own commands; returns what it printed."""
        return manage(self.data, *arguments)


def environment(data: Path) -> dict[str, str]:
    """What the house's processes see: nothing of the tests' own settings."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("LEDGER_")}
    kept.pop("DATABASE_URL", None)
    return {**kept, "LEDGER_DATA": str(data)}


def manage(data: Path, *arguments: str) -> str:
    command = [sys.executable, "manage.py", *arguments]
    finished = subprocess.run(
        command, cwd=ROOT, env=environment(data), check=True, capture_output=True, text=True
    )
    return finished.stdout


def set_up(data: Path) -> Path:
    """Make the data folder of a new house, as `make run` does."""
    data.mkdir()
    manage(data, "migrate", "--verbosity=0")
    manage(data, "collectstatic", "--no-input", "--verbosity=0")
    return data


@contextmanager
def serve(data: Path, **settings: str) -> Iterator[LiveHouse]:
    """Serve a house; what `settings` says of the environment goes before what is usual."""
    # The port is bound here and handed over, so that nobody can take it in between.
    with socket.create_server(("127.0.0.1", 0)) as listener:
        url = f"http://127.0.0.1:{listener.getsockname()[1]}"
        options = ["--config", "python:fittings.config.server", "--workers", "1"]
        options += ["--bind", f"fd://{listener.fileno()}"]
        process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", *options, "fittings.config.wsgi"],
            cwd=ROOT,
            env=environment(data) | settings,
            pass_fds=[listener.fileno()],
        )
        try:
            wait_for(f"{url}/health/", process)
            yield LiveHouse(url, data)
        finally:
            # At once: a browser's idle connections would hold up a graceful end.
            process.send_signal(signal.SIGQUIT)
            process.wait()


def wait_for(url: str, process: subprocess.Popen) -> None:
    give_up = time.monotonic() + ANSWERS_WITHIN
    while True:
        try:
            urlopen(url, timeout=ANSWERS_WITHIN).close()
        except HTTPError as answer:
            answer.close()
        except OSError:
            if process.poll() is not None or time.monotonic() > give_up:
                raise
            time.sleep(0.05)
            continue
        return
