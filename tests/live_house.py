"""A house served as it really is: gunicorn, the production settings, a data folder of its own."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import urlopen

ROOT = Path(__file__).parents[1]
ANSWERS_WITHIN = 60  # seconds


@dataclass(frozen=True)
class LiveHouse:
    """A served house: where it answers, where its data lies and the process that serves it."""

    url: str
    data: Path
    server: "Server | None" = None

    def manage(self, *arguments: str) -> str:
        """Run one of the house's own commands; returns what it printed."""
        return manage(self.data, *arguments, **(self.server.settings if self.server else {}))


def environment(data: Path) -> dict[str, str]:
    """What the house's processes see: nothing of the tests' own settings."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("LEDGER_")}
    kept.pop("DATABASE_URL", None)
    return {**kept, "LEDGER_DATA": str(data)}


def manage(data: Path, *arguments: str, **settings: str) -> str:
    command = [sys.executable, "manage.py", *arguments]
    told = environment(data) | settings
    finished = subprocess.run(
        command, cwd=ROOT, env=told, check=True, capture_output=True, text=True
    )
    return finished.stdout


def set_up(data: Path, ledger: Path) -> None:
    """Make the data folder of a new house, as `make run` does; ``ledger`` is a migrated file."""
    shutil.copy(ledger, data)
    manage(data, "collectstatic", "--no-input", "--verbosity=0")


OPTIONS = ["--config", "python:fittings.config.server"]
APPLICATION = "fittings.config.wsgi"


class Server:
    """One gunicorn on a socket that stays bound while it is killed and begun again.

    With one worker, unless it is to be as many as a house has.
    """

    def __init__(
        self, listener: socket.socket, data: Path, settings: dict[str, str], workers: int = 1
    ) -> None:
        self.listener, self.data, self.settings, self.workers = listener, data, settings, workers
        self.url = f"http://127.0.0.1:{listener.getsockname()[1]}"

    @property
    def options(self) -> list[str]:
        bind = f"fd://{self.listener.fileno()}"
        return [*OPTIONS, "--workers", str(self.workers), "--bind", bind, APPLICATION]

    def start(self, *program: str, **streams: Any) -> subprocess.Popen:
        return subprocess.Popen(
            [sys.executable, *program, *self.options],
            cwd=ROOT,
            env=environment(self.data) | self.settings,
            pass_fds=[self.listener.fileno()],
            start_new_session=True,
            **streams,
        )

    def begin(self) -> None:
        self.process = self.start("-m", "gunicorn")

    @property
    def gone(self) -> bool:
        return self.process.poll() is not None

    def kill(self) -> None:
        """kill -9 of the master and its workers, which else serve on without it for a while."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


class Loaded(Server):
    """The same, forked off a process that has it loaded; the data folder is always the same one."""

    def __init__(
        self, listener: socket.socket, data: Path, settings: dict[str, str], workers: int = 1
    ) -> None:
        super().__init__(listener, data, settings, workers)
        self.loaded = self.start(
            "tests/loaded_house.py", stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        # While it loads it notes which static files there are: until then the folder must stay.
        self.loaded.stdout.readline()
        self.child = 0

    def begin(self) -> None:
        self.loaded.stdin.write("\n")
        self.loaded.stdin.flush()
        self.child = int(self.loaded.stdout.readline())

    @property
    def gone(self) -> bool:
        try:
            os.kill(self.child, 0)
        except ProcessLookupError:
            return True
        return False

    def kill(self) -> None:
        # It leads its group as soon as it runs; killed before that, it is the only one of it.
        for kill in (os.kill, os.killpg):
            with suppress(ProcessLookupError):
                kill(self.child, signal.SIGKILL)
        while not self.gone:
            time.sleep(0.005)

    def end(self) -> None:
        self.loaded.kill()
        self.loaded.communicate()


@contextmanager
def begun(server: Server) -> Iterator[LiveHouse]:
    """The house that ``server`` serves, from when it answers."""
    server.begin()
    try:
        wait_for(f"{server.url}/health/", server)
        yield LiveHouse(server.url, server.data, server)
    finally:
        # At once: a browser's idle connections would hold up a graceful end.
        server.kill()


@contextmanager
def serve(data: Path, **settings: str) -> Iterator[LiveHouse]:
    """Serve a house; what `settings` says of the environment goes before what is usual."""
    # The port is bound here and handed over, so that nobody can take it in between.
    with (
        socket.create_server(("127.0.0.1", 0)) as listener,
        begun(Server(listener, data, settings)) as house,
    ):
        yield house


@contextmanager
def load(data: Path, *, workers: int = 1, **settings: str) -> Iterator[Loaded]:
    """Have the ledger loaded for the house in ``data``, to be served as often as it is begun."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        loaded = Loaded(listener, data, settings, workers)
        try:
            yield loaded
        finally:
            loaded.end()


def wait_for(url: str, server: Server) -> None:
    give_up = time.monotonic() + ANSWERS_WITHIN
    while True:
        try:
            urlopen(url, timeout=ANSWERS_WITHIN).close()
        except HTTPError as answer:
            answer.close()
        except OSError:
            if server.gone or time.monotonic() > give_up:
                raise
            time.sleep(0.05)
            continue
        return
