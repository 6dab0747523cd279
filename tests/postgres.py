"""A PostgreSQL server of the tests' own: Debian's programs, a folder that goes away, a socket.

`python tests/postgres.py COMMAND ...` runs a command with DATABASE_URL naming a new database on
such a server, and ends with that command's exit code.
"""

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import psycopg

HOW_TO_INSTALL = "PostgreSQL's server is not here: `make test` installs Debian's postgresql."
STARTS_WITHIN = 60  # seconds
# Nothing on this server outlives the tests, so nothing need reach the disk; errors that a test
# means to cause are read by the test, not in a log.
SETTINGS = ("listen_addresses=", "fsync=off", "max_connections=200", "log_min_messages=panic")


@dataclass
class PostgresServer:
    """A server; its one user may do everything. What its data is kept in goes away with it."""

    folder: Path
    owner: dict
    settings: tuple[str, ...] = SETTINGS

    def url(self, name: str) -> str:
        return f"postgresql://postgres@{quote(str(self.folder), safe='')}/{name}"

    def execute(self, statement: str) -> None:
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(statement)

    def start(self) -> None:
        """Start it and wait until it answers; after a kill it brings itself in order first."""
        settings = [f"--{setting}" for setting in self.settings]
        settings.append(f"--unix_socket_directories={self.folder}")
        command = [server_programs() / "postgres", "-D", "data", *settings]
        self.process = subprocess.Popen(command, **self.quiet, **self.owner)
        wait_for(self, self.process)

    def stop(self) -> None:
        """End it at once: begun again, it brings itself in order first, as after a kill."""
        self.process.send_signal(signal.SIGQUIT)
        self.process.wait()

    def copy_data(self, folder: Path) -> None:
        """Copy all that it keeps into ``folder``, as ended in order, with nobody connected."""
        self.process.send_signal(signal.SIGINT)
        self.process.wait()
        subprocess.run(["cp", "--archive", self.folder / "data", folder], check=True)

    def kill(self) -> None:
        """kill -9 of the server and of every process it has, each of which leads its own group."""
        told = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text()
        for child in (self.process.pid, *map(int, told.split())):
            with suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
        self.process.wait()

    @property
    def quiet(self) -> dict:
        return {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": self.folder}


def server_programs() -> Path:
    """The folder of Debian's newest PostgreSQL server."""
    folders = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/postgres")]
    if not folders:
        raise FileNotFoundError(HOW_TO_INSTALL)
    return max(folders, key=lambda folder: int(folder.parent.name))


@contextmanager
def folder_of(owner: dict) -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    if owner:
        shutil.chown(folder, owner["user"])
    try:
        yield folder
    finally:
        shutil.rmtree(folder)


@contextmanager
def running_server(
    settings: tuple[str, ...] = SETTINGS, data: Path | None = None
) -> Iterator[PostgresServer]:
    """A server of nothing yet, or of a copy of what ``copy_data`` left in the folder ``data``."""
    # PostgreSQL refuses to run as root, which is who CI is; Debian's package brings this user.
    owner = {"user": "postgres", "group": "postgres", "extra_groups": []}
    owner = owner if os.geteuid() == 0 else {}
    with folder_of(owner) as folder:
        server = PostgresServer(folder, owner, settings)
        if data:
            subprocess.run(["cp", "--archive", data / "data", folder], check=True)
        else:
            how = ["--username=postgres", "--auth=trust", "--no-sync", "--encoding=UTF8"]
            command = [server_programs() / "initdb", *how, "--locale=C.UTF-8", "data"]
            subprocess.run(command, check=True, **server.quiet, **owner)
        server.start()
        try:
            yield server
        finally:
            server.stop()


def wait_for(server: PostgresServer, process: subprocess.Popen) -> None:
    give_up = time.monotonic() + STARTS_WITHIN
    while True:
        try:
            psycopg.connect(server.url("postgres")).close()
        except psycopg.OperationalError:
            if process.poll() is not None or time.monotonic() > give_up:
                raise
            time.sleep(0.05)
        else:
            return


def main(command: list[str]) -> int:
    with running_server() as server:
        environment = {**os.environ, "DATABASE_URL": server.url("postgres")}
        return subprocess.run(command, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
