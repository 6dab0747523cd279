"""Read settings from the environment, refusing what cannot be meant.

Nothing here knows Django: the settings file is the only caller.
"""

import json
import os
import re
import secrets
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

YES = {"1", "true", "yes", "on"}
NO = {"0", "false", "no", "off", ""}


class SettingError(ValueError):
    """An environment variable holds something that cannot be meant."""


def flag(name: str, *, default: bool = False, env: Mapping[str, str] = os.environ) -> bool:
    """A yes/no variable; anything but a plain yes or no is refused, not guessed."""
    raw = env.get(name)
    if raw is None:
        return default
    text = raw.strip().lower()
    if text in YES:
        return True
    if text in NO:
        return False
    raise SettingError(f"{name} must be yes or no (1 or 0), not {raw!r}.")


def words(name: str, *, default: str = "", env: Mapping[str, str] = os.environ) -> list[str]:
    """A comma-separated variable as a list without blanks."""
    return [part.strip() for part in env.get(name, default).split(",") if part.strip()]


def hosts(name: str, *, default: str, env: Mapping[str, str] = os.environ) -> list[str]:
    """Host names; none at all would refuse everybody, and a star would let a stranger's name in."""
    found = words(name, default=default, env=env)
    if not found or "*" in found:
        raise SettingError(f"{name} must name the hosts one by one, such as ledger.example.")
    return found


def time_zone(name: str, *, default: str, env: Mapping[str, str] = os.environ) -> str:
    """The name of a zone in the IANA database."""
    zone = text(name, default=default, env=env)
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError) as problem:
        raise SettingError(f"{name} must be a zone such as {default}, not {zone!r}.") from problem
    return zone


def web_address(name: str, *, env: Mapping[str, str] = os.environ) -> str:
    """Where the house's machines find the ledger, ``http://host[:port]``, or "" when unset."""
    raw = env.get(name, "").strip().rstrip("/")
    parts = urlsplit(raw)
    plain = parts.scheme in {"http", "https"} and parts.netloc and parts.geturl() == raw
    if raw and not (plain and not (parts.path or parts.query or parts.fragment)):
        raise SettingError(f"{name} must look like http://ledger.local:8000, not {raw!r}.")
    return raw


def folder(name: str, *, default: Path, env: Mapping[str, str] = os.environ) -> Path:
    """A folder that exists afterwards, readable by nobody else when we had to make it."""
    path = Path(env.get(name) or default)
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


def secret_key(path: Path) -> str:
    """The key kept in ``path``: made on first run, mode 600, at least 50 characters.

    Two workers may start at once on a first run: the key appears under its name only when it is
    whole, and the loser reads what the winner wrote.
    """
    if not path.exists():
        with tempfile.NamedTemporaryFile("w", dir=path.parent) as draft:  # made with mode 600
            draft.write(secrets.token_urlsafe(64))
            draft.flush()
            with suppress(FileExistsError):
                os.link(draft.name, path)
    key = path.read_text().strip()
    if len(key) < 50:  # noqa: PLR2004 - Django's own check W009 draws the line here
        raise SettingError(f"The secret key in {path.name} is too short; remove the file.")
    return key


def text(name: str, *, default: str, env: Mapping[str, str] = os.environ) -> str:
    """A plain variable, or its default when unset or blank."""
    return env.get(name, "").strip() or default


def file(name: str, *, default: Path, env: Mapping[str, str] = os.environ) -> Path:
    """The path of a file that may not exist yet."""
    return Path(env.get(name) or default)


def content(name: str, *, env: Mapping[str, str] = os.environ) -> str:
    """What stands in the file that the variable names, such as a password; "" when unset."""
    path = env.get(name, "").strip()
    if not path:
        return ""
    try:
        return Path(path).read_text(encoding="utf-8").strip()
    except (OSError, ValueError) as problem:
        raise SettingError(f"{name} names a file that cannot be read: {problem}") from problem


def storage(name: str, *, default: str, env: Mapping[str, str] = os.environ) -> dict[str, Any]:
    """A Django storage as its STORAGES has it, from the JSON file that the variable names."""
    raw = content(name, env=env)
    try:
        said = json.loads(raw) if raw else {"BACKEND": default}
    except ValueError as problem:
        raise SettingError(f"{name} names a file that is no JSON: {problem}") from problem
    whole: dict[str, Any] = {"OPTIONS": {}} | said if isinstance(said, dict) else {}
    kinds = {key: type(value) for key, value in whole.items()}
    if kinds != {"BACKEND": str, "OPTIONS": dict}:
        raise SettingError(
            f"{name} names a file that is no storage: it has BACKEND, a text, and may have OPTIONS."
        )
    return whole


def number(name: str, *, default: int, env: Mapping[str, str] = os.environ) -> int:
    """A port or another whole number from 1 to 65535."""
    raw = env.get(name, "").strip() or str(default)
    if not (raw.isascii() and raw.isdecimal() and 1 <= int(raw[:6]) <= 65535):  # noqa: PLR2004
        raise SettingError(f"{name} must be a whole number such as {default}, not {raw!r}.")
    return int(raw)


def one_of(name: str, choices: tuple[str, ...], *, env: Mapping[str, str] = os.environ) -> str:
    """One of the words; the first of them when unset."""
    raw = env.get(name, "").strip().lower() or choices[0]
    if raw not in choices:
        raise SettingError(f"{name} must be one of {', '.join(choices)}, not {raw!r}.")
    return raw


def mail_address(name: str, *, env: Mapping[str, str] = os.environ) -> str:
    """A bare e-mail address, or "" when unset."""
    raw = env.get(name, "").strip()
    if raw and not re.fullmatch(r"[^@\s<>,;:\"]+@[^@\s<>,;:\"]+", raw):
        raise SettingError(f"{name} must be an address such as post@house.example, not {raw!r}.")
    return raw
