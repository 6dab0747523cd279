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
    """A served house: where it answers, where its data lies and the process that serves it."""

    url: str
    data: Path
    server: "Server | None" = None

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


class Server:
    """One gunicorn on a socket that stays bound while it is killed and begun again."""

    def __init__(self, listener: socket.socket, data: Path, settings: dict[str, str]) -> None:
        self.listener, self.data, self.settings = listener, data, settings
        self.url = f"http://127.0.0.1:{listener.getsockname()[1]}"
        self.begin()

    def begin(self) -> None:
        options = ["--config", "python:fittings.config.server", "--workers", "1"]
        options += ["--bind", f"fd://{self.listener.fileno()}"]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", *options, "fittings.config.wsgi"],
            cwd=ROOT,
            env=environment(self.data) | self.settings,
            pass_fds=[self.listener.fileno()],
            start_new_session=True,
        )

    def kill(self) -> None:
        """kill -9 of the master and its workers, which else serve on without it for a while."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


@contextmanager
def serve(data: Path, **settings: str) -> Iterator[LiveHouse]:
    """Serve a house; what `settings` says of the environment goes before what is usual."""
    # The port is bound here and handed over, so that nobody can take it in between.
    with socket.create_server(("127.0.0.1", 0)) as listener:
        server = Server(listener, data, settings)
        try:
            wait_for(f"{server.url}/health/", server.process)
            yield LiveHouse(server.url, data, server)
        finally:
            # At once: a browser's idle connections would hold up a graceful end.
            server.process.send_signal(signal.SIGQUIT)
            server.process.wait()


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
