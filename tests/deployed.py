"""A house deployed as DEVELOPERS.md says, by its very words: the unit's commands, nginx's block.

Only what a test has elsewhere is put in place of what stands there: folders, ports, programs.
"""

import os
import re
import shlex
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.live_house import ROOT

NAME = "ledger.example"
READY_WITHIN = 60  # seconds
PROGRAMS = "/srv/ledger/.venv/bin/"
MISSING = "{} is not here: `make test-long` installs Debian's packages nginx and openssl."
# As in Debian's own nginx.conf everything is logged that a server block does not leave out.
AROUND = """
{user}
daemon off;
pid {folder}/nginx.pid;
error_log {folder}/error.log;
events {{}}
http {{
    access_log {folder}/access.log;
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
{servers}
}}
"""


def block(file: str) -> str:
    """What DEVELOPERS.md says stands in this file."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return re.search(
        rf"^```\w+\n# {re.escape(file)}\b.*?\n(.*?)^```", page, re.MULTILINE | re.DOTALL
    )[1]


def commands(key: str) -> list[list[str]]:
    """The unit's lines of this name, run by the programs that the tests run by."""
    unit = block("/etc/systemd/system/ledger.service")
    here = f"{Path(sys.executable).parent}/"
    found = re.findall(rf"^{key}=(.*)", unit, re.MULTILINE)
    return [shlex.split(line.replace(PROGRAMS, here)) for line in found]


def program(name: str) -> str:
    """Debian keeps servers in a folder that is not on everybody's path."""
    found = shutil.which(name, path=f"{os.environ['PATH']}:/usr/sbin")
    assert found, MISSING.format(name)
    return found


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return listener.getsockname()[1]


class Service:
    """The ledger as the unit runs it; what it says goes to the file ``log``."""

    def __init__(self, data: Path, folder: Path) -> None:
        self.port, self.folder, self.log = free_port(), folder, folder / "journal"
        said = dict(line.split("=", 1) for line in block("/etc/default/ledger").split())
        kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL" and "LEDGER_" not in k}
        self.environment = {**kept, **said, "LEDGER_DATA": str(data)}

    def up(self) -> None:
        """Run the unit's commands; as systemd does, wait until the ledger says that it is ready."""
        for command in commands("ExecStartPre"):
            subprocess.run(command, cwd=ROOT, env=self.environment, check=True)
        [command] = commands("ExecStart")
        place = str(self.folder / "notify")
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as told, self.log.open("a") as log:
            told.bind(place)
            told.settimeout(READY_WITHIN)
            here = {"NOTIFY_SOCKET": place, "GUNICORN_CMD_ARGS": f"--bind=127.0.0.1:{self.port}"}
            self.process = subprocess.Popen(
                command, cwd=ROOT, env=self.environment | here, stdout=log, stderr=log
            )
            while b"READY=1" not in told.recv(4096):
                pass
        Path(place).unlink()

    def down(self) -> None:
        self.process.terminate()
        self.process.wait()


class Proxy:
    """nginx with the page's block between addresses of its own and the ledger."""

    def __init__(self, folder: Path, ledger: int) -> None:
        self.folder, self.https, self.http = folder, free_port(), free_port()
        self.certificate = folder / "fullchain.pem"
        servers = block("/etc/nginx/sites-enabled/ledger")
        for said, here in (
            ("listen 443 ", f"listen 127.0.0.1:{self.https} "),
            ("listen 80;", f"listen 127.0.0.1:{self.http};"),
            ("/etc/ssl/ledger", str(folder)),
            ("127.0.0.1:8000", f"127.0.0.1:{ledger}"),
        ):
            assert said in servers
            servers = servers.replace(said, here)
        # Its workers are else nobody, who may not enter a folder of the tests.
        user = "user root;" if os.geteuid() == 0 else ""
        (folder / "nginx.conf").write_text(
            AROUND.format(user=user, folder=folder, servers=servers), encoding="utf-8"
        )

    @property
    def logs(self) -> str:
        return "".join(file.read_text() for file in sorted(self.folder.glob("*.log")))

    def up(self) -> None:
        key, name = str(self.folder / "key.pem"), f"/CN={NAME}"
        kind = ["-newkey", "rsa:2048", "-nodes", "-days", "2", "-addext"]
        made = ["-keyout", key, "-out", str(self.certificate)]
        request = ["req", "-x509", *kind, f"subjectAltName=DNS:{NAME}", "-subj", name, *made]
        subprocess.run([program("openssl"), *request], check=True, capture_output=True)
        told = ["-p", str(self.folder), "-c", "nginx.conf", "-e", str(self.folder / "error.log")]
        self.process = subprocess.Popen([program("nginx"), *told])
        give_up = time.monotonic() + READY_WITHIN
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.https)).close()
            except ConnectionRefusedError:
                if self.process.poll() is not None or time.monotonic() > give_up:
                    raise
                time.sleep(0.05)
            else:
                return

    def down(self) -> None:
        self.process.terminate()
        self.process.wait()


@contextmanager
def deployed(data: Path, folder: Path) -> Iterator[tuple[Service, Proxy]]:
    """The house in ``data``, served over HTTPS; files of the two servers lie in ``folder``."""
    service = Service(data, folder)
    proxy = Proxy(folder, service.port)
    service.up()
    try:
        proxy.up()
        try:
            yield service, proxy
        finally:
            proxy.down()
    finally:
        service.down()
