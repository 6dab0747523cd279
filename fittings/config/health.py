"""A page for a monitor: does the database answer, and can what people enter be kept?"""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Final

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.core.files.storage import default_storage
from django.db import Error, connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from fittings.config.trouble import BUSY, NO_ANSWER, READ_ONLY, Trouble, trouble_of

LEAST: Final = 32 * 1024 * 1024  # bytes; below it a few photographs fill the disk
LOW: Final = 1024 * 1024 * 1024


@require_safe
@login_not_required
def health(_request: HttpRequest) -> HttpResponse:
    """200 and ``ok``, with a word where room gets short; 503 and what is the matter."""
    wrong, low = list(_wrong()), []
    for folder in _folders():
        free = shutil.disk_usage(folder).free
        said = f"{free // 1024**2} MB are left on the disk"
        if free < LEAST:
            wrong.append(f"The disk is full: {said}.")
        elif free < LOW:
            low.append(f", but only {said}")
    text, status = ("\n".join(wrong), 503) if wrong else (f"ok{''.join(low[:1])}", 200)
    return HttpResponse(text, status=status, content_type="text/plain")


def _wrong() -> Iterator[str]:
    if found := _of_the_database():
        yield f"{found.title}."
    for folder in _folders():
        try:
            _write_something(folder)
        except OSError as error:
            yield f"{(trouble_of(error) or READ_ONLY).title}."


def _of_the_database() -> Trouble | None:
    """Ask it something, and for the right to write; that is given back, and not waited for."""
    try:
        if connection.vendor == "sqlite":
            name = connection.settings_dict["NAME"]
            with closing(sqlite3.connect(name, timeout=0, isolation_level=None, uri=True)) as house:
                house.execute("SELECT COUNT(*) FROM sqlite_schema")
                house.execute("BEGIN IMMEDIATE")
                house.execute("ROLLBACK")
            return None
        with connection.cursor() as cursor:
            cursor.execute("SHOW transaction_read_only")
            return READ_ONLY if cursor.fetchone() == ("on",) else None
    except (Error, sqlite3.Error) as error:
        found = trouble_of(error) or NO_ANSWER
        # Somebody writes just now: that is what a ledger is for.
        return None if found is BUSY else found


def _write_something(folder: Path) -> None:
    with tempfile.TemporaryFile(dir=folder) as file:
        file.write(bytes(4096))
        file.flush()
        os.fsync(file.fileno())


def _folders() -> list[Path]:
    """Where this machine keeps what people enter: one for each disk."""
    places = [Path(settings.DATA_DIR)]
    with suppress(NotImplementedError):  # where photographs lie behind another storage
        places.append(Path(default_storage.path("")))
    disks = {path.stat().st_dev: path for path in reversed(places) if path.exists()}
    return list(disks.values())
