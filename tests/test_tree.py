"""What may lie in the repository: read from what git tracks."""

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "Makefile",
    "README.md",
    "customers",
    "fittings",
    "garments",
    "manage.py",
    "pyproject.toml",
    "requirements.lock",
    "static",
    "templates",
    "tests",
}
TRACKED = subprocess.run(
    ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True
).stdout.split("\0")[:-1]


def text_of(name):
    try:
        return (ROOT / name).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""  # a font or a picture


def lines_with(pattern, names=TRACKED):
    """The tracked lines that match, as "file:line"; this file names what it looks for."""
    return [
        f"{name}:{number}"
        for name in names
        if name != "tests/test_tree.py"
        for number, line in enumerate(text_of(name).splitlines(), start=1)
        if re.search(pattern, line)
    ]


def test_only_agreed_names_lie_on_top():
    names = {name.split("/")[0] for name in TRACKED}

    assert {name for name in names if not name.startswith(".")} - TOP_LEVEL == set()


@pytest.mark.parametrize(
    "pattern",
    [
        r"(?i)\bpypi\W?org|pythonhosted|npmjs|debian\.org|unpkg|jsdelivr|cdnjs",
        r"(?i)\s--?(extra-)?index-url|^index-url|find-links\s*=|trusted-host\s*=|registry\s*=\s*http",
    ],
)
def test_no_registry_is_named(pattern):
    assert lines_with(pattern) == []


def test_no_path_of_a_machine_is_named():
    assert lines_with(r"(?<![\w./\]])/(home|root|work|Users|tmp|opt|mnt)/\w") == []


def test_no_work_is_put_off():
    assert lines_with(r"\b(TODO|FIXME|XXX)\b") == []


def test_no_test_is_skipped():
    tests = [name for name in TRACKED if re.fullmatch(r"tests/.*\.py", name)]

    assert lines_with(r"\b(skip|skipif|xfail|importorskip)\(|mark\.(skip|xfail)", tests) == []


@pytest.mark.parametrize(
    "pattern",
    [r"<style|<script(?! [^>]*src=)", r"(?i)\sstyle=|\son[a-z]+=|hx-on|[\"']javascript:"],
)
def test_no_page_carries_script_or_style(pattern):
    pages = [name for name in TRACKED if name.startswith("templates/")]

    assert lines_with(pattern, pages) == []


@pytest.mark.parametrize("name", ["requirements.lock", "tests/requirements.lock"])
def test_locked_packages_have_one_version_and_hashes(name):
    entries = re.split(r"\n(?=\S)", re.sub(r"(?m)^\s*#.*\n", "", text_of(name)).strip())
    entry = re.compile(r"[\w.-]+==\S+( ; .+?)?( \\\n {4}--hash=sha256:[0-9a-f]{64})+")

    assert [found for found in entries if not entry.fullmatch(found.strip())] == []
    assert len(entries) > 20


def test_locks_agree_on_what_is_served():
    pins = [
        set(re.findall(r"(?m)^[\w.-]+==\S+", text_of(name)))
        for name in ("requirements.lock", "tests/requirements.lock")
    ]

    assert pins[0] - pins[1] == set()
