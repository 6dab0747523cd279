"""Read settings from the environment, refusing what cannot be meant.

Nothing here knows Django: the settings file is the only caller.
"""

import os
import secrets
from collections.abc import Mapping
from pathlib import Path

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


def folder(name: str, *, default: Path, env: Mapping[str, str] = os.environ) -> Path:
    """A folder that exists afterwards, readable by nobody else when we had to make it."""
    path = Path(env.get(name) or default)
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


def secret_key(path: Path) -> str:
    """The key kept in ``path``: made on first run, mode 600, at least 50 characters.

    Two workers may start at once on a first run: the file is opened exclusively, and the loser
    reads what the winner wrote.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        pass
    else:
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(64))
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
