"""The script that brings Debian's packages, run where dpkg and apt are what the test says."""

import shutil
import subprocess

import pytest

from tests.test_tree import ROOT

RUN = ["libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"]
TEST = ["chromium", "libatomic1", "postgresql", "git"]
LONG = [*TEST, "nginx", "openssl"]


@pytest.fixture
def machine(tmp_path):
    """A PATH with bash's own needs only, and a way to add programs to it."""

    def program(name, body):
        path = tmp_path / name
        path.write_text(f"#!/bin/sh\n{body}\n")
        path.chmod(0o755)

    for name in ("bash", "env", "sh"):
        (tmp_path / name).symlink_to(shutil.which(name))
    program("python3", "exit 0")
    program(
        "dpkg-query", 'for last; do :; done; grep -qx "$last" "$HERE/installed" && printf installed'
    )
    (tmp_path / "grep").symlink_to(shutil.which("grep"))
    (tmp_path / "installed").write_text("")
    program.folder = tmp_path
    return program


def run(machine, *arguments):
    folder = machine.folder
    return subprocess.run(
        [ROOT / ".ci" / "system-packages", *arguments],
        env={"PATH": str(folder), "HERE": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_nothing_is_done_when_all_is_there(machine):
    (machine.folder / "installed").write_text("\n".join(RUN + TEST))

    finished = run(machine, "test")

    assert (finished.returncode, finished.stdout, finished.stderr) == (0, "", "")


@pytest.mark.parametrize(
    ("what", "packages"), [([], RUN), (["test"], RUN + TEST), (["long"], RUN + LONG)]
)
def test_without_apt_the_packages_are_named(machine, what, packages):
    finished = run(machine, *what)

    assert finished.returncode == 1
    assert finished.stderr.splitlines()[:2] == [
        "There is no apt-get here. Please have these packages installed, then try again:",
        f"    {' '.join(packages)}",
    ]


def test_python_without_venv_asks_for_it(machine):
    machine("python3", "exit 1")

    assert run(machine).stderr.splitlines()[1].split() == [*RUN, "python3-venv"]


def test_only_missing_packages_are_installed(machine):
    machine("sudo", 'exec "$@"')
    machine("apt-get", 'echo "$*" >> "$HERE/asked"')
    (machine.folder / "installed").write_text(RUN[0])

    finished = run(machine)

    assert finished.stdout == f"Installing Debian packages: {RUN[1]} {RUN[2]}\n"
    asked = (machine.folder / "asked").read_text().splitlines()
    assert [line.split("Retries=3 ")[1] for line in asked] == [
        "update",
        f"install --yes --no-install-recommends {RUN[1]} {RUN[2]}",
    ]


def test_failing_apt_names_the_packages(machine):
    machine("sudo", 'exec "$@"')
    machine("apt-get", "exit 100")

    finished = run(machine)

    assert finished.returncode == 1
    assert finished.stderr.splitlines()[0].startswith("apt-get update failed. Please have these")


def test_without_root_or_sudo_the_packages_are_named(machine, tmp_path):
    machine("apt-get", "exit 0")
    script = tmp_path / "as-somebody"
    text = (ROOT / ".ci" / "system-packages").read_text()
    script.write_text(text.replace("$EUID", "1000"))

    finished = subprocess.run(
        [tmp_path / "bash", script],
        env={"PATH": str(tmp_path), "HERE": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )

    assert finished.returncode == 1
    assert finished.stderr.startswith("Installing packages needs root, and there is no sudo here.")
