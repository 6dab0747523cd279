"""How far a list is written, told to whoever asks while the writing transaction is still open.

Nobody can read from the database what is not committed, and two processes serve the house: so the
count lies in a small file beside the database. Lost, only the bar is lost.
"""

import contextlib
import json
import os
import uuid
from pathlib import Path

from django.conf import settings


def tell(upload: uuid.UUID, done: int, of: int) -> None:
    """Leave ``done`` of ``of`` for the page that asks; whole or not at all."""
    path = _path(upload)
    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        part = path.with_suffix(f".{os.getpid()}")
        part.write_text(json.dumps([done, of]), encoding="ascii")
        part.replace(path)


def told(upload: uuid.UUID) -> tuple[int, int] | None:
    """What was told last, None when nothing is being written."""
    try:
        done, of = json.loads(_path(upload).read_text(encoding="ascii"))
    except (OSError, ValueError):
        return None
    return int(done), int(of)


def forget(upload: uuid.UUID) -> None:
    with contextlib.suppress(OSError):
        _path(upload).unlink(missing_ok=True)


def _path(upload: uuid.UUID) -> Path:
    return Path(settings.DATA_DIR) / "writing" / f"{upload.hex}.json"
